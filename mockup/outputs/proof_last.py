"""The proof's last pages: materials, sizes, what may differ, care, and the place to sign."""

from collections.abc import Sequence

from mockup.outputs.facts import ProofFacts
from mockup.outputs.proof_style import (
    BODY,
    GAP_MM,
    HEADING,
    MARGIN_MM,
    SMALL,
    STRONG,
    draw_footer,
    length_text,
)
from mockup.outputs.proof_words import APPROVAL, CARE, DIFFERENCES
from mockup.outputs.sheet import ACCENT, HAIRLINE, INK, MUTED, Sheet

__all__ = ["LastPages"]


class LastPages:
    """The last pages, filled from the top down; a new page begins where one is full."""

    def __init__(self, sheet: Sheet, facts: ProofFacts) -> None:
        self.sheet, self.facts = sheet, facts
        self.width = self.foot = self.y = 0.0

    def lay_out(self) -> None:
        """All of it."""
        self._turn_page()
        self.sheet.line_of_text(MARGIN_MM, self.y, "MATERIALS, SIZES AND CARE", HEADING)
        self.y += 7
        self._swatches()
        self._two_columns()
        if self.facts.findings:
            self._list("PLEASE NOTE", self.facts.findings)
        self._list("CARE AND FOOD SAFETY", (*self.facts.cautions, *CARE))
        self._approval()
        draw_footer(self.sheet, self.facts)

    def _turn_page(self) -> None:
        page_width, page_height = self.sheet.page()
        self.width, self.foot, self.y = page_width - 2 * MARGIN_MM, page_height - 18, 20.5

    def _need(self, height: float) -> None:
        if self.y + height > self.foot:
            draw_footer(self.sheet, self.facts)
            self._turn_page()

    def _swatches(self) -> None:
        column = (self.width - GAP_MM) / 2
        pairs = [self.facts.swatches[i : i + 2] for i in range(0, len(self.facts.swatches), 2)]
        for pair in pairs:
            self._need(15)
            for i, (role, material, numbers, chip) in enumerate(pair):
                x = MARGIN_MM + i * (column + GAP_MM)
                self.sheet.box(x, self.y, 18, 11, fill=chip, stroke=HAIRLINE, radius_mm=1.5)
                below = self.sheet.paragraph(x + 22, self.y - 0.4, column - 22, material, STRONG)
                self.sheet.paragraph(x + 22, below, column - 22, f"{role} · {numbers}", SMALL)
            self.y += 15
        self.y += 3

    def _two_columns(self) -> None:
        """Sizes and light at the left, what may differ at the right."""
        column = (self.width - 2 * GAP_MM) / 2
        right = MARGIN_MM + column + 2 * GAP_MM
        rows = 4.9 * len(self.facts.sizes) + 16
        texts = sum(self.sheet.height_of(column - 3.5, t, BODY) + 1 for t in DIFFERENCES)
        self._need(max(rows, texts) + 8)
        top = self.y
        y = self._heading(MARGIN_MM, top, "SIZES")
        for label, mm in self.facts.sizes:
            self.sheet.line_of_text(MARGIN_MM, y + 3.2, label, BODY)
            self.sheet.line_of_text(MARGIN_MM + column, y + 3.2, length_text(mm), BODY, "right")
            y += 4.9
            self.sheet.line([(MARGIN_MM, y - 0.3), (MARGIN_MM + column, y - 0.3)])
        y = self._heading(MARGIN_MM, y + 3.5, "LIGHT")
        shown = f"All pictures are shown in {self.facts.light} light."
        y = self.sheet.paragraph(MARGIN_MM, y, column, shown, BODY)
        below = self._heading(right, top, "MADE BY HAND, SO THIS MAY DIFFER")
        below = self._points(right, below, column, DIFFERENCES)
        self.y = max(y, below) + 6

    def _list(self, heading: str, texts: Sequence[str]) -> None:
        first = self.sheet.height_of(self.width - 3.5, texts[0], BODY)
        self._need(first + 8)
        self.y = self._heading(MARGIN_MM, self.y, heading)
        for text in texts:
            self._need(self.sheet.height_of(self.width - 3.5, text, BODY) + 1)
            self.y = self._points(MARGIN_MM, self.y, self.width, [text])
        self.y += 5

    def _heading(self, x: float, y: float, text: str) -> float:
        self.sheet.line_of_text(x, y + 2.4, text, HEADING)
        return y + 5.2

    def _points(self, x: float, y: float, width: float, texts: Sequence[str]) -> float:
        for text in texts:
            self.sheet.box(x, y + 1.75, 1.0, 1.0, fill=ACCENT, radius_mm=0.5)
            y = self.sheet.paragraph(x + 3.5, y, width - 3.5, text, BODY) + 1
        return y

    def _approval(self) -> None:
        """At the foot of the last page: two boxes to tick, three lines to fill, the fingerprint."""
        height = 46.0
        self._need(height)
        sheet, y = self.sheet, self.foot - height
        sheet.box(MARGIN_MM, y, self.width, height - 4, stroke=HAIRLINE, radius_mm=2)
        left, width = MARGIN_MM + 6, self.width - 12
        for i, text in enumerate(("Approved as shown", "Please change:")):
            x = left + i * 50
            sheet.box(x, y + 5.6, 3.6, 3.6, stroke=INK)
            sheet.line_of_text(x + 5.6, y + 8.6, text, STRONG)
        sheet.line([(left + 82, y + 9.4), (left + width, y + 9.4)], MUTED)
        for share, length, text in (
            (0.0, 0.32, "Name"),
            (0.36, 0.38, "Signature"),
            (0.78, 0.22, "Date"),
        ):
            start = left + share * width
            sheet.line([(start, y + 23), (start + length * width, y + 23)], MUTED)
            sheet.line_of_text(start, y + 26.6, text, SMALL)
        below = sheet.paragraph(left, y + 30, width, APPROVAL, SMALL)
        sheet.line_of_text(left, below + 2.8, f"Fingerprint {self.facts.fingerprint}", SMALL)
