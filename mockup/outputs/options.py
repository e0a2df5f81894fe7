"""The options sheet: the same cup under several palettes, each over its own column of a table.

One layout for two papers: a picture as wide as it needs to be, with the cups pixel for pixel, and
pages of a PDF.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.outputs.options_facts import Cell, OptionColumn, OptionsFacts
from mockup.outputs.picture_sheet import Canvas, PictureSheet
from mockup.outputs.sheet import ACCENT, HAIRLINE, MUTED, Paper, Sheet, Type

__all__ = ["draw_options", "lay_out_options"]

PX_PER_MM = 8.0
MOST_ABREAST = 6
MOST_ON_A_PAGE = 3

TITLE = Type("light", 20, 8)
HEADING = Type("semibold", 7.5, 3.6, ACCENT, spacing_pt=1.1)
STRONG = Type("semibold", 9.5, 4.5)
BODY = Type("regular", 9, 4.3)
SMALL = Type("regular", 7.5, 3.5, MUTED)
NAME = Type("semibold", 12, 5.4)
NUMBER = Type("light", 12, 5.4, MUTED)
TROUBLE = Type("semibold", 9, 4.3, ACCENT)
FINE = Type("semibold", 9, 4.3, MUTED)

MARGIN_MM, GAP_MM = 12.0, 6.0
LEAST_COLUMN_MM = 45.0
CHIP_MM = 4.5
LEAST_WIDTH_MM = 130.0
_TITLE_MM = 11.5  # its top


@dataclass(frozen=True, slots=True)
class _Band:
    """One row of options and its table; sizes in mm."""

    columns: tuple[OptionColumn, ...]
    first: int
    column_mm: float
    picture_mm: tuple[float, float]

    def left(self, nth: int) -> float:
        return MARGIN_MM + nth * (self.column_mm + GAP_MM)

    @property
    def right(self) -> float:
        return self.left(len(self.columns)) - GAP_MM


def draw_options(facts: OptionsFacts) -> NDArray[np.uint8]:
    """The sheet as one picture: (rows, columns, 3) uint8, sRGB.

    Up to six options stand abreast, each picture at its own pixels; more go below.
    """
    most = max(column.picture.shape[1] for column in facts.columns) / PX_PER_MM
    tall = max(column.picture.shape[0] for column in facts.columns) / PX_PER_MM
    bands = [
        _Band(part, first, max(most, LEAST_COLUMN_MM), (most, tall))
        for first, part in _parted(facts.columns, MOST_ABREAST)
    ]
    scratch = PictureSheet(1, 1, px_per_mm=PX_PER_MM)
    width = max(LEAST_WIDTH_MM, *(band.right + MARGIN_MM for band in bands))
    heights = [_height(scratch, facts, band) for band in bands]
    notes = _notes_height(scratch, facts, width)
    y = _head_height(scratch, facts, width)
    height = y + sum(heights) + notes + MARGIN_MM
    sheet = PictureSheet(width, height, px_per_mm=PX_PER_MM)
    _head(sheet, facts, width)
    for band, high in zip(bands, heights, strict=True):
        _lay_band(sheet, facts, band, y)
        y += high
    _notes(sheet, facts, y, width)
    return sheet.rgb8_srgb


def lay_out_options(facts: OptionsFacts, *, paper: Paper) -> bytes:
    """The sheet as a PDF, up to three options on a page.

    The same facts give the same bytes.
    """
    sheet = Sheet(paper, f"{facts.title}: options")
    parts = list(_parted(facts.columns, MOST_ON_A_PAGE))
    abreast = max(2, *(len(part) for _, part in parts))
    for first, part in parts:
        width, height = sheet.page()
        column = (width - 2 * MARGIN_MM + GAP_MM) / abreast - GAP_MM
        under = _Band(part, first, column, (column, 0.0))
        top, notes = _head_height(sheet, facts, width), _notes_height(sheet, facts, width)
        room = height - top - MARGIN_MM - notes - _height(sheet, facts, under)
        rows, columns = part[0].picture.shape[:2]
        picture = min(column, room * columns / rows)
        band = _Band(part, first, column, (picture, picture * rows / columns))
        _head(sheet, facts, width)
        _lay_band(sheet, facts, band, top)
        _notes(sheet, facts, height - MARGIN_MM - notes, width)
        page = f"Page {sheet.page_number} of {len(parts)}"
        sheet.line_of_text(width - MARGIN_MM, height - MARGIN_MM + 3.0, page, SMALL, "right")
    return sheet.finished()


def _parted(
    columns: Sequence[OptionColumn], most: int
) -> Iterator[tuple[int, tuple[OptionColumn, ...]]]:
    """Parts of at most `most`, as even as can be, each with the number of its first."""
    parts = -(-len(columns) // most)
    each = -(-len(columns) // parts)
    for first in range(0, len(columns), each):
        yield first, tuple(columns[first : first + each])


def _head(sheet: Canvas, facts: OptionsFacts, width: float) -> None:
    sheet.line_of_text(MARGIN_MM, 9.5, "OPTIONS", HEADING)
    sheet.line_of_text(width - MARGIN_MM, 9.5, facts.shown, BODY, "right")
    sheet.paragraph(MARGIN_MM, _TITLE_MM, width - 2 * MARGIN_MM, facts.title, TITLE)


def _head_height(sheet: Canvas, facts: OptionsFacts, width: float) -> float:
    return _TITLE_MM + sheet.height_of(width - 2 * MARGIN_MM, facts.title, TITLE) + 2.5


def _lay_band(sheet: Canvas, facts: OptionsFacts, band: _Band, y: float) -> None:
    wide, tall = band.picture_mm
    for nth, column in enumerate(band.columns):
        left = band.left(nth)
        x = left + (band.column_mm - wide) / 2
        sheet.picture(column.picture, x, y, wide, tall)
        _caption(sheet, band, nth, y + tall + 2.5)
    top = y + tall + _captions_height(sheet, band)
    for row, label in enumerate(facts.rows):
        sheet.line([(MARGIN_MM, top), (band.right, top)], HAIRLINE)
        sheet.line_of_text(MARGIN_MM, top + 4.2, label, HEADING)
        for nth, column in enumerate(band.columns):
            _lay_cell(sheet, column.cells[row], band.left(nth), top + 5.4, band.column_mm)
        top += _row_height(sheet, band, row)


def _caption(sheet: Canvas, band: _Band, nth: int, y: float) -> None:
    column, left = band.columns[nth], band.left(nth)
    each = band.column_mm / max(len(column.chips), 1)
    for i, chip in enumerate(column.chips):
        sheet.box(left + i * each, y, each, CHIP_MM, fill=chip)
    sheet.box(left, y, band.column_mm, CHIP_MM, stroke=HAIRLINE)
    baseline = y + CHIP_MM + 6.0
    sheet.line_of_text(left, baseline, f"{band.first + nth + 1}", NUMBER)
    sheet.line_of_text(left + 6.0, baseline, column.name, NAME)
    if column.in_use:
        sheet.line_of_text(left + band.column_mm, baseline, "in use", FINE, "right")
    sheet.paragraph(left, baseline + 1.8, band.column_mm, column.note, SMALL)


def _lay_cell(sheet: Canvas, cell: Cell, left: float, y: float, width: float) -> None:
    style = TROUBLE if cell.trouble else STRONG
    sheet.line_of_text(left, y + 3.4, cell.figure, STRONG)
    if cell.verdict:
        sheet.line_of_text(left + width, y + 3.4, cell.verdict, style, "right")
    if cell.detail:
        sheet.paragraph(left, y + 4.9, width, cell.detail, SMALL)


def _row_height(sheet: Canvas, band: _Band, row: int) -> float:
    details = [
        sheet.height_of(band.column_mm, column.cells[row].detail, SMALL)
        for column in band.columns
        if column.cells[row].detail
    ]
    return 5.4 + 4.9 + max(details, default=0.0) + 2.2


def _captions_height(sheet: Canvas, band: _Band) -> float:
    notes = [sheet.height_of(band.column_mm, c.note, SMALL) for c in band.columns if c.note]
    return 2.5 + CHIP_MM + 6.0 + 1.8 + max(notes, default=0.0) + 2.5


def _height(sheet: Canvas, facts: OptionsFacts, band: _Band) -> float:
    rows = sum(_row_height(sheet, band, row) for row in range(len(facts.rows)))
    return band.picture_mm[1] + _captions_height(sheet, band) + rows + 5.0


def _notes_height(sheet: Canvas, facts: OptionsFacts, width: float) -> float:
    return sheet.height_of(width - 2 * MARGIN_MM, "  ·  ".join(facts.notes), SMALL) + 2.0


def _notes(sheet: Canvas, facts: OptionsFacts, y: float, width: float) -> None:
    sheet.paragraph(MARGIN_MM, y, width - 2 * MARGIN_MM, "  ·  ".join(facts.notes), SMALL)
