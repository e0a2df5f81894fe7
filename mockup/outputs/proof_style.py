"""The proof's type, margins, head and foot lines."""

from mockup.outputs.facts import ProofFacts
from mockup.outputs.sheet import ACCENT, HAIRLINE, MUTED, Sheet, Type
from mockup.units import inches_from_mm

__all__ = [
    "BODY",
    "CAPTION",
    "FOOT_MM",
    "GAP_MM",
    "HEADING",
    "MARGIN_MM",
    "NOTE",
    "PAGE_TITLE",
    "SMALL",
    "STRONG",
    "TINY",
    "TITLE",
    "draw_footer",
    "draw_head",
    "draw_title",
    "length_text",
]

TITLE = Type("light", 28, 11.4)
TITLES = (TITLE, Type("light", 21, 8.8), Type("light", 16, 7))
PAGE_TITLE = Type("light", 20, 8.6)
HEADING = Type("semibold", 7.5, 4, ACCENT, spacing_pt=1.1)
STRONG = Type("semibold", 9.5, 4.5)
NOTE = Type("semibold", 9, 4.3, ACCENT)
BODY = Type("regular", 9, 4.3)
CAPTION = Type("regular", 7.5, 3.5, MUTED)
SMALL = Type("regular", 7.5, 3.5, MUTED)
TINY = Type("semibold", 6, 3)

MARGIN_MM = 18.0
GAP_MM = 5.0
FOOT_MM = 17.0  # below it nothing but the foot line


def draw_head(sheet: Sheet, facts: ProofFacts) -> float:
    """The line at the top of an upright page; gives the y below it."""
    sheet.line_of_text(MARGIN_MM, 16.5, "PROOF FOR YOUR APPROVAL", HEADING)
    right = float(sheet.pdf.w) - MARGIN_MM
    sheet.line_of_text(right, 16.5, facts.revision_label, SMALL, "right")
    return 20.0


def draw_title(sheet: Sheet, y: float, width: float, title: str) -> float:
    """The title in the largest type that takes two lines at most; gives the y below it."""
    style = next((t for t in TITLES if len(sheet.lines_of(width, title, t)) <= 2), TITLES[-1])
    return sheet.paragraph(MARGIN_MM - 0.3, y, width, title, style)


def draw_footer(sheet: Sheet, facts: ProofFacts) -> None:
    """Title and page number at the foot of an upright page."""
    width, height = float(sheet.pdf.w), float(sheet.pdf.h)
    sheet.line([(MARGIN_MM, height - 14), (width - MARGIN_MM, height - 14)], HAIRLINE)
    title = sheet.shortened(facts.title, SMALL, width - 2 * MARGIN_MM - 20)
    sheet.line_of_text(MARGIN_MM, height - 9.5, title, SMALL)
    page = f"Page {sheet.page_number}"
    sheet.line_of_text(width - MARGIN_MM, height - 9.5, page, SMALL, "right")


def length_text(mm: float) -> str:
    """A length in both units."""
    return f"{mm:.1f} mm ({inches_from_mm(mm):.2f} in)"
