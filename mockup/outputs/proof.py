"""The proof sheet: what the customer looks at, measures and signs before the first coat."""

import numpy as np
from numpy.typing import NDArray

from mockup.outputs.facts import ProofFacts
from mockup.outputs.proof_flat import lay_out_flat
from mockup.outputs.proof_last import LastPages
from mockup.outputs.proof_style import (
    BODY,
    GAP_MM,
    HEADING,
    MARGIN_MM,
    NOTE,
    SMALL,
    STRONG,
    TITLE,
    draw_footer,
    length_text,
)
from mockup.outputs.sheet import HAIRLINE, Paper, Sheet

__all__ = ["lay_out_proof"]


def lay_out_proof(facts: ProofFacts, *, paper: Paper) -> bytes:
    """Lay the proof out as a PDF of three pages or more: the cup, its flat, what it is made of.

    The flat is at true size wherever the paper allows, else at a scale that the page states.
    The same facts give the same bytes.

    Raises
    ------
    OutputError
        A text holds letters that the sheet's font lacks.
    """
    sheet = Sheet(paper, f"{facts.title}: proof {facts.short_fingerprint}")
    _cup_page(sheet, facts)
    lay_out_flat(sheet, facts)
    LastPages(sheet, facts).lay_out()
    return sheet.finished()


def _cup_page(sheet: Sheet, facts: ProofFacts) -> None:
    page_width, page_height = sheet.page()
    width = page_width - 2 * MARGIN_MM
    sheet.line_of_text(MARGIN_MM, 20.5, "PROOF FOR YOUR APPROVAL", HEADING)
    y = sheet.paragraph(MARGIN_MM, 23.5, width, facts.title, TITLE) + 4.5
    foot = page_height - 14
    y = _pictures(sheet, facts, y, foot - y - 42) + 5
    y = _key_facts(sheet, facts, y, width) + 5
    if y + 12 <= foot:
        _chips(sheet, facts, y, width)
    draw_footer(sheet, facts)


def _pictures(sheet: Sheet, facts: ProofFacts, y: float, most_height: float) -> float:
    """The large view at the left, up to three more in a column beside it; gives the y below."""
    hero, *others = facts.views[:4]
    width = float(sheet.pdf.w) - 2 * MARGIN_MM
    aspect = hero.rgb8_srgb.shape[1] / hero.rgb8_srgb.shape[0]
    # hero width + gap + width of a third of the height, both of the hero's proportions
    height = min((width - GAP_MM + aspect * 2 * GAP_MM / 3) / (aspect * 4 / 3), most_height)
    small = (height - 2 * GAP_MM) / 3
    left = MARGIN_MM + (width - aspect * (height + small) - GAP_MM) / 2 if others else MARGIN_MM
    sheet.picture(hero.rgb8_srgb, left, y, aspect * height, height)
    sheet.line_of_text(left, y + height + 4, hero.label, SMALL)
    x = left + aspect * height + GAP_MM
    for i, view in enumerate(others):
        top = y + i * (small + GAP_MM)
        picture_width, picture_height = _fitted(view.rgb8_srgb, aspect * small, small)
        sheet.picture(view.rgb8_srgb, x, top, picture_width, picture_height)
        sheet.line_of_text(x, top + picture_height + 4, view.label, SMALL)
    return float(y + height + 4)


def _fitted(rgb8_srgb: NDArray[np.uint8], width: float, height: float) -> tuple[float, float]:
    rows, columns = rgb8_srgb.shape[:2]
    scale = min(width / columns, height / rows)
    return columns * scale, rows * scale


def _key_facts(sheet: Sheet, facts: ProofFacts, y: float, width: float) -> float:
    sheet.line([(MARGIN_MM, y), (MARGIN_MM + width, y)])
    sizes = [f"{label} {length_text(mm)}" for label, mm in facts.sizes[:3]]
    columns = (
        ("CUP", sizes),
        ("COLOURS", [facts.palette, f"{len(facts.swatches)} materials"]),
        ("SHOWN IN", [facts.light, "light; yours will differ"]),
        ("REVISION", [facts.short_fingerprint, "full fingerprint at the end"]),
    )
    lowest = y
    shares = np.array([1.5, 1.0, 1.0, 1.0])
    starts = MARGIN_MM + np.concatenate([[0.0], np.cumsum(shares)[:-1]]) / shares.sum() * width
    for (heading, lines), x, share in zip(columns, starts, shares, strict=True):
        column = width * share / shares.sum() - 4
        sheet.line_of_text(x, y + 6, heading, HEADING)
        below = y + 8.5
        for i, text in enumerate(lines):
            style = STRONG if i == 0 and heading != "CUP" else BODY
            below = sheet.paragraph(x, below, column, text, style)
        lowest = max(lowest, below)
    if facts.findings:
        points = "One point" if len(facts.findings) == 1 else f"{len(facts.findings)} points"
        note = f"{points} to know before you sign: see PLEASE NOTE on the last pages."
        lowest = sheet.paragraph(MARGIN_MM, lowest + 2.5, width, note, NOTE)
    return lowest


def _chips(sheet: Sheet, facts: ProofFacts, y: float, width: float) -> None:
    """The palette as a strip; names and numbers stand on the last pages."""
    each = width / len(facts.swatches) if facts.swatches else 0.0
    for i, swatch in enumerate(facts.swatches):
        sheet.box(MARGIN_MM + i * each, y, each, 7, fill=swatch.chip_rgb8_srgb)
    sheet.box(MARGIN_MM, y, width, 7, stroke=HAIRLINE)
