"""How narrow the strokes of a cut shape and the gaps between them get.

A shape is opened by a disc (Serra 1982, ch. II): what the disc cannot reach is narrower than it.
At every sharp corner a little is out of reach, which a blade cuts well; what counts is where the
opening breaks a part in two, swallows it, or leaves a tail longer than corners leave.
"""

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

__all__ = ["narrowest"]

_SIMPLE_MM = 0.01
_TAIL = 1.5  # times the width; the tip of a corner of 34° is as long
_STEP_MM = 0.05  # widths are told to this
_QUAD_SEGS = 6


def narrowest(outline: MultiPolygon, limit_mm: float) -> tuple[float | None, float | None]:
    """Width of the narrowest stroke and of the narrowest gap, mm, to 0.05 mm.

    None where all of them are at least `limit_mm` wide.
    """
    shape = shapely.simplify(outline, _SIMPLE_MM)
    ground = shapely.box(*shape.buffer(4 * limit_mm).bounds) - shape
    stroke, gap = _narrowest_part(shape, limit_mm), _narrowest_part(ground, limit_mm)
    joined = _closest(shape, limit_mm)
    return stroke, min((w for w in (gap, joined) if w is not None), default=None)


def _narrowest_part(shape: BaseGeometry, limit_mm: float) -> float | None:
    parts = [part for part in shapely.get_parts(shape) if part.area > _STEP_MM**2]
    widths = (_narrowest_of(part, limit_mm) for part in parts)
    return min((width for width in widths if width is not None), default=None)


def _narrowest_of(part: BaseGeometry, limit_mm: float) -> float | None:
    """By halving: the least width at which one part is found too narrow."""
    low, high = 0.0, limit_mm - _STEP_MM  # what is told to a step can pass by a step
    if not _too_narrow(part, high):
        return None
    while high - low > _STEP_MM:
        middle = (low + high) / 2
        low, high = (low, middle) if _too_narrow(part, middle) else (middle, high)
    return high


def _too_narrow(part: BaseGeometry, width_mm: float) -> bool:
    """Whether a disc of this width cannot pass along the whole part."""
    core = part.buffer(-width_mm / 2 * (1 - 1e-6), quad_segs=_QUAD_SEGS)
    if len(shapely.get_parts(core)) != 1 or core.is_empty:
        return True
    rest = shapely.get_parts(part - core.buffer(width_mm / 2, quad_segs=_QUAD_SEGS))
    longest = max((_reach(r) for r in rest), default=0.0)
    if longest <= _TAIL * width_mm:
        return False
    opened = core.buffer(width_mm / 2 + 1e-4, quad_segs=_QUAD_SEGS)
    tails = [r for r in rest if _reach(r) > _TAIL * width_mm]
    return any(_tail(tail, opened) > _TAIL * width_mm for tail in tails)


def _reach(region: BaseGeometry) -> float:
    west, south, east, north = region.bounds
    return float(np.hypot(east - west, north - south))


def _tail(rest: BaseGeometry, opened: BaseGeometry) -> float:
    """How far what is out of reach goes on from what is in reach."""
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(rest, 0.25)))
    return float(shapely.distance(points, opened).max())


def _closest(shape: BaseGeometry, limit_mm: float) -> float | None:
    """Least distance between two parts, where below the limit."""
    parts = shapely.get_parts(shape)
    tree = shapely.STRtree(parts)
    first, second = tree.query(parts, predicate="dwithin", distance=limit_mm)
    apart = first < second
    if not apart.any():
        return None
    distances = shapely.distance(parts[first[apart]], parts[second[apart]])
    least = float(distances.min())
    return least if least < limit_mm else None
