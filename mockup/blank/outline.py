"""The whole cup as its half section: foot, wall, lip, inside and lid, in runs with exact normals.

A run is a smooth piece of the section; where two runs meet at an angle there is a crease. Runs go
from the middle of the underside outward, up the wall, over the lip and down the inside, so that
the steel lies on their left and the normal on their right. Shapes below the foot gap, above the
rim gap and of the lid are plain stand-ins, not measures.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from mockup.blank.wall import LID_RISE_MM, Blank

__all__ = ["CupPart", "Run", "cup_outline"]

Floats = NDArray[np.float64]

_LEAST_RUN_MM = 1e-4  # shorter ones vanish in single precision
_FOOT_ROUND_MM = 3.0
_RECESS_MM = 1.5  # of the underside
_RING_MM = 3.0  # that the cup stands on
_FLOOR_Z_MM, _FLOOR_FILLET_MM = 6.0, 7.0
_LID_OVERLAP_MM = 1.5
_LID_DOME_MM = 2.0  # the rest of the lid's rise is its round edge
_PLUG_MM, _PLUG_GAP_MM = 6.0, 0.4
_RIDGE_AT, _RIDGE_WIDTH, _RIDGE_MM = (
    0.76,
    0.16,
    1.1,
)  # place and width in shares of the lid's radius
_ROWS_PER_MM, _LEAST_ROWS, _MOST_ROWS = 0.5, 24, 42  # of the wall


class CupPart(IntEnum):
    """What a triangle belongs to."""

    WALL = 0
    STEEL = 1
    LID = 2


@dataclass(frozen=True, slots=True)
class Run:
    """A smooth piece of the half section.

    Attributes
    ----------
    points_mm, normals : (n, 2) float64
        (r, z) in object space, and unit outward normals in the same plane.
    heights_mm : (n,) float64
        Way along the section from the wall's foot: wall coordinates, continued.
    """

    part: CupPart
    points_mm: Floats
    normals: Floats
    heights_mm: Floats


def cup_outline(blank: Blank) -> tuple[Run, ...]:
    """The cup's half section: the closed steel body, then, where there is one, the closed lid."""
    below, above = _foot(blank), [*_lip(blank), *_inside(blank)]
    wall = _wall(blank, 0.0, blank.wall.length_mm, _wall_rows(blank), CupPart.WALL)
    body = _joined([*below, wall, *above])
    at = len(below)
    upward = _measured(body[at + 1 :], blank.wall.length_mm)
    length = sum(_length(run) for run in body[:at])
    body = [*_measured(body[:at], -length), body[at], *upward]
    if not blank.lid:
        return tuple(body)
    return (*body, *_measured(_joined(_lid(blank)), blank.lip_height_mm))


def _wall_rows(blank: Blank) -> int:
    if blank.wall.kind != "profile":
        return _LEAST_ROWS
    rows = int(np.ceil(blank.wall.length_mm * _ROWS_PER_MM))
    return int(np.clip(rows, _LEAST_ROWS, _MOST_ROWS))


def _wall(blank: Blank, from_mm: float, to_mm: float, rows: int, part: CupPart) -> Run:
    v = np.linspace(from_mm, to_mm, rows)
    rise, along = blank.wall.slope_at(v)
    points = np.stack([blank.wall.radius_at(v), blank.wall_foot_z_mm + blank.wall.z_at(v)], axis=-1)
    return Run(part, points, np.stack([along, -rise], axis=-1), v)


def _line(points: Sequence[tuple[float, float]], part: CupPart = CupPart.STEEL) -> Run:
    """A straight run; its normal is on the right of the way."""
    ends = np.asarray(points, dtype=np.float64)
    way = (ends[-1] - ends[0]) / np.linalg.norm(ends[-1] - ends[0])
    normals = np.tile([way[1], -way[0]], (len(ends), 1))
    return Run(part, ends, normals, np.zeros(len(ends)))


def _arc(
    middle: Floats, radius_mm: float, from_rad: float, to_rad: float, rows: int, part: CupPart
) -> Run:
    """A round run; a negative radius makes it hollow. Angles are those of its normals."""
    angle = np.linspace(from_rad, to_rad, rows)
    normals = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    return Run(part, middle + radius_mm * normals, normals, np.zeros(rows))


