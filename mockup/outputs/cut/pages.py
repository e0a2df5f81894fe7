"""Drawings on paper: one page each, or tiles with joining marks where the paper is smaller."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from fpdf.enums import PathPaintRule

from mockup.outputs.cut.band import BAND_MM, band
from mockup.outputs.cut.drawing import KINDS, Drawing, Note, Stroke
from mockup.outputs.cut.path import at
from mockup.outputs.revision import Revision
from mockup.outputs.sheet import INK, PAPER_MM, Paper, Sheet, Type

__all__ = [
    "DESK_ROOMS",
    "CutPaper",
    "Figure",
    "Tiling",
    "lay_drawing",
    "lay_on_pages",
    "rooms",
    "tiling",
]

CutPaper = Literal["a4", "letter", "whole"]
"""``whole``: a page as large as each drawing, for a plotter or a copy shop."""

MARGIN_MM = 9.0  # what desk printers leave blank, and a little
OVERLAP_MM = 12.0  # of neighbouring tiles; they are joined along its middle
_MARK_MM = 3.0  # half the width of a joining mark
_TEXT_PT = 72 / 25.4


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing, its name, and a few lines about it for the band."""

    drawing: Drawing
    name: str
    about: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tiling:
    """How a drawing is parted: tiles of `width_mm` × `height_mm`, `columns` × `rows` of them."""

    landscape: bool
    width_mm: float
    height_mm: float
    columns: int
    rows: int

    def corner(self, column: int, row: int) -> tuple[float, float]:
        """A tile's upper left corner on the drawing, mm."""
        return column * (self.width_mm - OVERLAP_MM), row * (self.height_mm - OVERLAP_MM)


def rooms(paper: Paper) -> list[tuple[float, float]]:
    """Width and height, mm, that a drawing has on an upright page and on a lying one."""
    width, height = PAPER_MM[paper]
    return [
        (side - 2 * MARGIN_MM, other - 2 * MARGIN_MM - BAND_MM)
        for side, other in ((width, height), (height, width))
    ]


_UPRIGHT, _LYING = (
    tuple(min(sides) for sides in zip(*way, strict=True))
    for way in zip(*(rooms(paper) for paper in PAPER_MM), strict=True)
)
DESK_ROOMS = ((_UPRIGHT[0], _UPRIGHT[1]), (_LYING[0], _LYING[1]))
"""Rooms, mm, that every desk paper has."""


def tiling(drawing: Drawing, paper: Paper) -> Tiling:
    """The fewest pages, upright if that is as good."""
    choices = []
    for landscape, room in zip((False, True), rooms(paper), strict=True):
        counts = [
            1 if side <= r + 1e-6 else math.ceil((side - OVERLAP_MM) / (r - OVERLAP_MM) - 1e-9)
            for side, r in zip((drawing.width_mm, drawing.height_mm), room, strict=True)
        ]
        choices.append(Tiling(landscape, *room, *counts))
    return min(choices, key=lambda t: (t.columns * t.rows, t.landscape))


def lay_on_pages(
    sheet: Sheet, figures: Sequence[Figure], paper: CutPaper, revision: Revision, *, first: int = 1
) -> None:
    """Lay the figures on pages of the sheet, each with the band under it.

    Parameters
    ----------
    first
        Pages that stand before these, plus one, for the numbering.
    """
    plans = [None if paper == "whole" else tiling(f.drawing, paper) for f in figures]
    tiles = [_tiles(f.drawing, plan) for f, plan in zip(figures, plans, strict=True)]
    total = first - 1 + sum(len(some) for some in tiles)
    number = first
    for figure, plan, some in zip(figures, plans, tiles, strict=True):
        for column, row in some:
            words = f"page {number} of {total}"
            if plan is None:
                _whole_page(sheet, figure, revision, words)
            else:
                _tile_page(sheet, figure, plan, (column, row), some, revision, words)
            number += 1


def _tiles(drawing: Drawing, plan: Tiling | None) -> list[tuple[int, int]]:
    """Columns and rows of the tiles that hold anything."""
    if plan is None or plan.columns * plan.rows == 1:
        return [(0, 0)]
    boxes = np.array([stroke.path.bounds() for stroke in drawing.strokes])
    found = []
    for row in range(plan.rows):
        for column in range(plan.columns):
            x, y = plan.corner(column, row)
            right, foot = x + plan.width_mm, y + plan.height_mm
            apart = (boxes[:, 0] > right) | (boxes[:, 2] < x)
            apart |= (boxes[:, 1] > foot) | (boxes[:, 3] < y)
            if not apart.all():
                found.append((column, row))
    return found


def _whole_page(sheet: Sheet, figure: Figure, revision: Revision, number: str) -> None:
    drawing = figure.drawing
    width = max(drawing.width_mm, PAPER_MM["a4"][0] - 2 * MARGIN_MM)
    page = width + 2 * MARGIN_MM, drawing.height_mm + BAND_MM + 2 * MARGIN_MM
    sheet.pdf.add_page(format=page, orientation="portrait")
    lay_drawing(sheet, drawing, MARGIN_MM, MARGIN_MM)
    below = band(revision, width, (figure.name, *figure.about), page=number)
    lay_drawing(sheet, below, MARGIN_MM, MARGIN_MM + drawing.height_mm)


