"""The proof's third page: the materials with their numbers, and how large the cup is."""

from mockup.outputs.facts import SwatchFact
from mockup.outputs.proof_flow import Flow
from mockup.outputs.proof_scale import draw_beside_can
from mockup.outputs.proof_style import BODY, GAP_MM, HEADING, MARGIN_MM, SMALL, STRONG, length_text
from mockup.outputs.sheet import HAIRLINE

__all__ = ["lay_out_materials"]

CHIP_MM = (24.0, 15.5)
CARD_MM = 23.0
ROW_MM = 5.2
FIGURE_MM = 128.0  # most height of cup and can with their measures


def lay_out_materials(flow: Flow) -> None:
    """Cards of the swatches, two beside each other; then sizes beside the figure."""
    flow.begin("Colours, materials and size")
    column = (flow.width - 2 * GAP_MM) / 2
    swatches = flow.facts.swatches
    for i in range(0, len(swatches), 2):
        flow.need(CARD_MM)
        for j, swatch in enumerate(swatches[i : i + 2]):
            _card(flow, MARGIN_MM + j * (column + 2 * GAP_MM), column, swatch)
        flow.y += CARD_MM
    flow.y += 3
    _sizes(flow)
    flow.end()


def _card(flow: Flow, x: float, width: float, swatch: SwatchFact) -> None:
    sheet, y = flow.sheet, flow.y
    sheet.box(x, y, *CHIP_MM, fill=swatch.chip_rgb8_srgb, stroke=HAIRLINE, radius_mm=1.5)
    left, room = x + CHIP_MM[0] + 4, width - CHIP_MM[0] - 4
    rows = (
        (swatch.material, STRONG),
        (swatch.finish, BODY),
        (f"{swatch.hex_srgb} · {swatch.numbers}", SMALL),
    )
    y -= 0.6
    for text, style in rows:
        shown = sheet.shortened(text, style, room)
        sheet.line_of_text(left, y + 0.5 * style.leading_mm + 0.3 * style.size_mm, shown, style)
        y += style.leading_mm
    source = sheet.shortened(f"From: {swatch.source}", SMALL, 1.9 * room)  # in two lines
    sheet.paragraph(left, y, room, source, SMALL)


def _sizes(flow: Flow) -> None:
    """All sizes as a table at the right, the figure at the left of it."""
    sheet, facts = flow.sheet, flow.facts
    rows = ROW_MM * len(facts.sizes) + 8
    flow.need(max(min(rows, 120.0), 100.0))
    top, room = flow.y, min(flow.foot - flow.y - 8, FIGURE_MM)
    figure = 0.55 * flow.width
    sheet.line_of_text(MARGIN_MM, top + 2.4, "HOW LARGE IT IS", HEADING)
    below = draw_beside_can(sheet, facts.elevation, MARGIN_MM, top + 8, figure, room - 8)
    x, width = MARGIN_MM + figure + GAP_MM, flow.width - figure - GAP_MM
    sheet.line_of_text(x, top + 2.4, "SIZES", HEADING)
    y = top + 5.4
    for label, mm in facts.sizes:
        if y + ROW_MM > flow.foot:
            break
        length = length_text(mm)
        name = sheet.shortened(label, BODY, width - sheet.width_of(length, BODY) - 3)
        sheet.line_of_text(x, y + 3.4, name, BODY)
        sheet.line_of_text(x + width, y + 3.4, length, BODY, "right")
        y += ROW_MM
        sheet.line([(x, y - 0.2), (x + width, y - 0.2)])
    flow.y = max(below, y)
