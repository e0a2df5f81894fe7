"""The wall of a cup, a surface of revolution, and the blank that carries it.

Object space: mm, right-handed, z up from the table, the cup's axis on z, the front towards −y.
Wall coordinates: turn (rad, 0 at the front, growing to the right as seen from outside) and height
(mm along the wall from its foot). Beyond foot and rim the wall goes on straight, as bare steel.
"""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.blank.measured import LEAST_RADIUS_MM, measured_wall
from mockup.blank.meridian import Cone, best_cone, meridian_through
from mockup.blank.typical import find_typical
from mockup.design.blanks import BlankSpec, LibraryBlank
from mockup.errors import GeometryError

__all__ = ["LID_RISE_MM", "Blank", "Wall", "build_blank"]

Floats = NDArray[np.float64]

STEEL_MM = 2.2  # thickness at the lip of a typical double-walled cup
LID_RISE_MM = 6.0  # a lid's highest point above the lip


@dataclass(frozen=True, slots=True)
class Wall:
    """The decorated wall: control points (z above the wall's foot, radius), foot first.

    A cylinder or a cone has two points. A profile has two or more and runs through them smoothly.

    Raises
    ------
    GeometryError
        Points that do not make a wall of this kind.
    """

    kind: Literal["cylinder", "cone", "profile"]
    z_mm: tuple[float, ...]
    radius_mm: tuple[float, ...]

    def __post_init__(self) -> None:
        two = self.kind == "profile" or len(self.z_mm) == 2
        upright = self.kind != "cylinder" or self.radius_mm[0] == self.radius_mm[-1]
        rising = len(self.z_mm) >= 2 and self.z_mm[0] == 0 and min(np.diff(self.z_mm)) > 0
        paired = len(self.z_mm) == len(self.radius_mm)
        if not (two and upright and rising and paired and min(self.radius_mm) > 0):
            raise GeometryError(
                f"these points make no {self.kind}",
                where="wall",
                remedy="Give heights that rise from 0, each with a radius above 0",
            )

    @property
    def height_mm(self) -> float:
        """Upright height, mm."""
        return self.z_mm[-1]

    @property
    def length_mm(self) -> float:
        """Height along the wall (slant), mm."""
        if self.kind == "profile":
            return meridian_through(self.z_mm, self.radius_mm).length_mm
        return float(np.hypot(self.radius_mm[1] - self.radius_mm[0], self.height_mm))

    @property
    def radius_min_mm(self) -> float:
        """Radius where the wall is narrowest, mm."""
        if self.kind == "profile":
            return meridian_through(self.z_mm, self.radius_mm).radius_min_mm
        return min(self.radius_mm)

    @property
    def radius_max_mm(self) -> float:
        """Radius where the wall is widest, mm."""
        if self.kind == "profile":
            return meridian_through(self.z_mm, self.radius_mm).radius_max_mm
        return max(self.radius_mm)

    @property
    def development(self) -> Cone:
        """The cone that the wall unrolls on: itself, or the best-fitting one of a profile."""
        if self.kind == "profile":
            return best_cone(self.z_mm, self.radius_mm)
        rise = self.radius_mm[1] - self.radius_mm[0]
        return Cone(self.radius_mm[0], rise / self.length_mm)

    @property
    def sin_half_angle(self) -> float:
        """Sine of the development's half angle, > 0 if the wall widens upward. Unitless."""
        return self.development.sin_half_angle

    @property
    def area_mm2(self) -> float:
        """Area of the wall, mm²: exact for cylinder and cone, by quadrature for a profile."""
        if self.kind == "profile":
            return meridian_through(self.z_mm, self.radius_mm).area_mm2
        return float(np.pi * sum(self.radius_mm) * self.length_mm)

    def radius_at(self, height_mm: ArrayLike) -> Floats:
        """Radius, mm, at heights along the wall (any shape), mm."""
        v = np.asarray(height_mm, dtype=np.float64)
        if self.kind != "profile":
            return self.development.radius_at(v)
        curve = meridian_through(self.z_mm, self.radius_mm)
        inside = np.clip(v, 0.0, curve.length_mm)
        beyond = (v - inside) * self.slope_at(inside)[0]
        return np.asarray(curve.radius_of_z(curve.z_of_height(inside)) + beyond)

    def z_at(self, height_mm: ArrayLike) -> Floats:
        """Upright height above the wall's foot, mm, at heights along the wall, mm."""
        v = np.asarray(height_mm, dtype=np.float64)
        if self.kind != "profile":
            return np.asarray(v * (self.height_mm / self.length_mm))
        curve = meridian_through(self.z_mm, self.radius_mm)
        inside = np.clip(v, 0.0, curve.length_mm)
        return np.asarray(curve.z_of_height(inside) + (v - inside) * self.slope_at(inside)[1])

    def height_at(self, z_mm: ArrayLike) -> Floats:
        """Height along the wall, mm, at upright heights above the wall's foot, mm."""
        z = np.asarray(z_mm, dtype=np.float64)
        if self.kind != "profile":
            return np.asarray(z * (self.length_mm / self.height_mm))
        curve = meridian_through(self.z_mm, self.radius_mm)
        inside = np.clip(z, 0.0, self.height_mm)
        grade = np.hypot(1.0, curve.slope_of_z(inside))
        return np.asarray(curve.height_of_z(inside) + (z - inside) * grade)

    def slope_at(self, height_mm: ArrayLike) -> tuple[Floats, Floats]:
        """(dr/dv, dz/dv) at heights along the wall: the unit tangent of the meridian, upward."""
        v = np.asarray(height_mm, dtype=np.float64)
        if self.kind != "profile":
            along = self.height_mm / self.length_mm
            return np.full_like(v, self.sin_half_angle), np.full_like(v, along)
        curve = meridian_through(self.z_mm, self.radius_mm)
        grade = curve.slope_of_z(curve.z_of_height(np.clip(v, 0.0, curve.length_mm)))
        along = 1.0 / np.hypot(1.0, grade)
        return np.asarray(grade * along), np.asarray(along)

    def circumference_mm(self, height_mm: ArrayLike) -> Floats:
        """Way once round the cup, mm, at heights along the wall, mm."""
        return 2 * np.pi * self.radius_at(height_mm)


