"""Rectangles on the maker's sheets and rolls, by a packing library.

References
----------
Jylänki (2010), "A thousand ways to pack the bin": maximal rectangles, best short side fit.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import rectpack

from mockup.errors import GeometryError

__all__ = ["ROLL", "Laid", "Packed", "SheetSize", "pack", "pack_within"]

EDGE_MM = 5.0  # kept free along a sheet's edge, for the rollers
GAP_MM = 2.0  # between frames
_STEPS_PER_MM = 10  # the library packs whole numbers
_LONGEST_MM = 3000.0  # of a roll


@dataclass(frozen=True, slots=True)
class SheetSize:
    """A sheet of `width_mm` × `length_mm`, or a roll of that width if no length is given."""

    width_mm: float
    length_mm: float | None = None

    @classmethod
    def read(cls, text: str) -> "SheetSize":
        """From words such as ``305x305`` (mm), or ``610`` for a roll.

        Raises
        ------
        GeometryError
            It is neither, or too small or large to be a sheet.
        """
        found = re.fullmatch(
            r"\s*([0-9]{1,4}(?:\.[0-9])?)\s*(?:[x×]\s*([0-9]{1,4}(?:\.[0-9])?))?\s*", text
        )
        sides = [float(side) for side in found.groups() if side] if found else []
        if not sides or not all(50 <= side <= _LONGEST_MM for side in sides):
            raise GeometryError(
                f"{text!r} is no size of sheet",
                where="--sheet",
                remedy="Give width and length in mm, such as 305x305, or the width of a roll, "
                "such as 610",
            )
        return cls(*sides)

    def __str__(self) -> str:
        if self.length_mm is None:
            return f"roll {self.width_mm:g} mm wide"
        return f"sheet {self.width_mm:g} × {self.length_mm:g} mm"


ROLL = SheetSize(610.0)


@dataclass(frozen=True, slots=True)
class Laid:
    """One rectangle in its place: the upper left corner on the sheet, mm; turned by 90° or not."""

    index: int
    x_mm: float
    y_mm: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Packed:
    """One sheet and what lies on it. `used_mm` is the length of it that is taken up."""

    size: SheetSize
    width_mm: float
    length_mm: float
    laid: tuple[Laid, ...]
    used_mm: float


def pack_within(
    sizes_mm: Sequence[tuple[float, float]],
    size: SheetSize,
    rooms_mm: Sequence[tuple[float, float]],
) -> list[Packed]:
    """As `pack`; but in a corner of one sheet that fits a page, if there is one that holds all.

    The one that takes least of the sheet's length is taken. So no piece is torn apart by a
    page's end in vain.
    """
    found: list[Packed] = []
    for width, height in rooms_mm:
        corner = SheetSize(min(width, size.width_mm), min(height, size.length_mm or _LONGEST_MM))
        sheets = pack(sizes_mm, corner)
        if len(sheets) == 1 and sheets[0].size == corner:
            length = size.length_mm or sheets[0].used_mm
            found.append(replace(sheets[0], size=size, width_mm=size.width_mm, length_mm=length))
    return [min(found, key=lambda p: p.used_mm)] if found else pack(sizes_mm, size)


def pack(sizes_mm: Sequence[tuple[float, float]], size: SheetSize) -> list[Packed]:
    """Lay rectangles (width, height) on as few sheets as the heuristic finds.

    What is larger than a sheet goes on a roll of 610 mm; what is larger than that gets a sheet of
    its own size, since it has to be cut from something.
    """
    groups: dict[SheetSize, list[int]] = {}
    for index, sides in enumerate(sizes_mm):
        own = SheetSize(sides[0] + 2 * EDGE_MM, sides[1] + 2 * EDGE_MM)
        takes = next((s for s in (size, ROLL) if _fits(sides, s)), own)
        groups.setdefault(takes, []).append(index)
    return [sheet for takes, some in groups.items() for sheet in _pack(sizes_mm, some, takes)]


def _fits(sides_mm: tuple[float, float], size: SheetSize) -> bool:
    short, long = sorted(sides_mm)
    room = sorted((size.width_mm - 2 * EDGE_MM, (size.length_mm or _LONGEST_MM) - 2 * EDGE_MM))
    return short <= room[0] and long <= room[1]


def _pack(
    sizes_mm: Sequence[tuple[float, float]], some: list[int], size: SheetSize
) -> list[Packed]:
    packer = rectpack.newPacker(rotation=True)
    for index in some:
        packer.add_rect(*(math.ceil((s + GAP_MM) * _STEPS_PER_MM) for s in sizes_mm[index]), index)
    length = size.length_mm or _roll_length(sizes_mm, some, size)
    room = [math.floor((s - 2 * EDGE_MM + GAP_MM) * _STEPS_PER_MM) for s in (size.width_mm, length)]
    packer.add_bin(*room, count=len(some))
    packer.pack()
    sheets = []
    for sheet in packer:
        laid, used = [], 0.0
        for rect in sheet:
            width = math.ceil((sizes_mm[rect.rid][0] + GAP_MM) * _STEPS_PER_MM)
            x, y = EDGE_MM + rect.x / _STEPS_PER_MM, EDGE_MM + rect.y / _STEPS_PER_MM
            laid.append(Laid(rect.rid, x, y, rect.width != width))
            used = max(used, y + rect.height / _STEPS_PER_MM - GAP_MM + EDGE_MM)
        laid.sort(key=lambda place: place.index)
        whole = size.length_mm or used
        sheets.append(Packed(size, size.width_mm, whole, tuple(laid), used))
    return sheets


def _roll_length(
    sizes_mm: Sequence[tuple[float, float]], some: list[int], size: SheetSize
) -> float:
    """The shortest of a few lengths of roll on which all fits."""
    room = math.floor((size.width_mm - 2 * EDGE_MM + GAP_MM) * _STEPS_PER_MM)
    steps = [[math.ceil((s + GAP_MM) * _STEPS_PER_MM) for s in sizes_mm[i]] for i in some]
    least = sum(w * h for w, h in steps) / room / _STEPS_PER_MM
    length = least
    while length < _LONGEST_MM:
        packer = rectpack.newPacker(rotation=True)
        for nth, (w, h) in enumerate(steps):
            packer.add_rect(w, h, nth)
        packer.add_bin(room, math.ceil(length * _STEPS_PER_MM))
        packer.pack()
        if len(packer.rect_list()) == len(some):
            return length + 2 * EDGE_MM
        length = max(length * 1.05, length + 5.0)
    return _LONGEST_MM
