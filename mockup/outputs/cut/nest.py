"""Rectangles on the maker's sheets and rolls, by a packing library.

What is used of a sheet is the rectangle that is cut off its corner: all frames and the free edge
round them. Layouts of several heuristics and widths are compared, and the least rectangle wins.

References
----------
Jylänki (2010), "A thousand ways to pack the bin": maximal rectangles, bottom left and best short
side fit.
"""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Any

import rectpack

from mockup.errors import GeometryError

__all__ = ["EDGE_MM", "Laid", "Packed", "SheetSize", "fits", "pack"]

EDGE_MM = 5.0  # kept free along a sheet's edge, for the rollers
GAP_MM = 2.0  # between frames
_STEPS_PER_MM = 10  # the library packs whole numbers
_LONGEST_MM = 3000.0  # of a roll
_WAYS = (rectpack.MaxRectsBl, rectpack.MaxRectsBssf)
_ORDERS = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE)
_WIDTHS = (1.0, 0.8, 0.65, 0.5, 0.35)  # of a sheet, that frames are tried to be kept within


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
        if self.length_mm is None or self.length_mm > _LONGEST_MM:
            return f"roll {self.width_mm:g} mm wide"
        return f"sheet {self.width_mm:g} × {self.length_mm:g} mm"


@dataclass(frozen=True, slots=True)
class Laid:
    """One rectangle in its place: the upper left corner on the sheet, mm; turned by 90° or not."""

    index: int
    x_mm: float
    y_mm: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Packed:
    """One sheet and what lies on it.

    `used_width_mm` × `used_mm` is what is cut off its corner. A rectangle that no sheet of the
    maker's holds has a sheet of its own size, `oversize`.
    """

    size: SheetSize
    laid: tuple[Laid, ...]
    used_width_mm: float
    used_mm: float
    oversize: bool = False

    @property
    def area_mm2(self) -> float:
        """What is used of the sheet."""
        return self.used_width_mm * self.used_mm

    def within(self, rooms_mm: Sequence[tuple[float, float]]) -> bool:
        """Whether one of the rooms (width, height) holds what is used."""
        return any(
            self.used_width_mm <= width + 1e-6 and self.used_mm <= height + 1e-6
            for width, height in rooms_mm
        )


def fits(sides_mm: tuple[float, float], size: SheetSize, *, turning: bool = True) -> bool:
    """Whether a rectangle of (width, height) can be cut from a sheet."""
    room = _room(size)
    ways = [sides_mm, sides_mm[::-1]] if turning else [sides_mm]
    return any(way[0] <= room[0] + 1e-6 and way[1] <= room[1] + 1e-6 for way in ways)


def pack(
    sizes_mm: Sequence[tuple[float, float]],
    size: SheetSize,
    *,
    turning: bool = True,
    rooms_mm: Sequence[tuple[float, float]] = (),
) -> list[Packed]:
    """Lay rectangles (width, height) on as few sheets as the heuristics find.

    Parameters
    ----------
    turning
        Whether a rectangle may be laid turned by 90°; not where the sheet has a direction.
    rooms_mm
        Pages. Of the layouts that take one sheet, one that a page holds is preferred, so that no
        piece is torn apart by a page's end in vain.
    """
    return list(_laid_out(tuple(sizes_mm), size, turning, tuple(rooms_mm)))


Item = tuple[int, tuple[float, float]]


@lru_cache(maxsize=256)  # a plan counts sheets for several numbers of cups, and is made anew often
def _laid_out(
    sizes_mm: tuple[tuple[float, float], ...],
    size: SheetSize,
    turning: bool,
    rooms_mm: tuple[tuple[float, float], ...],
) -> tuple[Packed, ...]:
    numbered = list(enumerate(sizes_mm))
    some = [item for item in numbered if fits(item[1], size, turning=turning)]
    sheets = _on_sheets(some, size, turning, rooms_mm) if some else []
    return (*sheets, *(_alone(*item) for item in numbered if item not in some))


def _room(size: SheetSize) -> tuple[float, float]:
    return size.width_mm - 2 * EDGE_MM, (size.length_mm or _LONGEST_MM) - 2 * EDGE_MM


def _alone(index: int, sides_mm: tuple[float, float]) -> Packed:
    width, length = (math.ceil(side) + 2 * EDGE_MM for side in sides_mm)
    laid = (Laid(index, EDGE_MM, EDGE_MM, turned=False),)
    return Packed(SheetSize(width, length), laid, width, length, oversize=True)


def _on_sheets(
    items: Sequence[Item],
    size: SheetSize,
    turning: bool,
    rooms_mm: Sequence[tuple[float, float]],
) -> list[Packed]:
    """One sheet if it holds all, else the fewest, each of them packed as tightly as it can be."""
    alone = [sheet for sheet in _layouts(items, size, turning, rooms_mm) if sheet is not None]
    if alone:
        paged = [sheet for sheet in alone if sheet.within(rooms_mm)]
        return [min(paged or alone, key=lambda sheet: (sheet.area_mm2, sheet.used_mm))]
    tried = []
    for way, order in product(_WAYS, _ORDERS):
        bins = _packed(items, _room(size), way, order, turning, sheets=len(items))
        tried.append([[items[rect.rid] for rect in one] for one in bins])
    fewest = min(tried, key=len)
    return [sheet for held in fewest for sheet in _on_sheets(held, size, turning, rooms_mm)]


def _layouts(
    items: Sequence[Item],
    size: SheetSize,
    turning: bool,
    rooms_mm: Sequence[tuple[float, float]],
) -> Iterator[Packed | None]:
    """All of it on one sheet, in several ways; None for a way that leaves something over."""
    width, length = _room(size)
    tall = [(share * width, length) for share in _WIDTHS]
    paged = [(min(w - 2 * EDGE_MM, width), min(h - 2 * EDGE_MM, length)) for w, h in rooms_mm]
    for room, way, order in product(tall + paged, _WAYS, _ORDERS):
        found = list(_packed(items, room, way, order, turning, sheets=1))
        if found and len(found[0]) == len(items):
            yield _sheet(found[0], items, size)


def _packed(
    items: Sequence[Item],
    room_mm: tuple[float, float],
    way: type,
    order: object,
    turning: bool,
    *,
    sheets: int,
) -> Any:
    packer = rectpack.newPacker(pack_algo=way, sort_algo=order, rotation=turning)
    for nth, (_, sides) in enumerate(items):
        packer.add_rect(*(math.ceil((s + GAP_MM) * _STEPS_PER_MM - 1e-6) for s in sides), nth)
    room = [math.floor((side + GAP_MM) * _STEPS_PER_MM + 1e-6) for side in room_mm]
    packer.add_bin(*room, count=sheets)
    packer.pack()
    return packer


def _sheet(one: Any, items: Sequence[Item], size: SheetSize) -> Packed:
    laid, right, foot = [], 0.0, 0.0
    for rect in one:
        index, (width, height) = items[rect.rid]
        turned = rect.width != math.ceil((width + GAP_MM) * _STEPS_PER_MM - 1e-6)
        x, y = EDGE_MM + rect.x / _STEPS_PER_MM, EDGE_MM + rect.y / _STEPS_PER_MM
        right = max(right, x + (height if turned else width))
        foot = max(foot, y + (width if turned else height))
        laid.append(Laid(index, x, y, turned))
    laid.sort(key=lambda place: place.index)
    return Packed(size, tuple(laid), right + EDGE_MM, foot + EDGE_MM)