@dataclass(frozen=True, slots=True)
class Blank:
    """The undecorated cup: its wall between two gaps of bare steel, and what it is called.

    `note` says how far its sizes can be trusted.
    """

    wall: Wall
    foot_gap_mm: float
    rim_gap_mm: float
    lid: bool
    capacity_ml: float | None
    name: str
    note: str

    @property
    def wall_foot_z_mm(self) -> float:
        """Object z of the wall's foot, mm above the table."""
        return self.foot_gap_mm * float(self.wall.slope_at(0.0)[1])

    @property
    def steel_mm(self) -> float:
        """Thickness of the steel at the lip, mm; the lip is rounded over half of it."""
        ends = self.wall.radius_at([-self.foot_gap_mm, self.wall.length_mm + self.rim_gap_mm])
        return min(STEEL_MM, 0.15 * min(self.wall.radius_min_mm, float(ends.min())))

    @property
    def lip_height_mm(self) -> float:
        """Height along the wall where the lip begins to round, mm.

        The lip's crest ends the rim gap, or stands above it where the gap is smaller.
        """
        return self.wall.length_mm + max(self.rim_gap_mm - self.steel_mm / 2, 0.0)

    @property
    def lip_z_mm(self) -> float:
        """Object z of the lip's crest, mm above the table."""
        rise = float(self.wall.slope_at(self.lip_height_mm)[0])
        start = self.wall_foot_z_mm + float(self.wall.z_at(self.lip_height_mm))
        return start + self.steel_mm / 2 * (1 + rise)

    @property
    def total_height_mm(self) -> float:
        """From the table to the topmost point, lip or lid, mm."""
        return self.lip_z_mm + (LID_RISE_MM if self.lid else 0.0)


def build_blank(spec: BlankSpec, *, where: str) -> Blank:
    """The blank that a design document describes; `where` leads messages, "design.toml: blank".

    Raises
    ------
    GeometryError
        Measures that make no cup: absurd radii, heights that do not rise, a taper that is nearly a
        disc, or a gap that runs the steel to a point.
    UnknownName
        The library has no blank of this name.
    """
    if isinstance(spec, LibraryBlank):
        typical = find_typical(spec.name, where=f"{where}.name")
        blank = build_blank(typical.spec, where=where)
        return replace(blank, lid=spec.lid, name=typical.name, note=typical.source)
    measured = measured_wall(spec, where=where)
    wall = Wall(measured.kind, measured.z_mm, measured.radius_mm)
    for gap, gap_mm, end_mm in (
        ("foot_gap_mm", spec.foot_gap_mm, -spec.foot_gap_mm),
        ("rim_gap_mm", spec.rim_gap_mm, wall.length_mm + spec.rim_gap_mm),
    ):
        if float(wall.radius_at(end_mm)) < LEAST_RADIUS_MM:
            raise GeometryError(
                f"going on for {gap_mm:g} mm the steel would run to a point",
                where=f"{where}.{gap}",
                remedy="Give a smaller gap, or check the taper",
            )
    return Blank(
        wall=wall,
        foot_gap_mm=spec.foot_gap_mm,
        rim_gap_mm=spec.rim_gap_mm,
        lid=spec.lid,
        capacity_ml=spec.capacity_ml,
        name=measured.words,
        note="as measured by the maker",
    )
