"""The first page of the cut sheets: what is cut, what to look out for, how to work safely."""

from collections.abc import Sequence
from dataclasses import dataclass

from mockup.checks.finding import Finding
from mockup.outputs.cut.band import BLADES, squares
from mockup.outputs.cut.drawing import angle_text, length_text
from mockup.outputs.cut.pages import lay_drawing
from mockup.outputs.pieces import Piece
from mockup.outputs.proof_style import BODY, HEADING, MARGIN_MM, SMALL, STRONG, TITLE
from mockup.outputs.revision import Revision
from mockup.outputs.sheet import HAIRLINE, Sheet, Type

__all__ = ["Overview", "lay_out_overview"]

_FOOT_MM = 16.0
_SQUARES_MM = 12.0  # from the page's upper edge
_NOT = Type("semibold", 15, 6)
# where the columns of the table of pieces begin, share of the width
_COLUMNS = (0.0, 0.05, 0.37, 0.64, 0.82)
_HEADS = ("", "piece", "material", "size, flat", "place: angle, height")
_WORK = (
    "Pieces are numbered from the steel outward. Frames round a decal's layers are alike: lay them "
    "cross on cross and the layers fall together.",
    "Sizes are of the flat piece. On a taper a level piece is cut bent, and comes out level.",
)
_FOIL = (
    "Foil: cut the double-sided adhesive from behind (mirrored) with its backing on, weed, lay it "
    "with the cut face to the cup, peel, press the foil on. If yours is cut face up, have the "
    "sheets made with foil face up."
)
_FACE_UP = "Foil is drawn face up, as it is seen on the cup; it is lifted with transfer tape."


@dataclass(frozen=True, slots=True)
class Overview:
    """What the first page tells."""

    revision: Revision
    cups: int
    pieces: tuple[Piece, ...]
    findings: tuple[Finding, ...]
    sheets: tuple[str, ...]


def lay_out_overview(sheet: Sheet, facts: Overview, *, foil_mirrored: bool) -> int:
    """Lay it out, on more than one page if need be; gives the number of pages."""
    page = _Page(sheet, facts.revision)
    page.title(facts.cups)
    page.table(facts.pieces)
    page.heading("SHEETS THAT FOLLOW")
    page.text("; ".join(facts.sheets) + ".")
    if facts.findings:
        page.heading("LOOK OUT FOR")
        for finding in facts.findings:
            page.text(finding.advice)
    page.heading("HOW TO WORK")
    for text in (*_WORK, _FOIL if foil_mirrored else _FACE_UP):
        page.text(text)
    page.heading("CAUTION")
    page.text(BLADES)
    page.foot()
    return sheet.page_number


class _Page:
    def __init__(self, sheet: Sheet, revision: Revision) -> None:
        self.sheet, self.revision = sheet, revision
        self.width = self.last = self.y = self.below = 0.0

    def title(self, cups: int) -> None:
        self._turn()
        sheet, revision = self.sheet, self.revision
        sheet.line_of_text(MARGIN_MM, self.y, "CUT SHEETS", HEADING)
        beside = self.width - squares().width_mm - 5
        self.y = sheet.paragraph(MARGIN_MM, self.y + 3, beside, revision.title, TITLE) + 4
        words = f"{revision.standing.upper()} · {revision.short}"
        words += f" · {cups} cups" if cups > 1 else ""
        self.y = sheet.paragraph(MARGIN_MM, self.y, beside, words, _NOT) + 3
        self.y = max(self.y, self.below)

    def _turn(self) -> None:
        width, height = self.sheet.page()
        self.width, self.last, self.y = width - 2 * MARGIN_MM, height - _FOOT_MM, 20.5
        measure = squares()
        lay_drawing(self.sheet, measure, width - MARGIN_MM - measure.width_mm, _SQUARES_MM)
        self.below = _SQUARES_MM + measure.height_mm + 4

    def foot(self) -> None:
        """The line at the page's foot."""
        revision = self.revision
        words = f"{revision.title} · {revision.short} · {revision.standing.upper()}"
        self.sheet.line_of_text(MARGIN_MM, self.last + 6.5, words, SMALL)
        page = f"Page {self.sheet.page_number}"
        self.sheet.line_of_text(MARGIN_MM + self.width, self.last + 6.5, page, SMALL, "right")

    def _need(self, height: float) -> None:
        if self.y + height > self.last:
            self.foot()
            self._turn()
            self.y = self.below

    def heading(self, text: str) -> None:
        self._need(14)
        self.sheet.line_of_text(MARGIN_MM, self.y + 6, text, HEADING)
        self.y += 8.5

    def text(self, text: str) -> None:
        self._need(self.sheet.height_of(self.width, text, BODY) + 1)
        self.y = self.sheet.paragraph(MARGIN_MM, self.y, self.width, text, BODY) + 1

    def table(self, pieces: Sequence[Piece]) -> None:
        self._row(_HEADS, SMALL)
        for piece in pieces:
            west, south, east, north = piece.outline.bounds
            cells = (
                f"{piece.order + 1}",
                piece.name,
                f"{piece.role}, {piece.material}" if piece.kind == "decal" else piece.material,
                f"{east - west:.1f} × {north - south:.1f} mm",
                f"{angle_text(piece.turn_deg)}, {piece.height_mm:g} mm"
                if piece.kind == "decal"
                else f"{length_text(piece.span_mm[0])} to {length_text(piece.span_mm[1])} mm",
            )
            self._row(cells, BODY)

    def _row(self, cells: Sequence[str], style: Type) -> None:
        ends = [*_COLUMNS[1:], 1.0]
        widths = [
            (end - start) * self.width - 2.5 for start, end in zip(_COLUMNS, ends, strict=True)
        ]
        height = max(
            self.sheet.height_of(width, text, style)
            for width, text in zip(widths, cells, strict=True)
        )
        self._need(height + 2)
        for nth, (start, width, text) in enumerate(zip(_COLUMNS, widths, cells, strict=True)):
            look = STRONG if nth == 1 and style is BODY else style
            self.sheet.paragraph(MARGIN_MM + start * self.width, self.y, width, text, look)
        self.y += height + 1
        self.sheet.line([(MARGIN_MM, self.y), (MARGIN_MM + self.width, self.y)], HAIRLINE)
        self.y += 1
