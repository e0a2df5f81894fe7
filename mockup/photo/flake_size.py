"""The cut of strewn glitter from its picture, however thick the flakes lie.

Flakes that lie at random and hide each other are our own glitter model; two points of it are alike
as far as one flake, or one gap, holds them both, and how that falls off with their distance has a
closed form. It is laid over what the picture shows: its scale is the cut. No flake has to be told
from its neighbours.

References
----------
Matheron (1975), Random Sets and Integral Geometry, sec. 5.2 (covariance of the Boolean model).
Jeulin (1997), Dead leaves models: from space tesselation to random functions, in Advances in
Theory and Applications of Random Sets (the top grain at two points).
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft2, next_fast_len, rfft2
from scipy.ndimage import gaussian_filter
from scipy.special import stdtrit

from mockup.photo.measured import Figure
from mockup.photo.spectral import NORMAL_90

__all__ = ["covariance_of", "cut_px", "fit_cut_px", "fitted_cut_px", "model_covariances"]

Floats = NDArray[np.float64]

LEAST_CUT_PX = 4.0
_LEAST_LAG_PX = 1.5  # nearer points share a camera's noise and sharpening
_SHAPE_PX = 160  # across flats, of the hexagon whose overlap is tabulated
_CUTS = 25  # tried over each span
_BLURS_PX = (0.3, 0.7, 1.1, 1.5)  # σ of lens, demosaicing and JPEG together
_PARTS = 2  # the area is cut in 2 × 2 to see how far its parts agree


@cache
def _overlap() -> Floats:
    """Shared area of a hexagon and itself shifted any way, by the shift in cuts: (201,) to 1.2."""
    half = _SHAPE_PX
    y, x = np.mgrid[-half : half + 1, -half : half + 1] / (_SHAPE_PX / 2.0)
    hexagon = (
        np.maximum.reduce([np.abs(x * np.cos(a) + y * np.sin(a)) for a in np.pi / 3 * np.arange(3)])
        <= 1.0
    )
    size = 4 * half
    power = np.abs(np.fft.rfft2(hexagon, (size, size))) ** 2
    shared = np.fft.fftshift(np.fft.irfft2(power, (size, size))) / hexagon.sum()
    lag = np.hypot(*np.mgrid[-2 * half : 2 * half, -2 * half : 2 * half]) / _SHAPE_PX
    which = np.rint(lag / 0.006).astype(np.intp).ravel()
    table = np.bincount(which, weights=shared.ravel()) / np.maximum(np.bincount(which), 1)
    return np.clip(table[:201], 0.0, 1.0)


def model_covariances(lag_in_cuts: Floats, coverage: float) -> tuple[Floats, Floats]:
    """Chance that one flake is seen at both points, and covariance of what is flake at all.

    Parameters
    ----------
    lag_in_cuts : (...) float64
        Distance of the two points over the cut.
    coverage
        In (0, 1).
    """
    shared = np.interp(lag_in_cuts, 0.006 * np.arange(201), _overlap())
    tau = -np.log1p(-coverage)
    neither = np.exp(-tau * (2.0 - shared))
    same = shared / (2.0 - shared) * (1.0 - neither)
    return np.asarray(same), np.asarray(neither - (1.0 - coverage) ** 2)


def covariance_of(values: Floats) -> tuple[Floats, Floats]:
    """Autocovariance of a picture by distance.

    Parameters
    ----------
    values : (h, w) float64

    Returns
    -------
    lag_px, covariance : (n,) float64
        In steps of a pixel, up to a third of the shorter side.
    """
    most = min(values.shape) // 3
    shape = [next_fast_len(side + most, real=True) for side in values.shape]
    power = np.abs(rfft2(values - values.mean(), shape)) ** 2
    rows, columns = np.r_[0:most, -most + 1 : 0], np.arange(most)
    height, width = values.shape
    pairs = (height - np.abs(rows))[:, None] * (width - columns)
    covariance = irfft2(power, shape)[np.ix_(rows, columns)] / pairs
    lag = np.hypot(rows[:, None], np.arange(most)[None, :])
    which = np.rint(lag).astype(np.intp).ravel()
    count = np.bincount(which)[:most]
    at = np.bincount(which, weights=lag.ravel())[:most] / count
    return at, np.bincount(which, weights=covariance.ravel())[:most] / count


def cut_px(pictures: list[Floats], coverage: float) -> float:
    """`fitted_cut_px` without its uncertainty, in a ninth of the time."""
    return fit_cut_px([covariance_of(picture) for picture in pictures], coverage)


def fitted_cut_px(pictures: list[Floats], coverage: float) -> Figure:
    """The cut in pixels that fits several pictures of the same glitter, and how sure it is.

    Parameters
    ----------
    pictures : (h, w) float64 each
        √luminance, at one scale.
    """
    whole = cut_px(pictures, coverage)
    parts = []
    for picture in pictures:
        for rows in np.array_split(picture, _PARTS, axis=0):
            for part in np.array_split(rows, _PARTS, axis=1):
                parts.append(fit_cut_px([covariance_of(part)], coverage))
    few = float(stdtrit(len(parts) - 1, 0.95))  # Student's t: the spread itself is of few parts
    spread = few * float(np.std(parts, ddof=1) / np.sqrt(len(parts)))
    return Figure(whole, float(np.hypot(spread, NORMAL_90 * 0.015 * whole)))


def fit_cut_px(covariances: list[tuple[Floats, Floats]], coverage: float) -> float:
    """As `cut_px`, by each picture's lags and covariance."""
    guess = float(np.median([_guess(*one) for one in covariances]))
    cuts = guess * np.exp(np.linspace(-0.8, 0.8, _CUTS))
    best = _least(covariances, coverage, cuts, 1.8 * guess)
    fine = best * np.exp(np.linspace(-0.12, 0.12, _CUTS))
    return _least(covariances, coverage, fine, 1.6 * best)


