"""Outlines → smooth curves: cubic Béziers through the outline's points, straight edges kept.

The points of an outline lie on the source's own curves (path data, glyphs, arcs of an outset), a
flattening apart of at most 0.01 mm. Between corners cubics are fitted to them, so that a cutter
follows a curve instead of many short chords. A fitted curve passes each point within 0.005 mm and
strays from the outline by at most 0.012 mm anywhere: with the flattening, 0.02 mm from the source.

References
----------
Schneider (1990), "An Algorithm for Automatically Fitting Digitized Curves", Graphics Gems.
"""

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from mockup.outputs.cut.path import Command, Path

__all__ = ["curves_from"]

Floats = NDArray[np.float64]

_POINT_MM = 0.005  # how near a curve passes the outline's points
_STRAY_MM = 0.012  # and the chords between them
_CORNER_RAD = np.radians(28.0)  # a sharper turn is a corner of the shape
_SAGITTA_MM = 0.03  # no chord of a flattened curve stands off its curve so far: a straight edge
_STRAIGHT_MM = 1e-4
_NEWTON_STEPS = 4
_SAMPLES = np.linspace(0, 1, 17)


def curves_from(outline: BaseGeometry) -> tuple[Path, ...]:
    """One closed path for each part of a polygon, its holes with it; same axes, mm."""
    return tuple(
        Path(tuple(c for ring in shapely.get_rings(part) for c in _ring(ring)))
        for part in shapely.get_parts(outline)
    )


def _ring(ring: BaseGeometry) -> Iterator[Command]:
    points = shapely.get_coordinates(ring)[:-1]
    points = points[np.any(points != np.roll(points, 1, axis=0), axis=1)]
    knots, smooth_start = _knots(points)
    points = np.roll(points, -knots[0], axis=0)
    ends = [*(knot - knots[0] for knot in knots[1:]), len(points)]
    closed = np.concatenate([points, points[:1]])
    yield "M", (_pair(points[0]),)
    start = 0
    for end in ends:
        run = closed[start : end + 1]
        if len(run) == 2:
            yield "L", (_pair(run[-1]),)
        else:
            tangent = None
            if smooth_start:  # no corner at all: the ring leaves and comes back in one direction
                tangent = _unit(points[1] - points[-1])
            yield from _fit(run, tangent, None if tangent is None else -tangent)
        start = end
    yield "Z", ()


def _knots(points: Floats) -> tuple[list[int], bool]:
    """Indices of corners and of the ends of straight edges; a smooth ring has one, anywhere."""
    ahead = np.roll(points, -1, axis=0) - points
    heading = np.arctan2(ahead[:, 1], ahead[:, 0])
    turn = np.abs(np.mod(heading - np.roll(heading, 1) + np.pi, 2 * np.pi) - np.pi)
    corner = turn > _CORNER_RAD
    length = np.hypot(*ahead.T)
    steepest = np.maximum(turn, np.roll(turn, -1))
    straight = length * steepest / 8 > _SAGITTA_MM
    found = corner | straight | np.roll(straight, 1)
    knots = np.flatnonzero(found).tolist()
    return (knots, False) if knots else ([0], True)


def _fit(points: Floats, first: Floats | None, last: Floats | None) -> Iterator[Command]:
    """Cubics through a run of points; `first` and `last` are unit tangents into the run."""
    if _is_straight(points):
        yield "L", (_pair(points[-1]),)
        return
    first = _tangent(points) if first is None else first
    last = _tangent(points[::-1]) if last is None else last
    cubic, split = _fitted(points, first, last)
    if cubic is not None:
        yield "C", (_pair(cubic[1]), _pair(cubic[2]), _pair(cubic[3]))
        return
    across = _unit(points[split + 1] - points[split - 1])
    yield from _fit(points[: split + 1], first, -across)
    yield from _fit(points[split:], across, last)


def _is_straight(points: Floats) -> bool:
    along = _unit(points[-1] - points[0])
    if len(points) == 2:
        return False  # left over between two partings of one curve
    from_start = points - points[0]
    across = np.abs(from_start[:, 0] * along[1] - from_start[:, 1] * along[0])
    return bool(across.max() < _STRAIGHT_MM and np.diff(from_start @ along).min() > 0)


