"""Pen commands → polygons: curves flattened within a tolerance, filled under either rule."""

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any, Literal

import numpy as np
import shapely
from fontTools.pens.basePen import BasePen
from numpy.typing import NDArray

__all__ = ["Contour", "FlatteningPen", "as_multipolygon", "filled"]

Contour = NDArray[np.float64]
FillRule = Literal["nonzero", "evenodd"]
_PAIRS_AT_ONCE = 2_000_000
_MOST_CHORDS = 4096  # to a curve
_Point = tuple[float, float]


class FlatteningPen(BasePen):  # type: ignore[misc]  # fontTools is untyped here
    """Collects contours as points; no chord leaves its curve by more than `tolerance`.

    `contours` holds (n, 2) float64 arrays, in the pen's units; whether they were closed is not
    kept, since a fill closes them all.
    """

    def __init__(self, tolerance: float) -> None:
        super().__init__(None)
        self.tolerance = tolerance
        self.contours: list[Contour] = []
        self._runs: list[NDArray[np.float64]] = []

    def _moveTo(self, point: _Point) -> None:  # noqa: N802  the protocol's names
        self._runs = [np.array([point], dtype=np.float64)]

    def _lineTo(self, point: _Point) -> None:  # noqa: N802
        self._runs.append(np.array([point], dtype=np.float64))

    def _curveToOne(self, b: _Point, c: _Point, d: _Point) -> None:  # noqa: N802
        a = self._getCurrentPoint()
        second = max(_second_difference(a, b, c), _second_difference(b, c, d))
        self._runs.append(_cubic_weights(self._chords(6 * second)) @ np.array([a, b, c, d]))

    def _qCurveToOne(self, b: _Point, c: _Point) -> None:  # noqa: N802
        a = self._getCurrentPoint()
        chords = self._chords(2 * _second_difference(a, b, c))
        self._runs.append(_quadratic_weights(chords) @ np.array([a, b, c]))

    def _chords(self, bend: float) -> int:
        """How many: a chord of step h leaves a curve by at most h² max|B″| / 8."""
        if not math.isfinite(bend):
            return 1
        return min(max(1, math.ceil(math.sqrt(bend / (8 * self.tolerance)))), _MOST_CHORDS)

    def _closePath(self) -> None:  # noqa: N802
        self._end()

    def _endPath(self) -> None:  # noqa: N802
        self._end()

    def _end(self) -> None:
        self.contours.append(np.concatenate(self._runs))


@lru_cache(maxsize=256)
def _cubic_weights(chords: int) -> NDArray[np.float64]:
    """Bernstein weights at the chords' ends, the curve's own start left out: (chords, 4)."""
    t = np.linspace(0, 1, chords + 1)[1:]
    s = 1 - t
    return np.column_stack([s**3, 3 * s * s * t, 3 * s * t * t, t**3])


@lru_cache(maxsize=256)
def _quadratic_weights(chords: int) -> NDArray[np.float64]:
    t = np.linspace(0, 1, chords + 1)[1:]
    s = 1 - t
    return np.column_stack([s * s, 2 * s * t, t * t])


def _second_difference(a: _Point, b: _Point, c: _Point) -> float:
    return math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1])


def filled(contours: Sequence[Contour], rule: FillRule) -> Any:
    """The region that `contours`, each closed, enclose under the fill rule.

    The contours are cut at their crossings, the faces between them found, and each face kept by
    its winding number; so any number of crossings within or between contours is allowed.

    Returns
    -------
    shapely Polygon or MultiPolygon, valid; empty if nothing is enclosed.

    References
    ----------
    SVG 2, sec. 13.4.2, ``fill-rule``.
    """
    rings = [np.concatenate([c, c[:1]]) for c in contours if len(np.unique(c, axis=0)) > 2]
    if not rings:
        return shapely.Polygon()
    if len(rings) == 1:
        simple = shapely.Polygon(rings[0])
        if simple.is_valid:
            return simple
    edges = shapely.union_all([shapely.LineString(ring) for ring in rings])
    faces = np.array(shapely.polygonize([edges]).geoms, dtype=object)
    if len(faces) == 0:
        return shapely.Polygon()
    inside = shapely.get_coordinates(shapely.point_on_surface(faces))
    winding = _winding_numbers(inside, rings)
    kept = faces[winding % 2 != 0 if rule == "evenodd" else winding != 0]
    return shapely.union_all(kept)


def _winding_numbers(points: Contour, rings: Sequence[Contour]) -> NDArray[np.int64]:
    """How often the rings go round each point, anticlockwise positive; (n,) int64.

    Sunday (2001), "Inclusion of a point in a polygon": upward edges with the point on their left
    count +1, downward ones with it on their right −1.
    """
    winding = np.zeros(len(points), dtype=np.int64)
    tree = shapely.STRtree(shapely.points(points))
    boxes = shapely.box(*np.array([[*r.min(axis=0), *r.max(axis=0)] for r in rings]).T)
    which_ring, which_point = tree.query(boxes)
    for i in np.unique(which_ring):
        near = which_point[which_ring == i]
        start, end = rings[i][:-1], rings[i][1:]
        for some in np.array_split(near, -(-len(near) * len(start) // _PAIRS_AT_ONCE)):
            x, y = points[some, 0, None], points[some, 1, None]
            run = (end - start).T
            left = run[0] * (y - start[:, 1]) - (x - start[:, 0]) * run[1]
            up = (start[:, 1] <= y) & (end[:, 1] > y) & (left > 0)
            down = (start[:, 1] > y) & (end[:, 1] <= y) & (left < 0)
            winding[some] += up.sum(axis=1) - down.sum(axis=1)
    return winding


def as_multipolygon(geometry: Any) -> Any:
    """The areal parts of any geometry as one valid MultiPolygon, lines and points dropped."""
    if not geometry.is_valid:
        geometry = shapely.make_valid(geometry)
    parts = shapely.get_parts(shapely.get_parts([geometry]))
    return shapely.MultiPolygon([p for p in parts if p.geom_type == "Polygon" and p.area > 0])
