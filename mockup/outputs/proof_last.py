"""The proof's last pages: what to know, what may differ, care, price, and the place to sign."""

from mockup.outputs.facts import Quote
from mockup.outputs.proof_flow import Flow
from mockup.outputs.proof_style import BODY, HEADING, MARGIN_MM, SMALL, STRONG
from mockup.outputs.proof_words import APPROVAL, BEFORE_SIGNING, CARE, LIGHT_NOTE, MISSING_LETTERS
from mockup.outputs.sheet import HAIRLINE, INK, MUTED

__all__ = ["lay_out_last"]

SIGN_MM = 48.0
LINE_MM = 8.0  # between ruled lines
MOST_LINES = 4
ROW_MM = 5.2
GAP_MM = 5.0


def lay_out_last(flow: Flow) -> None:
    """All of it, the place to sign at the foot of the last page."""
    flow.begin(BEFORE_SIGNING)
    facts = flow.facts
    if facts.note:
        flow.head("FROM THE MAKER")
        flow.text(facts.note)
        flow.y += GAP_MM
    lists = (
        ("PLEASE NOTE", facts.findings),
        ("MADE BY HAND, SO THIS MAY DIFFER", facts.differences),
        ("LIGHT", (f"Shown in {facts.light.name} light. {facts.light.words}", LIGHT_NOTE)),
        ("CARE AND FOOD SAFETY", (*facts.cautions, *CARE)),
    )
    for heading, texts in lists:
        if texts:
            flow.head(heading)
            flow.points(texts)
            flow.y += GAP_MM
    if facts.quote is not None:
        _price(flow, facts.quote)
    if flow.sheet.missing:
        letters = " ".join(f"U+{ord(letter):04X}" for letter in sorted(flow.sheet.missing)[:20])
        flow.text(MISSING_LETTERS.format(letters=letters), SMALL)
    _approval(flow)
    flow.end()


def _price(flow: Flow, quote: Quote) -> None:
    sheet, width = flow.sheet, min(flow.width, 100.0)
    flow.need(ROW_MM * len(quote.rows) + 14)
    flow.head("PRICE")
    for nth, (what, total) in enumerate(quote.rows, start=1):
        style = STRONG if nth == len(quote.rows) else BODY
        sheet.line_of_text(MARGIN_MM, flow.y + 3.4, what, style)
        sheet.line_of_text(MARGIN_MM + width, flow.y + 3.4, total, style, "right")
        flow.y += ROW_MM
        sheet.line([(MARGIN_MM, flow.y - 0.2), (MARGIN_MM + width, flow.y - 0.2)])
    if quote.note:
        flow.y = sheet.paragraph(MARGIN_MM, flow.y + 1, width, quote.note, SMALL)
    flow.y += GAP_MM


def _approval(flow: Flow) -> None:
    """At the foot: two boxes to tick, lines for words, three to fill, the fingerprint."""
    flow.need(SIGN_MM)
    lines = min(int((flow.foot - flow.y - SIGN_MM) / LINE_MM), MOST_LINES)
    height = SIGN_MM + lines * LINE_MM
    sheet, y = flow.sheet, flow.foot - height
    sheet.box(MARGIN_MM, y, flow.width, height - 3, stroke=HAIRLINE, radius_mm=2)
    left, width = MARGIN_MM + 6, flow.width - 12
    sheet.line_of_text(left, y + 6.4, "YOUR ANSWER", HEADING)
    for i, text in enumerate(("Approved as shown", "Please change:")):
        x = left + i * 50
        sheet.box(x, y + 9.6, 3.6, 3.6, stroke=INK)
        sheet.line_of_text(x + 5.6, y + 12.6, text, STRONG)
    sheet.line([(left + 82, y + 13.4), (left + width, y + 13.4)], HAIRLINE)
    for _ in range(lines):
        y += LINE_MM
        sheet.line([(left, y + 13.4), (left + width, y + 13.4)], HAIRLINE)
    for share, length, text in (
        (0.0, 0.32, "Name"),
        (0.36, 0.38, "Signature"),
        (0.78, 0.22, "Date"),
    ):
        start = left + share * width
        sheet.line([(start, y + 26), (start + length * width, y + 26)], MUTED)
        sheet.line_of_text(start, y + 29.4, text, SMALL)
    below = sheet.paragraph(left, y + 32.6, width, APPROVAL, SMALL)
    revision = f"{flow.facts.revision}, " if flow.facts.revision else ""
    line = f"This is {revision}fingerprint {flow.facts.fingerprint}"
    sheet.line_of_text(left, below + 2.8, line, SMALL)