def _fitted(points: Floats, first: Floats, last: Floats) -> tuple[Floats | None, int]:
    """A cubic within the tolerances, or None and the point where to part the run."""
    if len(points) == 2:
        third = (points[1] - points[0]) / 3
        reach = float(np.hypot(*third))
        leave = reach * first if first @ third > reach / 2 else third
        arrive = reach * last if -last @ third > reach / 2 else -third
        return np.stack([points[0], points[0] + leave, points[1] + arrive, points[1]]), 1
    if np.array_equal(points[0], points[-1]):
        return None, len(points) // 2
    steps = np.hypot(*np.diff(points, axis=0).T)
    share = np.concatenate([[0.0], np.cumsum(steps)]) / steps.sum()
    chords = shapely.LineString(points)
    worst = len(points) // 2
    for _ in range(_NEWTON_STEPS + 1):
        cubic = _least_squares(points, share, first, last)
        error = np.hypot(*(_cubic_at(cubic, share) - points).T)
        worst = int(np.clip(error.argmax(), 1, len(points) - 2))
        if error.max() <= _POINT_MM:
            along = shapely.points(_cubic_at(cubic, _SAMPLES))
            if shapely.distance(along, chords).max() <= _STRAY_MM:
                return cubic, worst
            break
        if error.max() > 40 * _POINT_MM:
            break
        share = _nearer(cubic, points, share)
    return None, worst


def _least_squares(points: Floats, share: Floats, first: Floats, last: Floats) -> Floats:
    """Schneider's step: the two handles' lengths that fit best, the tangents held."""
    t, s = share, 1 - share
    b0, b1, b2, b3 = s**3, 3 * s * s * t, 3 * s * t * t, t**3
    p0, p3 = points[0], points[-1]
    rest = points - np.outer(b0 + b1, p0) - np.outer(b2 + b3, p3)
    a1, a2 = np.outer(b1, first), np.outer(b2, last)
    matrix = np.array([[np.vdot(a1, a1), np.vdot(a1, a2)], [np.vdot(a1, a2), np.vdot(a2, a2)]])
    right = np.array([np.vdot(a1, rest), np.vdot(a2, rest)])
    chord = float(np.hypot(*(p3 - p0)))
    reach = np.full(2, chord / 3)
    if abs(np.linalg.det(matrix)) > 1e-12 * max(np.vdot(matrix, matrix), 1e-30):
        solved = np.linalg.solve(matrix, right)
        if solved.min() > 1e-6 * chord:
            reach = solved
    return np.stack([p0, p0 + reach[0] * first, p3 + reach[1] * last, p3])


def _nearer(cubic: Floats, points: Floats, share: Floats) -> Floats:
    """One Newton step for the parameter of each point."""
    slope = 3 * np.diff(cubic, axis=0)
    bend = 2 * np.diff(slope, axis=0)
    t, s = share[:, None], 1 - share[:, None]
    away = _cubic_at(cubic, share) - points
    d1 = s * s * slope[0] + 2 * s * t * slope[1] + t * t * slope[2]
    d2 = s * bend[0] + t * bend[1]
    below = (d1 * d1).sum(axis=1) + (away * d2).sum(axis=1)
    step = np.divide((away * d1).sum(axis=1), below, out=np.zeros(len(share)), where=below > 1e-12)
    moved = np.clip(share - step, 0, 1)
    moved[0], moved[-1] = 0.0, 1.0
    return np.asarray(moved)


def _cubic_at(cubic: Floats, share: Floats) -> Floats:
    t, s = share[:, None], 1 - share[:, None]
    p0, p1, p2, p3 = cubic
    return np.asarray(s**3 * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t**3 * p3)


def _tangent(points: Floats) -> Floats:
    """Direction at the first point: of the parabola through the first three, by chord length."""
    if len(points) < 3:
        return _unit(points[1] - points[0])
    a, b = points[1] - points[0], points[2] - points[1]
    la, lb = float(np.hypot(*a)), float(np.hypot(*b))
    slope = a / la * (1 + la / (la + lb)) - b / lb * (la / (la + lb))
    return _unit(slope)


def _unit(vector: Floats) -> Floats:
    length = float(np.hypot(*vector))
    return vector / length if length > 0 else np.array([1.0, 0.0])


def _pair(point: Floats) -> tuple[float, float]:
    return float(point[0]), float(point[1])
