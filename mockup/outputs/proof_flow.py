"""Pages that fill from the top down, and go on over a new page where one is full."""

from collections.abc import Sequence

from mockup.outputs.facts import ProofFacts
from mockup.outputs.proof_style import (
    BODY,
    FOOT_MM,
    HEADING,
    MARGIN_MM,
    PAGE_TITLE,
    draw_footer,
    draw_head,
)
from mockup.outputs.sheet import ACCENT, Sheet, Type

__all__ = ["Flow"]

BULLET_MM = 3.5


class Flow:
    """Where the next thing goes: `y` on the page at work, `foot` its end, `width` the text's."""

    def __init__(self, sheet: Sheet, facts: ProofFacts) -> None:
        self.sheet, self.facts = sheet, facts
        self.width = self.foot = self.y = 0.0
        self.heading = ""

    def begin(self, heading: str) -> None:
        """A new page under this heading."""
        page_width, page_height = self.sheet.page()
        self.heading = heading
        self.width, self.foot = page_width - 2 * MARGIN_MM, page_height - FOOT_MM
        y = draw_head(self.sheet, self.facts)
        self.y = self.sheet.paragraph(MARGIN_MM - 0.2, y, self.width, heading, PAGE_TITLE) + 5

    def end(self) -> None:
        """Close the page at work."""
        draw_footer(self.sheet, self.facts)

    def need(self, height: float) -> None:
        """Turn the page unless so much room is left."""
        if self.y + height > self.foot:
            self.end()
            self.begin(self.heading)

    def head(self, text: str) -> None:
        """A section's heading, kept on a page with the line after it."""
        self.need(12)
        self.sheet.line_of_text(MARGIN_MM, self.y + 2.4, text, HEADING)
        self.y += 5.4

    def points(self, texts: Sequence[str]) -> None:
        """Sentences, each with its bullet; a long one goes on over the page."""
        for text in texts:
            self._lines(text, MARGIN_MM + BULLET_MM, self.width - BULLET_MM, BODY, bullet=True)
            self.y += 1

    def text(self, text: str, style: Type = BODY) -> None:
        """Plain text of any length, with its own line breaks."""
        self._lines(text, MARGIN_MM, self.width, style, bullet=False)

    def _lines(self, text: str, x: float, width: float, style: Type, *, bullet: bool) -> None:
        lines = self.sheet.lines_of(width, text, style)
        for nth, line in enumerate(lines):
            self.need(style.leading_mm)
            if bullet and nth == 0:
                self.sheet.box(MARGIN_MM, self.y + 1.75, 1.0, 1.0, fill=ACCENT, radius_mm=0.5)
            self.sheet.line_of_text(
                x, self.y + 0.5 * style.leading_mm + 0.3 * style.size_mm, line, style
            )
            self.y += style.leading_mm
