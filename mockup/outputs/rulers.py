"""Rulers round a picture, millimetres below and left, inches above and right."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from mockup.outputs.sheet import INK, MUTED, Sheet, Type
from mockup.units import MM_PER_INCH

__all__ = ["RULER_MM", "Tick", "draw_rulers", "ticks"]

RULER_MM = 6.0  # what a ruler takes up beside the picture
_GAP_MM = 0.8
_LEAST_MM = 0.45  # ticks closer than this on paper are left out
_NUMBER = Type("regular", 6, 2.0, MUTED)

Unit = Literal["mm", "in"]
# step in units → length on paper, mm, longest first
_STEPS: dict[Unit, tuple[tuple[float, float], ...]] = {
    "mm": ((10, 2.4), (5, 1.7), (1, 1.0)),
    "in": ((1, 2.4), (1 / 2, 1.9), (1 / 4, 1.4), (1 / 8, 1.0)),
}


@dataclass(frozen=True, slots=True)
class Tick:
    """`at_mm` is its true distance from the ruler's zero, `length_mm` how long it is drawn."""

    at_mm: float
    length_mm: float
    number: str | None


def ticks(true_length_mm: float, unit: Unit, scale: float) -> Iterator[Tick]:
    """The ticks of a ruler over `true_length_mm`, drawn at 1:`scale`."""
    unit_mm = 1.0 if unit == "mm" else MM_PER_INCH
    steps = [s for s in _STEPS[unit] if s[0] * unit_mm / scale >= _LEAST_MM]
    smallest = steps[-1][0]
    for i in range(int(true_length_mm / unit_mm / smallest + 1e-9) + 1):
        value = i * smallest
        length = next(long for step, long in steps if value % step == 0)
        long_one = length == steps[0][1]
        yield Tick(value * unit_mm, length, f"{value:g}" if long_one else None)


def draw_rulers(
    sheet: Sheet, x: float, y: float, width_mm: float, height_mm: float, scale: float
) -> None:
    """Rule the rectangle at (x, y) whose true size is width_mm × height_mm, drawn at 1:`scale`.

    Zero is the rectangle's lower left corner.
    """
    right, foot = x + width_mm / scale, y + height_mm / scale
    across: tuple[tuple[Unit, float, int], ...] = (
        ("mm", foot + _GAP_MM, 1),
        ("in", y - _GAP_MM, -1),
    )
    for unit, edge, down in across:
        for tick in ticks(width_mm, unit, scale):
            at = x + tick.at_mm / scale
            _tick(sheet, (at, edge), (at, edge + down * tick.length_mm))
            if tick.number is not None:
                baseline = edge + (4.5 if down > 0 else -3.1)
                sheet.line_of_text(at, baseline, _named(tick, unit), _NUMBER, "centre")
    upward: tuple[tuple[Unit, float, int], ...] = (
        ("mm", x - _GAP_MM, -1),
        ("in", right + _GAP_MM, 1),
    )
    for unit, edge, out in upward:
        for tick in ticks(height_mm, unit, scale):
            at = foot - tick.at_mm / scale
            _tick(sheet, (edge, at), (edge + out * tick.length_mm, at))
            if tick.number is not None:
                text, beside = _named(tick, unit), edge + out * 2.9
                sheet.line_of_text(beside, at + 0.7, text, _NUMBER, "right" if out < 0 else "left")


def _tick(sheet: Sheet, start: tuple[float, float], end: tuple[float, float]) -> None:
    sheet.line([start, end], INK, 0.12)


def _named(tick: Tick, unit: Unit) -> str:
    """The number, and at zero the unit."""
    return unit if tick.at_mm == 0 else str(tick.number)
