"""Signed distance to the edge of a cut shape, mm, negative inside, in a narrow band about the edge.

The magnitude is the exact distance to the nearest edge segment, the sign the even-odd rule along
scan lines, so that no raster of the shape stands in between.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates
from shapely import MultiPolygon

__all__ = ["BAND_MM", "DistanceGrid", "signed_distance"]

Floats = NDArray[np.float32]

BAND_MM = 1.3  # distances saturate here; a little beyond the range of the stored channel
_LONGEST_MM = 6.0  # longer segments are split, or a slanted one would fill a large box
_KEPT = 48  # shapes, a MB each or so
_SLACK_MM = 0.002  # vertices closer to the line through their neighbours are dropped


@dataclass(frozen=True, slots=True)
class DistanceGrid:
    """Distances on square texels; the middle of texel [0, 0] lies at (left_mm, bottom_mm).

    Attributes
    ----------
    distance_mm : (h, w) float32
        Row 0 is the lowest; within ±`BAND_MM`.
    """

    distance_mm: Floats
    left_mm: float
    bottom_mm: float
    texel_mm: float

    def xs_mm(self) -> Floats:
        """The columns' middles, mm: (w,) float32."""
        columns = np.arange(self.distance_mm.shape[1], dtype=np.float32)
        return columns * np.float32(self.texel_mm) + np.float32(self.left_mm)

    def ys_mm(self) -> Floats:
        """The rows' middles, mm: (h,) float32."""
        rows = np.arange(self.distance_mm.shape[0], dtype=np.float32)
        return rows * np.float32(self.texel_mm) + np.float32(self.bottom_mm)

    def at(self, x_mm: NDArray[np.floating], y_mm: NDArray[np.floating]) -> Floats:
        """Distance at points, by bilinear interpolation; beyond the grid its border holds.

        Parameters
        ----------
        x_mm, y_mm : (...) float, mm, of one shape

        Returns
        -------
        (...) float32, mm
        """
        places = np.stack([y_mm - self.bottom_mm, x_mm - self.left_mm]) / self.texel_mm
        found: Floats = map_coordinates(
            self.distance_mm, places, order=1, mode="nearest", output=np.float32
        )
        return found


@lru_cache(maxsize=_KEPT)
def signed_distance(shape: MultiPolygon, texel_mm: float) -> DistanceGrid:
    """Distances to the edge of `shape` on a grid that reaches `BAND_MM` beyond it.

    Kept, so that a shape that is only moved need not be measured again.

    Parameters
    ----------
    shape
        Valid, not empty, mm, y up.
    texel_mm
        Side of a texel, mm.
    """
    west, south, east, north = shape.bounds
    left, bottom = west - BAND_MM - texel_mm, south - BAND_MM - texel_mm
    width = int(np.ceil((east - west + 2 * BAND_MM) / texel_mm)) + 3
    height = int(np.ceil((north - south + 2 * BAND_MM) / texel_mm)) + 3
    grid = DistanceGrid(np.full((height, width), BAND_MM**2, np.float32), left, bottom, texel_mm)
    starts, ends = _segments(shapely.simplify(shape, _SLACK_MM))
    _lower_to_segments(grid, *_split(starts, ends))
    distance = np.sqrt(grid.distance_mm, out=grid.distance_mm)
    np.negative(distance, out=distance, where=_inside(grid, starts, ends))
    distance.flags.writeable = False
    return grid


def _segments(shape: MultiPolygon) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Both ends of every edge segment: two (n, 2) float64, mm."""
    rings = shapely.get_rings(shapely.get_parts(shape))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    joined = (ring[1:] == ring[:-1]) & np.any(points[1:] != points[:-1], axis=1)
    return points[:-1][joined], points[1:][joined]


def _split(
    starts: NDArray[np.float64], ends: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Cut segments longer than `_LONGEST_MM` into equal pieces."""
    along = ends - starts
    pieces = np.ceil(np.hypot(*along.T) / _LONGEST_MM).astype(np.intp)
    of = np.repeat(np.arange(len(starts)), pieces)
    nth = np.arange(len(of)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    step = along[of] / pieces[of, None]
    first = starts[of] + step * nth[:, None]
    return first, first + step


def _lower_to_segments(
    grid: DistanceGrid, starts: NDArray[np.float64], ends: NDArray[np.float64]
) -> None:
    """Lower the grid, which holds squares, to the squared distance to each segment nearby."""
    xs, ys, squares = grid.xs_mm(), grid.ys_mm()[:, None], grid.distance_mm
    corner = np.array([grid.left_mm, grid.bottom_mm])
    low = np.floor((np.minimum(starts, ends) - BAND_MM - corner) / grid.texel_mm).astype(int)
    high = np.ceil((np.maximum(starts, ends) + BAND_MM - corner) / grid.texel_mm).astype(int) + 1
    np.maximum(low, 0, out=low)
    lengths = np.hypot(*(ends - starts).T)
    units = ((ends - starts) / lengths[:, None]).astype(np.float32)
    begins = starts.astype(np.float32)
    for (ax, ay), (ux, uy), length, (c0, r0), (c1, r1) in zip(
        begins, units, lengths.astype(np.float32), low.tolist(), high.tolist(), strict=True
    ):
        x, y = xs[c0:c1] - ax, ys[r0:r1] - ay
        along = x * ux + y * uy
        past = along - np.minimum(np.maximum(along, 0), length)
        across = x * uy - y * ux
        np.multiply(past, past, out=past)
        np.multiply(across, across, out=across)
        np.add(past, across, out=past)
        box = squares[r0:r1, c0:c1]
        np.minimum(box, past, out=box)


def _inside(
    grid: DistanceGrid, starts: NDArray[np.float64], ends: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Whether texel middles lie inside by the even-odd rule: (h, w) bool.

    A segment owns the scan lines from its lower end up to, not including, its upper one, so that
    a vertex on a scan line counts once.
    """
    up = starts[:, 1] <= ends[:, 1]
    lower, upper = np.where(up[:, None], starts, ends), np.where(up[:, None], ends, starts)
    first = np.ceil((lower[:, 1] - grid.bottom_mm) / grid.texel_mm).astype(np.intp)
    beyond = np.ceil((upper[:, 1] - grid.bottom_mm) / grid.texel_mm).astype(np.intp)
    of = np.repeat(np.arange(len(starts)), beyond - first)
    rows = np.arange(len(of)) - np.repeat(np.cumsum(beyond - first) - beyond, beyond - first)
    rise = (rows * grid.texel_mm + grid.bottom_mm - lower[of, 1]) / (upper - lower)[of, 1]
    crossing = lower[of, 0] + rise * (upper - lower)[of, 0]
    columns = np.ceil((crossing - grid.left_mm) / grid.texel_mm).astype(np.intp)
    toggles = np.zeros(grid.distance_mm.shape, np.uint8)
    np.add.at(toggles, (rows, columns), np.uint8(1))
    return (np.cumsum(toggles, axis=1, dtype=np.uint8) & 1).astype(bool)
