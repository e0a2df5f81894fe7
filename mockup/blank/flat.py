"""The flat wall and the way there and back: the one home of this mapping.

Flat space: mm, x to the right along the circumference as seen from outside, y up. A cylinder is the
rectangle [0, 2πr] × [0, length] with its seam at x = 0. A cone is its isometric development: its
front line stands upright at half the foot's circumference, its foot arc touches y = 0 there, and
it turns into the rectangle without a jump as the taper goes to 0. A profile is laid on its
best-fitting cone, true along the meridian; `stretch` tells by how much the sheet must give.

Sheet space is the same about an anchor on the wall: origin there, y up the meridian through it, cut
opposite. It is where pieces such as decals are drawn.

References
----------
do Carmo, M. P. (1976), Differential Geometry of Curves and Surfaces, sec. 4-2 (isometries).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.blank.meridian import Cone
from mockup.blank.wall import Blank, Wall

__all__ = [
    "Sector",
    "Stretch",
    "flat_from_wall",
    "flat_outline",
    "flat_size",
    "object_from_wall",
    "sector",
    "sheet_from_wall",
    "stretch",
    "wall_from_flat",
    "wall_from_object",
    "wall_from_sheet",
    "wrapped_turn",
]

Floats = NDArray[np.float64]

_LEAST_NARROWING = 0.25  # a sheet's cone keeps this share of the anchor's radius along the wall
_STRETCH_SAMPLES = 1025


def wrapped_turn(turn_rad: ArrayLike) -> Floats:
    """The same turn within [−π, π)."""
    return np.asarray(np.mod(np.asarray(turn_rad, dtype=np.float64) + np.pi, 2 * np.pi) - np.pi)


def _sinc(angle_rad: Floats) -> Floats:
    """sin(x) / x, 1 at 0."""
    return np.asarray(np.sinc(angle_rad / np.pi))


def _develop(cone: Cone, turn_rad: Floats, height_mm: Floats) -> Floats:
    """Roll a cone out about its foot's front point: (..., 2) mm, y up the front meridian.

    With apex distance R = r / s and sector angle φ = s·θ this is (R sin φ, R cos φ − R_foot),
    written so that nothing is divided by the taper s.
    """
    angle = cone.sin_half_angle * turn_rad
    arc = cone.radius_at(height_mm) * turn_rad
    x = arc * _sinc(angle)
    y = height_mm - arc * np.sin(angle / 2) * _sinc(angle / 2)
    return np.stack(np.broadcast_arrays(x, y), axis=-1)


def _roll_up(cone: Cone, sheet_mm: ArrayLike) -> tuple[Floats, Floats]:
    """Inverse of `_develop`: (turn rad, height mm)."""
    x, y = np.moveaxis(np.asarray(sheet_mm, dtype=np.float64), -1, 0)
    s, foot = cone.sin_half_angle, cone.foot_radius_mm
    radius = np.hypot(s * x, foot + s * y)
    height = (s * x * x + 2 * foot * y + s * y * y) / (radius + foot)
    turn = np.arctan2(s * x, foot + s * y) / s if s != 0 else x / foot
    return np.asarray(turn), np.asarray(height)


def flat_from_wall(wall: Wall, turn_rad: ArrayLike, height_mm: ArrayLike) -> Floats:
    """Unroll points of the wall.

    Parameters
    ----------
    turn_rad, height_mm : (...) float, wall coordinates
        A turn beyond ±π goes on past the seam, as an overlap does.

    Returns
    -------
    (..., 2) float64, mm, flat space
    """
    cone = wall.development
    turn = np.asarray(turn_rad, dtype=np.float64)
    flat = _develop(cone, turn, np.asarray(height_mm, dtype=np.float64))
    return np.add(flat, [np.pi * cone.foot_radius_mm, 0.0])


def wall_from_flat(wall: Wall, flat_mm: ArrayLike) -> tuple[Floats, Floats]:
    """Roll points of the flat, (..., 2) mm, back on to the wall: (turn rad, height mm).

    Points beside the flat's edges come out with turns beyond ±π (an overlap) or heights outside
    the wall; `wrapped_turn` brings a turn back.
    """
    cone = wall.development
    shift = np.array([np.pi * cone.foot_radius_mm, 0.0])
    return _roll_up(cone, np.asarray(flat_mm, dtype=np.float64) - shift)


def object_from_wall(blank: Blank, turn_rad: ArrayLike, height_mm: ArrayLike) -> Floats:
    """Points of the wall as (..., 3) float64, mm, object space."""
    turn = np.asarray(turn_rad, dtype=np.float64)
    radius = blank.wall.radius_at(height_mm)
    z = blank.wall_foot_z_mm + blank.wall.z_at(height_mm)
    parts = np.broadcast_arrays(radius * np.sin(turn), -radius * np.cos(turn), z)
    return np.stack(parts, axis=-1)


def wall_from_object(blank: Blank, points_mm: ArrayLike) -> tuple[Floats, Floats]:
    """(turn rad in [−π, π], height mm) of points on the wall, (..., 3) mm, object space.

    Points off the wall are taken straight in or out from the axis.
    """
    x, y, z = np.moveaxis(np.asarray(points_mm, dtype=np.float64), -1, 0)
    return np.arctan2(x, -y), blank.wall.height_at(z - blank.wall_foot_z_mm)


def _sheet_cone(wall: Wall, height0_mm: float) -> Cone:
    """The wall's cone by its radius at the anchor; tangent at the anchor for a profile.

    Where a profile's tangent cone would come to its point on the wall, it is opened until it keeps
    a quarter of the anchor's radius.
    """
    radius = float(wall.radius_at(height0_mm))
    if wall.kind != "profile":
        return Cone(radius, wall.sin_half_angle)
    rise = float(wall.slope_at(height0_mm)[0])
    reach = wall.length_mm - height0_mm if rise < 0 else height0_mm
    steepest = (1 - _LEAST_NARROWING) * radius / max(reach, 1e-9)
    return Cone(radius, float(np.clip(rise, -steepest, steepest)))


def sheet_from_wall(
    wall: Wall,
    turn0_rad: float,
    height0_mm: float,
    turn_rad: ArrayLike,
    height_mm: ArrayLike,
) -> Floats:
    """Unroll points of the wall about an anchor: (..., 2) float64, mm, sheet space.

    An isometry for cylinder and cone. Turns are taken the short way round from the anchor.
    """
    turn = wrapped_turn(np.asarray(turn_rad, dtype=np.float64) - turn0_rad)
    height = np.asarray(height_mm, dtype=np.float64) - height0_mm
    return _develop(_sheet_cone(wall, height0_mm), turn, height)


def wall_from_sheet(
    wall: Wall, turn0_rad: float, height0_mm: float, sheet_mm: ArrayLike
) -> tuple[Floats, Floats]:
    """Lay points of the sheet, (..., 2) mm, on the wall: (turn rad, height mm).

    Turns run on from the anchor's, so that a piece across the seam stays in one.
    """
    turn, height = _roll_up(_sheet_cone(wall, height0_mm), sheet_mm)
    return turn + turn0_rad, height + height0_mm


@dataclass(frozen=True, slots=True)
class Sector:
    """The flat of a tapered wall as a compass draws it; a straight wall has infinite radii."""

    outer_radius_mm: float
    inner_radius_mm: float
    angle_deg: float
    slant_mm: float


def sector(wall: Wall) -> Sector:
    """The annular sector that the wall unrolls to."""
    cone, length = wall.development, wall.length_mm
    s = abs(cone.sin_half_angle)
    if s == 0:
        return Sector(np.inf, np.inf, 0.0, length)
    ends = cone.radius_at(np.array([0.0, length])) / s
    return Sector(float(ends.max()), float(ends.min()), 360.0 * s, length)


def flat_outline(wall: Wall, points: int = 256) -> Floats:
    """The flat's edge with `points` points on each arc: (2·points + 1, 2) mm.

    Anticlockwise from the foot's left end, closed: the last point is the first.
    """
    turn = np.linspace(-np.pi, np.pi, points)
    foot = flat_from_wall(wall, turn, 0.0)
    rim = flat_from_wall(wall, turn[::-1], wall.length_mm)
    return np.concatenate([foot, rim, foot[:1]])


def flat_size(wall: Wall) -> tuple[float, float]:
    """Width and height, mm, of the smallest upright rectangle round the flat."""
    s = abs(wall.sin_half_angle)
    quarter = np.pi / 2 / s if s > 0.5 else np.pi  # where an arc runs straight up, if it does
    turn = np.array([-np.pi, -quarter, 0.0, quarter, np.pi])
    corners = flat_from_wall(wall, turn[:, None], np.array([0.0, wall.length_mm]))
    width, height = np.ptp(corners.reshape(-1, 2), axis=0)
    return float(width), float(height)


@dataclass(frozen=True, slots=True)
class Stretch:
    """True circumference : arc of the flat. Above 1 a sheet must stretch, below 1 it gathers."""

    least: float
    most: float
    worst_height_mm: float


def stretch(wall: Wall) -> Stretch:
    """How far the wall is from lying flat: 1 exactly for cylinder and cone."""
    if wall.kind != "profile":
        return Stretch(1.0, 1.0, 0.0)
    height = np.linspace(0.0, wall.length_mm, _STRETCH_SAMPLES)
    ratio = wall.radius_at(height) / wall.development.radius_at(height)
    worst = int(np.argmax(np.abs(np.log(ratio))))
    return Stretch(float(ratio.min()), float(ratio.max()), float(height[worst]))
