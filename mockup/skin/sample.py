"""Rasters read between their pixels: bilinear, in linear light, with crisp borders or repeated."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.srgb import linear_from_rgb8

__all__ = ["Edge", "linear_raster", "sampled"]

Floats = NDArray[np.float32]
Edge = Literal["repeat", "hold", "cut"]


@dataclass(frozen=True, slots=True)
class _Taps:
    """The two pixels beside each coordinate and the second one's weight, along one axis."""

    first: NDArray[np.intp]
    second: NDArray[np.intp]
    weight: Floats
    inside: Floats | None


def linear_raster(rgba8_srgb: NDArray[np.uint8]) -> Floats:
    """(h, w, 4) uint8, sRGB codes and opacity → (h, w, 4) float32, linear light and share."""
    linear: Floats = linear_from_rgb8(rgba8_srgb)
    linear[..., 3] = rgba8_srgb[..., 3] * np.float32(1 / 255)
    return linear


def sampled(
    raster: Floats,
    across_px: NDArray[np.floating],
    down_px: NDArray[np.floating],
    *,
    edges: tuple[Edge, Edge],
    spacing_px: tuple[float, float] = (1.0, 1.0),
) -> Floats:
    """Values of a raster at places between its pixels.

    Parameters
    ----------
    raster : (h, w, c) float32
    across_px, down_px : (m or 1, n or 1) float, px
        0 is the middle of the first pixel. A row and a column of coordinates are read by one axis
        after the other, which is several times as quick.
    edges
        Beyond its edges, across and down, the raster repeats, holds its last pixel, or is cut: its
        last channel, the opacity, is scaled by the share of a place that lies within.
    spacing_px
        Size of a place, across and down.

    Returns
    -------
    (m, n, c) float32
    """
    height, width = raster.shape[:2]
    across = _taps(across_px, width, edges[0], spacing_px[0])
    down = _taps(down_px, height, edges[1], spacing_px[1])
    if across_px.shape[0] == 1 and down_px.shape[1] == 1:
        values = _along_axes(raster, across, down)
    else:
        values = _scattered(raster, across, down)
    for inside in (across.inside, down.inside):
        if inside is not None:
            values[..., -1] *= inside
    return values


def _taps(at_px: NDArray[np.floating], length: int, edge: Edge, spacing_px: float) -> _Taps:
    below = np.floor(at_px)
    weight = (at_px - below).astype(np.float32)
    first = below.astype(np.intp)
    if edge == "repeat":
        return _Taps(first % length, (first + 1) % length, weight, None)
    last = length - 1
    held = np.clip(first, 0, last), np.clip(first + 1, 0, last)
    if edge == "hold":
        return _Taps(*held, weight, None)
    from_edge = np.minimum(at_px + 0.5, length - 0.5 - at_px)
    inside = np.clip(from_edge / spacing_px + 0.5, 0, 1)
    return _Taps(*held, weight, inside.astype(np.float32))


def _along_axes(raster: Floats, across: _Taps, down: _Taps) -> Floats:
    rows = _mixed(raster[down.first[:, 0]], raster[down.second[:, 0]], down.weight[..., None])
    left: Floats = np.take(rows, across.first[0], axis=1)
    if across.weight.max() < 1e-3:
        return left  # pixels lie on pixels
    return _mixed(left, np.take(rows, across.second[0], axis=1), across.weight[..., None])


def _scattered(raster: Floats, across: _Taps, down: _Taps) -> Floats:
    pixels, width = raster.reshape(-1, raster.shape[-1]), raster.shape[1]
    a, b = across.weight[..., None], down.weight[..., None]
    rows = []
    for row in (down.first, down.second):
        left, right = (
            np.take(pixels, row * width + c, axis=0) for c in (across.first, across.second)
        )
        rows.append(_mixed(left, right, a))
    return _mixed(rows[0], rows[1], b)


def _mixed(first: Floats, second: Floats, weight: Floats) -> Floats:
    """Linear mix, first + weight · (second − first), in place of `second`."""
    second -= first
    second *= weight
    second += first
    return second