def _guess(lag: Floats, covariance: Floats) -> float:
    """2.2 times the distance at which the covariance has halved."""
    near = covariance[1:]
    low = np.flatnonzero(near < 0.5 * near[0])
    return max(2.2 * float(lag[1 + low[0]]) if len(low) else float(lag[-1]), LEAST_CUT_PX)


def _least(
    covariances: list[tuple[Floats, Floats]], coverage: float, cuts: Floats, reach_px: float
) -> float:
    """Of these cuts the one with the least squares, with its parabola's bottom."""
    errors = np.full((len(_BLURS_PX), len(cuts)), np.inf)
    for i, blur in enumerate(_BLURS_PX):
        for j, cut in enumerate(cuts):
            errors[i, j] = sum(
                _residual(lag, value, coverage, cut, blur, reach_px) for lag, value in covariances
            )
    row, at = np.unravel_index(int(errors.argmin()), errors.shape)
    if not 0 < at < len(cuts) - 1:
        return float(cuts[at])
    left, middle, right = errors[row, at - 1 : at + 2]
    shift = 0.5 * (left - right) / max(left - 2.0 * middle + right, 1e-30)
    return float(cuts[at] * (cuts[at + 1] / cuts[at]) ** np.clip(shift, -1.0, 1.0))


def _residual(
    lag: Floats, value: Floats, coverage: float, cut: float, blur: float, reach_px: float
) -> float:
    near = (lag >= _LEAST_LAG_PX) & (lag <= max(reach_px, 6.0))
    weight = np.sqrt(lag[near])  # as many pairs of points lie at each distance
    columns = [_blurred(lag[near], coverage, cut, blur, i) for i in (0, 1)]
    terms = np.stack([*columns, np.ones(near.sum())], axis=-1) * weight[:, None]
    scale = max(float(value[near][0]), 1e-12)
    wanted = value[near] / scale * weight
    return min(_squares(terms[:, keep], wanted) for keep in ([0, 1, 2], [0, 2], [1, 2]))


def _squares(terms: Floats, wanted: Floats) -> float:
    """What least squares leave; without a negative share of flakes."""
    found = np.linalg.lstsq(terms, wanted, rcond=None)[0]
    if (found[:-1] < 0).any():
        return np.inf
    return float(((terms @ found - wanted) ** 2).sum())


def _blurred(lag: Floats, coverage: float, cut: float, blur: float, which: int) -> Floats:
    """The model's covariance as a picture with a Gaussian blur shows it."""
    return np.interp(lag / cut, *_table(coverage, round(blur / cut, 2), which))


@cache
def _table(coverage: float, blur_in_cuts: float, which: int) -> tuple[Floats, Floats]:
    """Over lags up to 2.2 cuts, from a plane of 0.05 cuts a step: two points, so √2 of the blur."""
    step = 0.05
    x = step * np.arange(-44, 45)
    plane = model_covariances(np.hypot(x, x[:, None]), coverage)[which]
    smooth = gaussian_filter(plane, np.sqrt(2.0) * blur_in_cuts / step, mode="nearest")
    return np.asarray(x[44:], np.float64), np.asarray(smooth[44, 44:], np.float64)
