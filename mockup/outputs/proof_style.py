"""The proof's type, margins and foot line."""

from mockup.outputs.facts import ProofFacts
from mockup.outputs.sheet import ACCENT, MUTED, Sheet, Type
from mockup.units import inches_from_mm

__all__ = [
    "BODY",
    "GAP_MM",
    "HEADING",
    "MARGIN_MM",
    "NOTE",
    "SMALL",
    "STRONG",
    "TINY",
    "TITLE",
    "draw_footer",
    "length_text",
]

TITLE = Type("light", 27, 11)
HEADING = Type("semibold", 7.5, 4, ACCENT, spacing_pt=1.1)
STRONG = Type("semibold", 9.5, 4.5)
NOTE = Type("semibold", 9, 4.3, ACCENT)
BODY = Type("regular", 9, 4.3)
SMALL = Type("regular", 7.5, 3.5, MUTED)
TINY = Type("semibold", 6, 3)

MARGIN_MM = 18.0
GAP_MM = 6.0


def draw_footer(sheet: Sheet, facts: ProofFacts) -> None:
    """Title, revision and page number at the foot of an upright page."""
    width, baseline = float(sheet.pdf.w), float(sheet.pdf.h) - 9.5
    sheet.line_of_text(MARGIN_MM, baseline, f"{facts.title} · {facts.short_fingerprint}", SMALL)
    page = f"Page {sheet.page_number}"
    sheet.line_of_text(width - MARGIN_MM, baseline, page, SMALL, "right")


def length_text(mm: float) -> str:
    """A length in both units."""
    return f"{mm:.1f} mm ({inches_from_mm(mm):.2f} in)"
