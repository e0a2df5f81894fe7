"""How large the cup is: its elevation beside a plain drink can, both at one scale."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from mockup.outputs.facts import Elevation
from mockup.outputs.proof_flat import scale_for
from mockup.outputs.proof_style import SMALL, TINY
from mockup.outputs.sheet import HAIRLINE, INK, MUTED, Sheet

__all__ = ["CAN_HEIGHT_MM", "CAN_WIDTH_MM", "can_outline_mm", "draw_beside_can"]

CAN_WIDTH_MM, CAN_HEIGHT_MM = 66.0, 115.0  # a drink can of 330 mL, as common ones measure
# right half of the can: (radius, height), mm, from its standing ring to its rim; our own drawing
_CAN = (
    (23.5, 0.0), (25.0, 0.0), (26.5, 1.2), (29.0, 4.2), (31.6, 7.2), (32.7, 9.4), (33.0, 12.0),
    (33.0, 99.5), (32.6, 101.8), (31.2, 104.2), (29.0, 107.4), (27.2, 110.2), (26.4, 112.0),
    (26.4, 112.8), (27.3, 113.1), (27.3, 115.0),
)  # fmt: skip
_CAN_LINES = (12.0, 99.5, 113.1)  # heights of its level lines
_GAP_MM = 12.0  # true, between cup and can
_DIMENSION_MM = 6.5  # on paper, from a figure to the line that measures it
_PALE = (244, 246, 248)


def can_outline_mm() -> NDArray[np.float64]:
    """The can's outline, (n, 2) mm, closed, its axis at x = 0 and the table at y = 0."""
    right = np.array(_CAN)
    return np.concatenate([right, right[::-1] * [-1, 1], right[:1]])


def draw_beside_can(
    sheet: Sheet, elevation: Elevation, x: float, y: float, width: float, most_height: float
) -> float:
    """Draw both on one line with their measures, at most `width` × `most_height`; y below."""
    true_width = elevation.widest_mm + _GAP_MM + CAN_WIDTH_MM
    true_height = max(elevation.height_mm, CAN_HEIGHT_MM)
    scale = scale_for((true_width, true_height), (width - 2 * _DIMENSION_MM - 7, most_height - 16))
    ground = y + true_height / scale
    left = x + _DIMENSION_MM + 3.5
    cup = left + elevation.widest_mm / 2 / scale
    sheet.picture(
        elevation.rgb8_srgb,
        cup - elevation.width_mm / 2 / scale,
        ground - elevation.height_mm / scale,
        elevation.width_mm / scale,
        elevation.height_mm / scale,
    )
    can = left + (elevation.widest_mm + _GAP_MM + CAN_WIDTH_MM / 2) / scale
    _draw_can(sheet, can, ground, scale)
    right = left + true_width / scale
    sheet.line([(left - 4, ground), (right + 4, ground)], INK, 0.2)
    _upright(sheet, left - _DIMENSION_MM, ground, elevation.height_mm, scale)
    _upright(sheet, right + _DIMENSION_MM, ground, CAN_HEIGHT_MM, scale)
    _level(sheet, cup, ground + 4.5, elevation.widest_mm, scale)
    _level(sheet, can, ground + 4.5, CAN_WIDTH_MM, scale)
    sheet.line_of_text(can, ground + 12.2, "a plain drink can", SMALL, "centre")
    sheet.line_of_text(cup, ground + 12.2, "your cup", SMALL, "centre")
    words = "Cup and can at true size." if scale == 1 else f"Cup and can drawn at 1:{scale:.3g}."
    sheet.line_of_text(x, ground + 17.5, words, SMALL)
    return ground + 19.0


def _draw_can(sheet: Sheet, axis: float, ground: float, scale: float) -> None:
    outline = can_outline_mm() * [1 / scale, -1 / scale] + [axis, ground]
    sheet.shape(outline, fill=_PALE, stroke=MUTED)
    for height in _CAN_LINES:
        half = float(np.interp(height, *np.array(_CAN).T[::-1])) / scale
        level = ground - height / scale
        sheet.line([(axis - half, level), (axis + half, level)], HAIRLINE)


def _upright(sheet: Sheet, x: float, ground: float, height_mm: float, scale: float) -> None:
    top = ground - height_mm / scale
    _measure(sheet, [(x, ground), (x, top)], (1.0, 0.0))
    middle = (ground + top) / 2
    sheet.box(x - 4.2, middle - 3.6, 8.4, 7.2, fill=(255, 255, 255))
    sheet.line_of_text(x, middle - 0.4, f"{height_mm:.1f}", TINY, "centre")
    sheet.line_of_text(x, middle + 2.2, "mm", TINY, "centre")


def _level(sheet: Sheet, middle: float, y: float, width_mm: float, scale: float) -> None:
    half = width_mm / 2 / scale
    _measure(sheet, [(middle - half, y), (middle + half, y)], (0.0, 1.0))
    text = f"Ø {width_mm:.1f} mm"
    sheet.line_of_text(middle, y + 3.4, text, TINY, "centre")


def _measure(
    sheet: Sheet, ends: Sequence[tuple[float, float]], across: tuple[float, float]
) -> None:
    """A line with a bar at each end."""
    sheet.line(ends, MUTED, 0.15)
    for x, y in ends:
        bar = [(x - across[0], y - across[1]), (x + across[0], y + across[1])]
        sheet.line(bar, MUTED, 0.15)
