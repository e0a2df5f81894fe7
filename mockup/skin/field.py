"""Coverage of a glitter layer: the share of the wall that its flakes hide at each point.

One function for the picture and for the grams. Flakes that fall at random and independently hide
the union of what each shape hides: 1 − Π (1 − Cᵢ).
"""

import numpy as np
from numpy.typing import NDArray

from mockup.blank.flat import sheet_from_wall, wrapped_turn
from mockup.blank.wall import Wall
from mockup.design.layers import Band, Coverage, Fade, GlitterLayer, Patch, Scatter

__all__ = ["MOST_COVERAGE", "coverage_field"]

Floats = NDArray[np.float64]

MOST_COVERAGE = 0.98  # share; at random, four flakes deep on average, and nobody lays more
_EASE = 0.2  # share of a fade's length over which it bends at either end


def coverage_field(
    layer: GlitterLayer,
    wall: Wall,
    turn_rad: NDArray[np.floating],
    height_mm: NDArray[np.floating],
) -> Floats:
    """Share of the wall hidden by the flakes of `layer`.

    Parameters
    ----------
    turn_rad, height_mm : (...) float, wall coordinates, broadcast against each other

    Returns
    -------
    (...) float64, share, in [0, `MOST_COVERAGE`]; read-only
    """
    turn, height = np.asarray(turn_rad, np.float64), np.asarray(height_mm, np.float64)
    bare: Floats = np.ones_like(height)
    for shape in layer.coverage:
        bare = bare * (1 - _share(shape, wall, turn, height))
    shape_of_all = np.broadcast_shapes(turn.shape, height.shape)
    return np.broadcast_to(np.minimum(1 - bare, MOST_COVERAGE), shape_of_all)


def _share(shape: Coverage, wall: Wall, turn: Floats, height: Floats) -> Floats:
    match shape:
        case Band():
            return shape.coverage * _band(height, shape.from_mm, shape.to_mm, shape.edge_mm)
        case Fade():
            along = _eased((height - shape.from_mm) / (shape.to_mm - shape.from_mm))
            return shape.coverage_from + (shape.coverage_to - shape.coverage_from) * along
        case Patch():
            return shape.coverage * _patch(shape, wall, turn, height)
        case Scatter():
            return np.full_like(height, shape.coverage)


def _band(height: Floats, low: float, high: float, edge: float) -> Floats:
    """1 between two heights; its soft edges are centred on them and `edge` wide."""
    if edge == 0:
        return ((height >= low) & (height < high)).astype(np.float64)
    rise, fall = (height - low) / edge + 0.5, (high - height) / edge + 0.5
    return _smoothstep(rise) * _smoothstep(fall)


def _patch(shape: Patch, wall: Wall, turn: Floats, height: Floats) -> Floats:
    """1 within the radius about the patch's middle, measured on the sheet, and 0 past the feather.

    Each height's shortest way to the middle is along the meridian, so that rows out of reach are
    told without unrolling them.
    """
    reach = shape.radius_mm + shape.feather_mm
    if height.size and np.abs(height - shape.height_mm).min() > reach:
        return np.zeros_like(height)
    turn0 = float(wrapped_turn(np.radians(shape.angle_deg)))
    sheet = sheet_from_wall(wall, turn0, shape.height_mm, turn, height)
    away = np.hypot(sheet[..., 0], sheet[..., 1])
    if shape.feather_mm == 0:
        return (away <= shape.radius_mm).astype(np.float64)
    return _smoothstep((reach - away) / shape.feather_mm)


def _smoothstep(t: Floats) -> Floats:
    t = np.clip(t, 0.0, 1.0)
    return np.asarray(t * t * (3 - 2 * t))


def _eased(t: Floats) -> Floats:
    """0 to 1, straight but for a parabola at either end, so that neither end shows as a line."""
    t = np.clip(t, 0.0, 1.0)
    from_end = np.minimum(t, 1 - t)
    slope = 1 / (1 - _EASE)
    near = slope * np.where(from_end < _EASE, from_end**2 / (2 * _EASE), from_end - _EASE / 2)
    return np.where(t < 0.5, near, 1 - near)
