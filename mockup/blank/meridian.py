"""The meridian of a free profile: a smooth curve through measured points, by its own length.

Points of a cup in one sweep are joined by a cubic spline, whose even curvature keeps reflections in
a gloss coat unbroken. Where that would add a wave that was not measured (a straight wall with a
shoulder) the curve is the monotone piecewise cubic of Fritsch and Carlson, which adds none.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Cone", "Meridian", "best_cone", "meridian_through"]

Floats = NDArray[np.float64]

_SWING_MM = 0.3  # calipers on a cup are no better; a spline may swing past a point by this
_STEPS = 48  # table steps between two measured points
_GAUSS_POINTS = 8  # Gauss-Legendre points in each step
_FIT_STRIDE = 6  # every 6th table point takes part in the fit of a cone


@dataclass(frozen=True, slots=True)
class Cone:
    """A cone frustum by the radius of its foot and the sine of its half angle (dr/dv)."""

    foot_radius_mm: float
    sin_half_angle: float

    def radius_at(self, height_mm: Floats) -> Floats:
        """Radius, mm, at a height along the wall, mm."""
        return self.foot_radius_mm + self.sin_half_angle * height_mm


@dataclass(frozen=True, slots=True)
class Meridian:
    """Radius over upright height, and the way between upright height and height along the wall.

    `radius_of_z` and `slope_of_z` (dr/dz) are exact on the curve; `z_of_height` and `height_of_z`
    come from tables, good to 1e-6 mm on cups.
    """

    radius_of_z: Any
    slope_of_z: Any
    z_of_height: Any
    height_of_z: Any
    length_mm: float
    area_mm2: float
    heights_mm: Floats
    radii_mm: Floats
    radius_min_mm: float
    radius_max_mm: float


@lru_cache(maxsize=64)
def meridian_through(z_mm: tuple[float, ...], radius_mm: tuple[float, ...]) -> Meridian:
    """The curve through (z, radius), z rising.

    References
    ----------
    de Boor, C. (1978), A Practical Guide to Splines, ch. IV (not-a-knot spline).
    Fritsch, F. N. and Carlson, R. E. (1980), Monotone piecewise cubic interpolation,
    SIAM J. Numer. Anal. 17, 238-246, doi:10.1137/0717021.
    """
    from scipy.interpolate import CubicHermiteSpline  # here, not at the top: cones do without

    radius_of_z = _curve(z_mm, radius_mm)
    slope_of_z = radius_of_z.derivative()
    knots = np.asarray(z_mm, dtype=np.float64)
    share = np.arange(_STEPS) / _STEPS
    z = np.append((knots[:-1, None] + np.diff(knots)[:, None] * share).ravel(), knots[-1])
    nodes, weights = np.polynomial.legendre.leggauss(_GAUSS_POINTS)
    half = np.diff(z)[:, None] / 2
    inner = z[:-1, None] + half * (nodes + 1)
    arc = np.hypot(1.0, slope_of_z(inner)) * half * weights
    heights = np.append(0.0, np.cumsum(arc.sum(axis=1)))
    stretch = np.hypot(1.0, slope_of_z(z))
    return Meridian(
        radius_of_z=radius_of_z,
        slope_of_z=slope_of_z,
        z_of_height=CubicHermiteSpline(heights, z, 1.0 / stretch),
        height_of_z=CubicHermiteSpline(z, heights, stretch),
        length_mm=float(heights[-1]),
        area_mm2=float(2 * np.pi * (radius_of_z(inner) * arc).sum()),
        heights_mm=heights,
        radii_mm=np.asarray(radius_of_z(z), dtype=np.float64),
        radius_min_mm=float(radius_of_z(_turning_points(radius_of_z)).min()),
        radius_max_mm=float(radius_of_z(_turning_points(radius_of_z)).max()),
    )


def _curve(z_mm: tuple[float, ...], radius_mm: tuple[float, ...]) -> Any:
    from scipy.interpolate import CubicSpline, PchipInterpolator

    spline = CubicSpline(z_mm, radius_mm)
    radius = spline(_turning_points(spline))
    most, least = max(radius_mm) + _SWING_MM, min(radius_mm) - _SWING_MM
    if (
        _waves(radius) == _waves(np.array(radius_mm))
        and least < radius.min() <= radius.max() < most
    ):
        return spline
    return PchipInterpolator(z_mm, radius_mm)


def _turning_points(curve: Any) -> Floats:
    """Heights z, rising, where a piecewise cubic may be least or most: knots and level places."""
    level = curve.derivative().roots(extrapolate=False)
    return np.unique(np.concatenate([curve.x, level[np.isfinite(level)]]))


def _waves(radius_mm: Floats) -> int:
    """How often a row of radii goes over from widening to narrowing or back."""
    way = np.sign(np.diff(radius_mm))
    return int(np.count_nonzero(np.diff(way[way != 0])))


@lru_cache(maxsize=64)
def best_cone(z_mm: tuple[float, ...], radius_mm: tuple[float, ...]) -> Cone:
    """The cone whose flat sheet is stretched or gathered least, at worst, on the profile.

    Least K with r ≤ a + s·v ≤ K·r is a linear programme; divided by √K the cone lies as far
    inside the cup as outside, in ratio.
    """
    from scipy.optimize import linprog

    curve = meridian_through(z_mm, radius_mm)
    v = np.append(curve.heights_mm[::_FIT_STRIDE], curve.length_mm) / curve.length_mm
    scale = float(curve.radii_mm.mean())
    r = np.append(curve.radii_mm[::_FIT_STRIDE], curve.radii_mm[-1]) / scale
    one, none = np.ones_like(v), np.zeros_like(v)
    above = np.stack([-one, -v, none], axis=-1)
    below = np.stack([one, v, -r], axis=-1)
    found = linprog(
        c=[0.0, 0.0, 1.0],
        A_ub=np.concatenate([above, below]),
        b_ub=np.concatenate([-r, none]),
        bounds=[(None, None), (None, None), (1.0, None)],
    )
    foot, rise, ratio = found.x
    shrink = scale / float(np.sqrt(ratio))
    return Cone(float(foot) * shrink, float(rise) * shrink / curve.length_mm)
