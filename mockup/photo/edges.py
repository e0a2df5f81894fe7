"""Edges in a photo near where an outline is expected.

A finished cup is full of edges of its own, lettering, flakes, mirrored lamps; the ground has few.
So the edge that counts is the outermost one, in colour, across the expected outline. Steps are
taken over a few samples and a few neighbouring points, so that grain makes none.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from mockup.colorimetry.srgb import srgb_from_linear
from mockup.photo.outline import Outline

__all__ = ["Edges", "Level", "edges_near", "pyramid"]

Floats = NDArray[np.float64]
Light = NDArray[np.float32]

_ALONG = 3.0  # points of the outline over which steps are judged together
_SIDE = 3  # samples on either side that a step is taken between
_LEAST_STEP = 0.02  # sRGB-encoded, over all channels
_LEAST_SHARE = 0.04  # of the largest step in the search
_SHARP = 0.25  # σ, in samples, of where a strong step lies


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """A photo made smaller by `scale` (px of it over px of the photo).

    `both` : (h, w, 6) float32, encoded light and linear light behind one another.
    """

    scale: float
    both: Light

    @property
    def encoded(self) -> Light:
        """(h, w, 3), sRGB-encoded."""
        return self.both[..., :3]


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """What was found for each point of an outline.

    Attributes
    ----------
    offset_px : (n,) float64
        Outward from the point to the edge, px of the photo.
    sigma_px : (n,) float64
        How sure the place is.
    size : (n,) float64
        Of the step, sRGB-encoded, over all channels; 0 where there is none.
    inside : (n,) bool
        Whether the whole search lies within the picture.
    """

    offset_px: Floats
    sigma_px: Floats
    size: Floats
    inside: NDArray[np.bool_]


def pyramid(rgb_linear: Light, levels: int) -> tuple[Level, ...]:
    """The photo and halves of it, largest first; (h, w, 3) linear sRGB."""
    found, light, scale = [], np.asarray(rgb_linear, np.float32), 1.0
    for _ in range(levels):
        encoded = srgb_from_linear(light).astype(np.float32)
        found.append(Level(scale, np.concatenate([encoded, light], axis=-1)))
        height, width = (side // 2 * 2 for side in light.shape[:2])
        quads = light[:height, :width].reshape(height // 2, 2, width // 2, 2, 3)
        light, scale = quads.mean(axis=(1, 3)), scale / 2
    return tuple(found)


def edges_near(level: Level, outline: Outline, *, reach: int, step: float = 1.0) -> Edges:
    """Look `reach` samples to either side of every point, `step` px of the level apart."""
    at = np.arange(-reach, reach + 1) * step
    places = (outline.pixel * level.scale)[:, None] + at[:, None] * outline.normal[:, None]
    height, width = level.both.shape[:2]
    margin = 0.5
    within = (places > margin) & (places < np.array([width, height]) - margin)
    encoded, linear = np.split(_read(level.both, places), 2, axis=-1)
    place, size = _outermost(encoded, linear, outline.border)
    scale = step / level.scale
    sigma = (0.15 + 0.06 / np.maximum(size, _LEAST_STEP)) / level.scale
    return Edges((place - reach) * scale, sigma, size, np.asarray(within.all(axis=(1, 2))))


def _read(light: Light, places: Floats) -> Floats:
    """Values at places (n, m, 2), bilinear, at the picture's border as its last pixels: (n, m, k).

    All channels at once: half of a fit's time would go into reading them one by one.
    """
    height, width, channels = light.shape
    x = np.clip(places[..., 0] - 0.5, 0, width - 1)
    y = np.clip(places[..., 1] - 0.5, 0, height - 1)
    column, row = x.astype(np.intp), y.astype(np.intp)
    right, down = np.minimum(column + 1, width - 1) - column, np.minimum(row + 1, height - 1) - row
    across, below = (x - column)[..., None], (y - row)[..., None]
    flat, at, down = light.reshape(-1, channels), row * width + column, down * width
    upper = (1 - across) * flat.take(at, axis=0) + across * flat.take(at + right, axis=0)
    at = at + down
    lower = (1 - across) * flat.take(at, axis=0) + across * flat.take(at + right, axis=0)
    return np.asarray((1 - below) * upper + below * lower)


def _outermost(shown: Floats, light: Floats, border: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Place, in samples, of the outermost step of each row, and its size.

    At borders it is the largest, the nearer the likelier.
    It is found in encoded values, where dark steps count as much as bright ones, and placed in
    light, which a lens blurs alike on both sides of an edge.
    """
    size = _steps(shown)
    least = np.maximum(_LEAST_STEP, _LEAST_SHARE * size.max(axis=1, keepdims=True))
    peak = (size > least)[:, 2:-2]
    peak &= (size[:, 2:-2] >= size[:, 1:-3]) & (size[:, 2:-2] > size[:, 3:-1])
    nth = np.where(peak, np.arange(2, size.shape[1] - 2), -1).max(axis=1)
    near = 1 - np.linspace(-1, 1, size.shape[1] - 4) ** 2
    nth[border] = np.where(peak, size[:, 2:-2] * near, 0.0)[border].argmax(axis=1) + 2
    there = np.where(border, peak.any(axis=1), nth > 0)
    nth = np.where(there, nth, size.shape[1] // 2)
    found = np.take_along_axis(size, nth[:, None], axis=1)[:, 0]
    around = np.take_along_axis(_steps(light), nth[:, None] + np.arange(-2, 3), axis=1)
    top = 1 + around[:, 1:4].argmax(axis=1)
    before, at, after = (
        np.take_along_axis(around, top[:, None] + k, axis=1)[:, 0] for k in (-1, 0, 1)
    )
    curve = np.maximum(2 * at - before - after, 1e-9)
    beyond = np.where(there, top - 2 + np.clip((after - before) / 2 / curve, -0.5, 0.5), 0.0)
    return nth + _SIDE - 0.5 + beyond, np.where(there, found, 0.0)


def _steps(values: Floats) -> Floats:
    """Difference between the `_SIDE` samples after and before each cut, of all channels: (n, k)."""
    count = values.shape[1]
    total = np.concatenate([np.zeros_like(values[:, :1]), values.cumsum(axis=1)], axis=1)
    cut = np.arange(_SIDE, count - _SIDE + 1)
    step = (total[:, cut + _SIDE] - 2 * total[:, cut] + total[:, cut - _SIDE]) / _SIDE
    smooth = gaussian_filter1d(step, _ALONG, axis=0, mode="nearest")
    return np.asarray(np.linalg.norm(smooth, axis=-1))
