"""The proof's first page: the cup, from all sides and close up, and what it is at a glance."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from mockup.outputs.facts import ProofFacts, View
from mockup.outputs.proof_style import (
    BODY,
    CAPTION,
    FOOT_MM,
    GAP_MM,
    HEADING,
    MARGIN_MM,
    NOTE,
    SMALL,
    STRONG,
    draw_footer,
    draw_head,
    draw_title,
    length_text,
)
from mockup.outputs.proof_words import BEFORE_SIGNING
from mockup.outputs.sheet import HAIRLINE, Sheet, Type

__all__ = ["lay_out_cover"]

CAPTION_MM = 5.5
STRIP_MM, STRIP_NAMES_MM = 6.0, 5.0
MOST_NAMES = 8  # more do not fit under the strip


def lay_out_cover(sheet: Sheet, facts: ProofFacts) -> None:
    """Large picture at the left; close-up and key facts beside it; four sides and colours below."""
    page_width, page_height = sheet.page()
    width = page_width - 2 * MARGIN_MM
    y = draw_head(sheet, facts)
    y = draw_title(sheet, y, width, facts.title) + 4
    side = (width - 3 * GAP_MM) / 4
    below = side * 4 / 3 + CAPTION_MM + GAP_MM + STRIP_MM + STRIP_NAMES_MM
    height = page_height - FOOT_MM - y - CAPTION_MM - 2 - below
    hero_width = min(height * 3 / 4, 0.66 * width)
    height = hero_width * 4 / 3
    sheet.picture(_cropped(facts.hero, 3 / 4), MARGIN_MM, y, hero_width, height)
    sheet.line_of_text(MARGIN_MM, y + height + 3.8, facts.hero.label, CAPTION)
    x = MARGIN_MM + hero_width + GAP_MM
    _beside(sheet, facts, x, y, width - hero_width - GAP_MM, height)
    y += height + CAPTION_MM + 2
    for i, view in enumerate(facts.sides[:4]):
        x = MARGIN_MM + i * (side + GAP_MM)
        sheet.picture(_cropped(view, 3 / 4), x, y, side, side * 4 / 3)
        sheet.line_of_text(x, y + side * 4 / 3 + 3.8, view.label, CAPTION)
    _strip(sheet, facts, y + side * 4 / 3 + CAPTION_MM + GAP_MM, width)
    draw_footer(sheet, facts)


def _cropped(view: View, aspect: float) -> NDArray[np.uint8]:
    """The middle of a picture, width over height `aspect`."""
    rows, columns = view.rgb8_srgb.shape[:2]
    wide, tall = min(columns, round(rows * aspect)), min(rows, round(columns / aspect))
    top, left = (rows - tall) // 2, (columns - wide) // 2
    return view.rgb8_srgb[top : top + tall, left : left + wide]


def _beside(
    sheet: Sheet, facts: ProofFacts, x: float, y: float, width: float, height: float
) -> None:
    """The close-up, and below it the key facts as far as there is room."""
    foot = y + height
    close = min(width * 4 / 3, 0.46 * height)
    sheet.picture(_cropped(facts.close_up, width / close), x, y, width, close)
    sheet.line_of_text(x, y + close + 3.8, facts.close_up.label, CAPTION)
    y += close + CAPTION_MM + 3
    for heading, lines in _key_facts(facts):
        needed = 5 + sum(sheet.height_of(width, text, style) for text, style in lines)
        if y + needed > foot + 1:
            break
        sheet.line([(x, y), (x + width, y)], HAIRLINE)
        sheet.line_of_text(x, y + 4.6, heading, HEADING)
        y += 6.2
        for text, style in lines:
            y = sheet.paragraph(x, y, width, text, style)
        y += 3


def _key_facts(facts: ProofFacts) -> Iterator[tuple[str, list[tuple[str, Type]]]]:
    """What matters most first: what does not fit is told on the other pages."""
    if facts.findings:
        points = _counted(len(facts.findings), "point")
        yield "PLEASE NOTE", [(f"{points} to know: see “{BEFORE_SIGNING}”.", NOTE)]
    if facts.quote is not None:
        what, total = facts.quote.rows[-1]
        yield "PRICE", [(total, STRONG), (what, SMALL)]
    yield "CUP", [(f"{label} {length_text(mm)}", BODY) for label, mm in facts.sizes[:3]]
    yield "COLOURS", [(facts.palette, STRONG), (_counted(len(facts.swatches), "material"), BODY)]
    yield "SHOWN IN", [(f"{facts.light.name} light", STRONG), (facts.light.words, SMALL)]


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def _strip(sheet: Sheet, facts: ProofFacts, y: float, width: float) -> None:
    """The palette as a strip, with the materials' names; their numbers stand on the third page."""
    if not facts.swatches:
        return
    each = width / len(facts.swatches)
    for i, swatch in enumerate(facts.swatches):
        x = MARGIN_MM + i * each
        sheet.box(x, y, each, STRIP_MM, fill=swatch.chip_rgb8_srgb)
        if len(facts.swatches) <= MOST_NAMES:
            name = sheet.shortened(swatch.material, SMALL, each - 2)
            sheet.line_of_text(x, y + STRIP_MM + 3.8, name, SMALL)
    sheet.box(MARGIN_MM, y, width, STRIP_MM, stroke=HAIRLINE)