def _tile_page(
    sheet: Sheet,
    figure: Figure,
    plan: Tiling,
    tile: tuple[int, int],
    tiles: Sequence[tuple[int, int]],
    revision: Revision,
    number: str,
) -> None:
    sheet.page(landscape=plan.landscape)
    about = list(figure.about)
    x, y = plan.corner(*tile)
    if len(tiles) == 1:
        x = (figure.drawing.width_mm - plan.width_mm) / 2  # in the middle of the page
        y = min(0.0, max((figure.drawing.height_mm - plan.height_mm) / 2, -20.0))
        lay_drawing(sheet, figure.drawing, MARGIN_MM - x, MARGIN_MM - y)
    else:
        about.insert(0, _tile_words(plan, tile))
        with sheet.pdf.rect_clip(MARGIN_MM, MARGIN_MM, plan.width_mm, plan.height_mm):
            lay_drawing(sheet, figure.drawing, MARGIN_MM - x, MARGIN_MM - y)
        shown = (
            min(plan.width_mm, figure.drawing.width_mm - x),
            min(plan.height_mm, figure.drawing.height_mm - y),
        )
        lay_drawing(sheet, _joins(plan, tile, tiles, shown), MARGIN_MM, MARGIN_MM)
    below = band(revision, plan.width_mm, (figure.name, *about), page=number)
    lay_drawing(sheet, below, MARGIN_MM, MARGIN_MM + plan.height_mm)


def _tile_words(plan: Tiling, tile: tuple[int, int]) -> str:
    name = _tile_name(*tile)
    return (
        f"Tile {name} of {plan.columns} × {plan.rows}: cut along a dashed join line, lay the tile "
        "on its neighbour so that the diamonds meet, and tape."
    )


def _tile_name(column: int, row: int) -> str:
    return f"{chr(ord('A') + row)}{column + 1}"


def _joins(
    plan: Tiling,
    tile: tuple[int, int],
    tiles: Sequence[tuple[int, int]],
    shown_mm: tuple[float, float],
) -> Drawing:
    """Join lines along the middle of the overlaps, with two diamonds on each.

    They run over the part of the tile that is `shown_mm` wide and high.
    """
    column, row = tile
    width, height = shown_mm
    drawing = Drawing(plan.width_mm, plan.height_mm)
    half = OVERLAP_MM / 2
    sides = (
        ((column - 1, row), half, None),
        ((column + 1, row), plan.width_mm - half, None),
        ((column, row - 1), None, half),
        ((column, row + 1), None, plan.height_mm - half),
    )
    for neighbour, x, y in sides:
        if neighbour not in tiles:
            continue
        pair = " · ".join(sorted((_tile_name(*tile), _tile_name(*neighbour))))
        if x is not None:
            drawing.line("guide", [(x, 0.0), (x, height)])
            marks = [(x, share * height) for share in (0.2, 0.8)]
        else:
            assert y is not None
            drawing.line("guide", [(0.0, y), (width, y)])
            marks = [(share * width, y) for share in (0.2, 0.8)]
        for nth, (mark_x, mark_y) in enumerate(marks):
            _diamond(drawing, mark_x, mark_y)
            drawing.note(mark_x + 1.0, mark_y - 3.4, f"{pair} / {nth + 1}", 2.2)
    return drawing


def _diamond(drawing: Drawing, x: float, y: float) -> None:
    r = _MARK_MM
    drawing.line("guide", [(x - r, y), (x, y - r), (x + r, y), (x, y + r), (x - r, y)])
    drawing.cross(x, y, 1.2)


def lay_drawing(sheet: Sheet, drawing: Drawing, x_mm: float, y_mm: float) -> None:
    """Draw on the page at work, the drawing's corner at (x, y)."""
    for stroke in drawing.strokes:
        _stroke(sheet, stroke, x_mm, y_mm)
    for note in drawing.notes:
        _note(sheet, note, x_mm, y_mm)


def _stroke(sheet: Sheet, stroke: Stroke, x_mm: float, y_mm: float) -> None:
    style = KINDS[stroke.kind]
    moved = stroke.path.moved(at(x_mm, y_mm))
    with sheet.pdf.new_path(paint_rule=PathPaintRule.STROKE) as path:
        path.style.auto_close = False
        path.style.stroke_color = "#{:02x}{:02x}{:02x}".format(*INK)
        path.style.stroke_width = style.width_mm
        if style.dash_mm:
            path.style.stroke_dash_pattern = list(style.dash_mm)
        for word, points in moved.commands:
            flat = [side for point in points for side in point]
            match word:
                case "M":
                    path.move_to(*flat)
                case "L":
                    path.line_to(*flat)
                case "C":
                    path.curve_to(*flat)
                case "Z":
                    path.close()


def _note(sheet: Sheet, note: Note, x_mm: float, y_mm: float) -> None:
    weight: Literal["semibold", "regular"] = "semibold" if note.strong else "regular"
    style = Type(weight, note.size_mm * _TEXT_PT, note.size_mm * 1.2)
    x, y = note.x_mm + x_mm, note.y_mm + y_mm
    if abs(note.turn_deg) < 1e-3:
        sheet.line_of_text(x, y, note.text, style, note.align)
        return
    with sheet.pdf.rotation(-note.turn_deg, x, y):
        sheet.line_of_text(x, y, note.text, style, note.align)
