"""A wrap as it is cut: one sheet once round, or panels where the maker's sheets are too narrow.

A panel is a stretch of turns of the wrap, and laps over the next. The first is as wide as a sheet
allows and has the middle opposite the seam for its own, so that the cup's front stays whole; the
others share what is left at the back.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from shapely import MultiPolygon

from mockup.blank.wall import Blank
from mockup.design.layers import WrapLayer
from mockup.outputs.cut.nest import SheetSize, fits
from mockup.outputs.pieces import Piece, sector_outline

__all__ = ["TRIM_MM", "Panel", "WrapCut", "panels"]

TRIM_MM = 2.0  # sheet left over at the wall's rim and foot, cut back when the glue has set
_WIDEST_RAD = 1.5 * np.pi  # of the first panel, so that the others are no slivers
_HALVINGS = 40


@dataclass(frozen=True, slots=True)
class Panel:
    """Turns from `first_rad` to `last_rad` about the wrap's middle; its lap comes on top.

    `letter` is "" for a wrap in one.
    """

    letter: str
    first_rad: float
    last_rad: float

    @property
    def middle_rad(self) -> float:
        """Where its template is upright."""
        return (self.first_rad + self.last_rad) / 2


@dataclass(frozen=True, slots=True)
class WrapCut:
    """Heights between which a wrap is cut: on the wall, and with trims; and its lap."""

    low_mm: float
    high_mm: float
    cut_low_mm: float
    cut_high_mm: float
    overlap_rad: float

    @classmethod
    def of(cls, piece: Piece, layer: WrapLayer, blank: Blank) -> "WrapCut":
        """As `piece` of `layer` is cut for this blank; trims where it ends with the wall."""
        low, high = piece.span_mm
        wall = blank.wall
        foot = min(TRIM_MM, blank.foot_gap_mm) if low <= 0.01 else 0.0
        rim = min(TRIM_MM, blank.rim_gap_mm) if wall.length_mm - high <= 0.01 else 0.0
        overlap = layer.overlap_mm / float(wall.radius_at((low + high) / 2))
        return cls(low, high, low - foot, high + rim, overlap)

    def outline(self, blank: Blank, panel: Panel) -> MultiPolygon:
        """What is cut: mm, y up, about the panel's middle and the wall's foot."""
        first, last = (turn - panel.middle_rad for turn in (panel.first_rad, panel.last_rad))
        last += self.overlap_rad
        return sector_outline(blank.wall, self.cut_low_mm, self.cut_high_mm, first, last)

    def size_mm(self, blank: Blank, panel: Panel) -> tuple[float, float]:
        """Width and height of the rectangle that it is cut from."""
        west, south, east, north = self.outline(blank, panel).bounds
        return float(east - west), float(north - south)


def panels(
    cut: WrapCut, blank: Blank, size: SheetSize, *, turning: bool = True
) -> tuple[Panel, ...]:
    """The wrap in one if a sheet holds it, or if it is too high for panels to help; else panels.

    Parameters
    ----------
    turning
        Whether a sheet may be used sideways.
    """

    def held(width_rad: float) -> bool:
        panel = Panel("", -width_rad / 2, width_rad / 2)
        return fits(cut.size_mm(blank, panel), size, turning=turning)

    whole = Panel("", -np.pi, np.pi)
    if held(2 * np.pi) or not held(0.1 * np.pi):
        return (whole,)
    low, high = 0.1 * np.pi, 2 * np.pi
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if held(middle) else (low, middle)
    first = min(low, _WIDEST_RAD)
    count = math.ceil((2 * np.pi - first) / first - 1e-9)
    ends = np.linspace(first / 2, 2 * np.pi - first / 2, count + 1)
    return (
        Panel("A", -first / 2, first / 2),
        *(Panel(chr(ord("B") + n), float(a), float(b)) for n, (a, b) in enumerate(pairwise(ends))),
    )