def _foot(blank: Blank) -> list[Run]:
    """From the middle of the underside to the wall's foot: recess, ring, round edge, gap."""
    gap = blank.foot_gap_mm
    rise, along = (float(part) for part in blank.wall.slope_at(0.0))
    corner = float(blank.wall.radius_at(-gap))
    half_corner = (1 + rise) / along  # tangent of half the angle between wall and table
    tangent = min(_FOOT_ROUND_MM / half_corner, gap, 0.3 * corner)
    radius = tangent * half_corner
    outer = corner - tangent
    inner = outer - min(_RING_MM, 0.2 * corner)
    recess = min(_RECESS_MM, 0.2 * inner, 0.1 * blank.lip_z_mm)
    runs = [
        _line([(0.0, recess), (inner - recess, recess)]),
        _line([(inner - recess, recess), (inner, 0.0)]),
        _line([(inner, 0.0), (outer, 0.0)]),
    ]
    if gap > _LEAST_RUN_MM:
        middle = np.array([outer, radius])
        start, end = -np.pi / 2, float(np.arctan2(-rise, along))
        runs.append(_arc(middle, radius, start, end, 6, CupPart.STEEL))
    if gap - tangent > _LEAST_RUN_MM:
        runs.append(_wall(blank, tangent - gap, 0.0, 2, CupPart.STEEL))
    return runs


def _lip_round(blank: Blank) -> tuple[Floats, float]:
    """Middle (r, z) of the lip's half circle and the direction of the wall's normal, rad."""
    start = _wall(blank, blank.lip_height_mm, blank.lip_height_mm, 1, CupPart.STEEL)
    normal = start.normals[0]
    middle = start.points_mm[0] - blank.steel_mm / 2 * normal
    return middle, float(np.arctan2(normal[1], normal[0]))


def _lip(blank: Blank) -> list[Run]:
    middle, outward = _lip_round(blank)
    half = blank.steel_mm / 2
    runs = [_arc(middle, half, outward, outward + np.pi, 9, CupPart.STEEL)]
    if blank.lip_height_mm - blank.wall.length_mm > _LEAST_RUN_MM:
        rim = _wall(blank, blank.wall.length_mm, blank.lip_height_mm, 2, CupPart.STEEL)
        runs.insert(0, rim)
    return runs


def _bore(blank: Blank, heights_mm: Floats) -> tuple[Floats, Floats]:
    """Points and normals of the inside: the wall set inward by the same amount all the way."""
    outside = _wall(blank, 0.0, 0.0, 1, CupPart.STEEL)
    rise, along = blank.wall.slope_at(heights_mm)
    inset = blank.steel_mm / float(blank.wall.slope_at(blank.lip_height_mm)[1])
    radius = blank.wall.radius_at(heights_mm) - inset
    z = outside.points_mm[0, 1] + blank.wall.z_at(heights_mm)
    return np.stack([radius, z], axis=-1), np.stack([-along, rise], axis=-1)


def _inside(blank: Blank) -> list[Run]:
    """Down the inside from the lip, round the fillet and across the floor to the axis."""
    wall, top = blank.wall, blank.lip_z_mm
    floor = min(_FLOOR_Z_MM, 0.15 * top)
    fillet = min(_FLOOR_FILLET_MM, 0.2 * top, 0.3 * wall.radius_min_mm)
    rise, along = (float(part) for part in wall.slope_at(blank.lip_height_mm))
    start = blank.lip_height_mm + blank.steel_mm * rise / along

    def above_fillet(height_mm: float) -> float:
        """How far a ball that touches the inside at this height hangs above the floor."""
        points, normals = _bore(blank, np.array([height_mm]))
        return float(points[0, 1] + fillet * normals[0, 1]) - floor - fillet

    lowest = float(wall.height_at(floor - blank.wall_foot_z_mm))
    end = _root(above_fillet, lowest, start)
    heights = np.linspace(start, end, 9 if wall.kind != "profile" else 18)
    points, normals = _bore(blank, heights)
    middle = points[-1] + fillet * normals[-1]
    leaning = float(np.arctan2(normals[-1, 1], normals[-1, 0])) % (2 * np.pi)
    return [
        Run(CupPart.STEEL, points, normals, heights),
        _arc(middle, -fillet, leaning, np.pi / 2, 5, CupPart.STEEL),
        _line([(float(middle[0]), floor), (0.0, floor)]),
    ]


