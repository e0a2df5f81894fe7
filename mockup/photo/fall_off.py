"""How light falls off across a photo, told by the card alone and carried on beyond it.

The logarithm of what a perfect white would show is a smooth surface of low degree. Over the card it
is measured; beyond, what is known of cameras and lamps takes over: slopes and curvatures are small,
and lenses darken towards the corners. Both together are a linear model with Gaussian priors, whose
posterior gives the surface and how far it can be trusted at each place. Colours hold together
better than brightness does, so that they have a surface of their own with tighter priors.

References
----------
Bishop (2006), Pattern Recognition and Machine Learning, sec. 3.3 (Bayesian linear regression).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["FallOff", "fit_fall_off"]

Floats = NDArray[np.float64]

# Terms 1, x, y, x² + y², x² − y², xy; x and y from the middle in halves of the longer side. Of ln
# light, our choice: a lamp to one side makes 0.3 from edge to middle, a phone's own correction
# leaves a quarter in the corners.
_MEAN = np.array([0.0, 0.0, 0.0, -0.08, 0.0, 0.0])
_SPREAD_LIGHT = np.array([9.0, 0.3, 0.3, 0.10, 0.04, 0.06])
_SPREAD_COLOUR = np.array([9.0, 0.015, 0.015, 0.006, 0.004, 0.005])
_LEAST_NOISE = 0.003  # of a cell's mean: the card's own unevenness
MOST_FACTOR = 1.7  # that light may differ from that at the card's middle


@dataclass(frozen=True, slots=True, eq=False)
class FallOff:
    """Light of a perfect white at every place, channel by channel.

    Attributes
    ----------
    light, colour
        Mean (6,) and covariance (6, 6) of the surface that all channels share, and means (3, 6)
        and covariance of what each adds.
    size_px
        Width and height of the photo.
    middle_px : (2,) float64
        Of the card.
    """

    light: tuple[Floats, Floats]
    colour: tuple[Floats, Floats]
    size_px: tuple[int, int]
    middle_px: Floats

    def white(self, at_px: ArrayLike) -> Floats:
        """Linear light of the perfect white: (..., 2) px → (..., 3) float64."""
        terms = _terms(np.asarray(at_px, np.float64), self.size_px)
        middle = _terms(self.middle_px, self.size_px)
        shared = np.clip(
            (terms - middle) @ self.light[0], -np.log(MOST_FACTOR), np.log(MOST_FACTOR)
        )
        shared = shared + middle @ self.light[0]
        return np.exp(shared[..., None] + terms @ self.colour[0].T)

    def covariance(self, at_px: ArrayLike) -> Floats:
        """Of ln white at one place, (2,) px → (3, 3) float64."""
        terms = _terms(np.asarray(at_px, np.float64), self.size_px)
        shared = float(terms @ self.light[1] @ terms)
        own = float(terms @ self.colour[1] @ terms)
        return shared * np.ones((3, 3)) + own * (np.eye(3) - 1.0 / 3.0)

    def whole(self) -> NDArray[np.float32]:
        """`white` at every pixel: (h, w, 3) float32."""
        width, height = self.size_px
        step = 8  # smooth: every eighth pixel, linear between
        xs, ys = (np.arange(0, side + step, step) for side in (width, height))
        coarse = self.white(np.stack(np.meshgrid(xs, ys), axis=-1)).astype(np.float32)
        rows = _between(coarse, ys, np.arange(height), axis=0)
        return _between(rows, xs, np.arange(width), axis=1)


def fit_fall_off(
    at_px: Floats,
    light: Floats,
    noise: Floats,
    colour_noise: float,
    size_px: tuple[int, int],
    *,
    independent: float,
) -> tuple[FallOff, Floats]:
    """Fit the surface to cells of the card.

    Parameters
    ----------
    at_px : (n, 2) float64
        Middles of the cells.
    light : (n, 3) float64, > 0
        Mean light of each, as a perfect white would show there.
    noise : (n,) float64
        Relative standard deviation of these means.
    colour_noise
        The least one of what tells their colours apart.
    independent
        How many of the cells tell colour by themselves: JPEG ties it over blocks of 16 pixels.

    Returns
    -------
    FallOff
    (n, 3) float64
        What the surface leaves of ln light.
    """
    terms = _terms(at_px, size_px)
    logs = np.log(light)
    shared = logs.mean(axis=1)
    sigma = np.maximum(noise, _LEAST_NOISE)
    mean, covariance = _posterior(terms, shared[:, None], sigma, _MEAN, _SPREAD_LIGHT)
    colours = logs - shared[:, None]
    rough = colours - terms @ np.linalg.lstsq(terms, colours, rcond=None)[0]
    tied = np.sqrt(max(len(at_px) / independent, 1.0))
    rest = tied * float(np.sqrt((rough**2).mean()))
    sigma = np.full(len(at_px), max(rest, colour_noise))
    own, own_covariance = _posterior(terms, colours, sigma, np.zeros(6), _SPREAD_COLOUR)
    field = FallOff((mean[:, 0], covariance), (own.T, own_covariance), size_px, at_px.mean(axis=0))
    return field, logs - (terms @ mean + terms @ own)


def _posterior(
    terms: Floats, values: Floats, sigma: Floats, prior: Floats, spread: Floats
) -> tuple[Floats, Floats]:
    """Mean (6, k) and covariance (6, 6); Bishop (2006) eq. 3.50 and 3.51."""
    weighted = terms / sigma[:, None] ** 2
    precision = np.diag(1.0 / spread**2) + terms.T @ weighted
    covariance = np.linalg.inv(precision)
    mean = covariance @ ((prior / spread**2)[:, None] + weighted.T @ values)
    return np.asarray(mean), np.asarray(covariance, np.float64)


def _terms(at_px: Floats, size_px: tuple[int, int]) -> Floats:
    half = max(size_px) / 2.0
    x = (at_px[..., 0] - (size_px[0] - 1) / 2.0) / half
    y = (at_px[..., 1] - (size_px[1] - 1) / 2.0) / half
    return np.stack([np.ones_like(x), x, y, x * x + y * y, x * x - y * y, x * y], axis=-1)


def _between(
    values: NDArray[np.float32], at: NDArray[np.intp], wanted: NDArray[np.intp], *, axis: int
) -> NDArray[np.float32]:
    step = int(at[1] - at[0])
    low = wanted // step
    part = ((wanted % step) / step).astype(np.float32)
    part = part.reshape([-1 if i == axis else 1 for i in range(values.ndim)])
    first, second = np.take(values, low, axis=axis), np.take(values, low + 1, axis=axis)
    return np.asarray(first + (second - first) * part)
