"""From what the maker measured to the wall's control points, or a plain word on what is amiss."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from mockup.blank.meridian import best_cone, meridian_through
from mockup.design.blanks import ProfileBlank, StraightBlank, TaperedBlank
from mockup.errors import GeometryError

__all__ = ["LEAST_RADIUS_MM", "Measured", "measured_wall"]

LEAST_RADIUS_MM = 4.0  # of any part of a cup; less is a slip of the pen
_MOST_RADIUS_MM = 210.0
_LEAST_HEIGHT_MM, _MOST_HEIGHT_MM = 5.0, 600.0
_MOST_SINE_OF_CONE = float(np.sin(np.radians(60.0)))  # half angle; beyond it a cup is a dish
_MOST_SINE_OF_PROFILE = float(np.sin(np.radians(75.0)))


@dataclass(frozen=True, slots=True)
class Measured:
    """Control points of a wall and, in a few words, what was measured."""

    kind: Literal["cylinder", "cone", "profile"]
    z_mm: tuple[float, ...]
    radius_mm: tuple[float, ...]
    words: str


def measured_wall(spec: StraightBlank | TaperedBlank | ProfileBlank, *, where: str) -> Measured:
    """Control points of the wall that `spec` describes.

    Raises
    ------
    GeometryError
        The measures make no cup; `where` and the field are named.
    """
    match spec:
        case StraightBlank():
            radius = _radius(spec.diameter_mm, spec.circumference_mm)
            words = f"straight, diameter {2 * radius:.1f} mm, wall {spec.wall_height_mm:.1f} mm"
            return _frustum(radius, radius, spec.wall_height_mm, words, where)
        case TaperedBlank():
            return _tapered(spec, where)
        case ProfileBlank():
            return _profile(spec.points_mm, f"{where}.points_mm")


def _radius(diameter_mm: float | None, circumference_mm: float | None) -> float:
    if diameter_mm is not None:
        return diameter_mm / 2
    assert circumference_mm is not None  # the document holds exactly one of the two
    return circumference_mm / (2 * np.pi)


def _tapered(spec: TaperedBlank, where: str) -> Measured:
    foot = _radius(spec.foot_diameter_mm, spec.foot_circumference_mm)
    rim = _radius(spec.rim_diameter_mm, spec.rim_circumference_mm)
    upright = spec.wall_height_mm
    if upright is None:
        assert spec.slant_height_mm is not None
        if spec.slant_height_mm <= abs(rim - foot):
            raise GeometryError(
                f"a slant of {spec.slant_height_mm:.1f} mm cannot span radii that differ by"
                f" {abs(rim - foot):.1f} mm",
                where=f"{where}.slant_height_mm",
                remedy="Measure along the wall from foot to rim with a strip of paper",
            )
        upright = float(np.sqrt(spec.slant_height_mm**2 - (rim - foot) ** 2))
    words = f"tapered, diameter {2 * foot:.1f} to {2 * rim:.1f} mm, wall {upright:.1f} mm upright"
    return _frustum(foot, rim, upright, words, where)


def _frustum(foot_mm: float, rim_mm: float, upright_mm: float, words: str, where: str) -> Measured:
    for radius in (foot_mm, rim_mm):
        _check_radius(radius, where)
    if abs(rim_mm - foot_mm) > _MOST_SINE_OF_CONE * np.hypot(rim_mm - foot_mm, upright_mm):
        raise GeometryError(
            f"a taper from {2 * foot_mm:.1f} to {2 * rim_mm:.1f} mm across within"
            f" {upright_mm:.1f} mm of height is nearly a disc",
            where=where,
            remedy="Check diameters and height; the wall may lean out by 60 degrees at most",
        )
    kind: Literal["cylinder", "cone"] = "cylinder" if foot_mm == rim_mm else "cone"
    return Measured(kind, (0.0, upright_mm), (foot_mm, rim_mm), words)


def _profile(points_mm: Sequence[tuple[float, float]], where: str) -> Measured:
    z = tuple(float(height) for height, _ in points_mm)
    r = tuple(float(radius) for _, radius in points_mm)
    if z[0] != 0:
        raise GeometryError(
            f"the first height is {z[0]:g} mm, not 0",
            where=f"{where}[0]",
            remedy="Measure heights from the wall's foot and leave what lies below to foot_gap_mm",
        )
    for i, (below, above) in enumerate(pairwise(z), start=1):
        if above <= below:
            raise GeometryError(
                f"a height of {above:g} mm follows one of {below:g} mm, so the wall would cross"
                " itself",
                where=f"{where}[{i}]",
                remedy="List the points from foot to rim, each higher than the one before",
            )
    for i, radius in enumerate(r):
        _check_radius(radius, f"{where}[{i}]")
    if not _LEAST_HEIGHT_MM <= z[-1] <= _MOST_HEIGHT_MM:
        raise GeometryError(
            f"the wall is {z[-1]:g} mm high",
            where=f"{where}[{len(z) - 1}]",
            remedy=f"Give heights in mm, {_LEAST_HEIGHT_MM:g} to {_MOST_HEIGHT_MM:g} at the rim",
        )
    words = f"profile through {len(z)} points, wall {z[-1]:.1f} mm upright"
    if len(z) == 2:
        return _frustum(r[0], r[1], z[1], words, where)
    _check_steepness(z, r, where)
    return Measured("profile", z, r, words)


def _check_radius(radius_mm: float, where: str) -> None:
    if not LEAST_RADIUS_MM <= radius_mm <= _MOST_RADIUS_MM:
        raise GeometryError(
            f"a radius of {radius_mm:.4g} mm is not that of a cup",
            where=where,
            remedy=f"Give a radius from {LEAST_RADIUS_MM:g} to {_MOST_RADIUS_MM:g} mm",
        )


def _check_steepness(z_mm: tuple[float, ...], radius_mm: tuple[float, ...], where: str) -> None:
    curve = meridian_through(z_mm, radius_mm)
    z = curve.z_of_height(curve.heights_mm)
    grade = np.abs(curve.slope_of_z(z))
    steepest = int(np.argmax(grade))
    sine = float(grade[steepest] / np.hypot(1.0, grade[steepest]))
    leans = abs(best_cone(z_mm, radius_mm).sin_half_angle)
    if sine > _MOST_SINE_OF_PROFILE or leans > _MOST_SINE_OF_CONE:
        raise GeometryError(
            f"the profile lies nearly flat near a height of {z[steepest]:.1f} mm",
            where=where,
            remedy="Check the radii there, or begin and end the wall where it stands steeper",
        )