def _lid(blank: Blank) -> list[Run]:
    """A push-in lid: plug, round edge on the lip, a low dome with a ridge round it."""
    middle, _ = _lip_round(blank)
    seat = blank.lip_z_mm
    half = (LID_RISE_MM - _LID_DOME_MM) / 2
    edge = float(middle[0]) + blank.steel_mm / 2 + _LID_OVERLAP_MM - half
    depth = min(_PLUG_MM, 0.2 * seat)
    near = np.linspace(blank.lip_height_mm - 2 * depth, blank.lip_height_mm, 33)
    bore = min(float(_bore(blank, near)[0][:, 0].min()), float(middle[0]) - blank.steel_mm / 2)
    plug = bore - min(_PLUG_GAP_MM, 0.1 * bore)
    lid = CupPart.LID
    return [
        _line([(0.0, seat - depth), (plug, seat - depth)], lid),
        _line([(plug, seat - depth), (plug, seat)], lid),
        _line([(plug, seat), (edge, seat)], lid),
        _arc(np.array([edge, seat + half]), half, -np.pi / 2, np.pi / 2, 7, lid),
        _lid_top(edge, seat + 2 * half),
    ]


def _lid_top(edge_mm: float, z_mm: float) -> Run:
    """Dome (1 − q²)² and ridge cos², over q = r / edge; both level where they end."""
    first, last = _RIDGE_AT + _RIDGE_WIDTH / 2, _RIDGE_AT - _RIDGE_WIDTH / 2
    q = np.concatenate([[1.0], np.linspace(first, last, 9), np.linspace(last, 0.0, 6)[1:]])
    on_ridge = np.abs(q - _RIDGE_AT) < _RIDGE_WIDTH / 2
    phase = np.pi * (q - _RIDGE_AT) / _RIDGE_WIDTH
    ridge = np.where(on_ridge, _RIDGE_MM * np.cos(phase) ** 2, 0.0)
    ridge_slope = np.where(on_ridge, -np.pi * _RIDGE_MM / _RIDGE_WIDTH * np.sin(2 * phase), 0.0)
    z = z_mm + _LID_DOME_MM * (1 - q**2) ** 2 + ridge
    slope = (ridge_slope - 4 * _LID_DOME_MM * q * (1 - q**2)) / edge_mm
    normals = np.stack([-slope, np.ones_like(slope)], axis=-1)
    normals /= np.linalg.norm(normals, axis=-1, keepdims=True)
    return Run(CupPart.LID, np.stack([q * edge_mm, z], axis=-1), normals, np.zeros(len(q)))


def _root(curve: Callable[[float], float], low: float, high: float) -> float:
    """Where a continuous curve changes its sign between two heights, by halving.

    SciPy's `optimize` would find it in fewer steps, and takes a hundred times as long to load.
    """
    lies_under = curve(low) < 0
    if (curve(high) < 0) == lies_under:
        raise ValueError("the curve has the same sign at both ends")
    while low < (middle := (low + high) / 2) < high:
        if (curve(middle) < 0) == lies_under:
            low = middle
        else:
            high = middle
    return middle


def _joined(runs: Sequence[Run]) -> list[Run]:
    """The same runs, each beginning at exactly the point where the one before it ends."""
    joined = [runs[0]]
    for run in runs[1:]:
        points = np.concatenate([joined[-1].points_mm[-1:], run.points_mm[1:]])
        joined.append(replace(run, points_mm=points))
    return joined


def _length(run: Run) -> float:
    return float(np.linalg.norm(np.diff(run.points_mm, axis=0), axis=1).sum())


def _measured(runs: Sequence[Run], start_mm: float) -> list[Run]:
    """The same runs with heights that go on along the section from `start_mm`."""
    starts = accumulate((_length(run) for run in runs), initial=start_mm)
    return [
        replace(
            run,
            heights_mm=start
            + np.append(0.0, np.linalg.norm(np.diff(run.points_mm, axis=0), axis=1).cumsum()),
        )
        for run, start in zip(runs, starts, strict=False)
    ]
