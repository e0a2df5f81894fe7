"""The check as a picture: weakest places on the flat and on the cup, figures, findings, cures."""

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from mockup.checks.words import legibility_words, light_words, place_words, ratio_words
from mockup.outputs.check_facts import CheckFacts, CheckRow, Mark
from mockup.outputs.check_words import SEVERITIES, remedy_words
from mockup.outputs.picture_sheet import PictureSheet
from mockup.outputs.sheet import ACCENT, HAIRLINE, INK, MUTED, Type
from mockup.outputs.turn_plot import LIGHT_COLOURS, draw_turn

__all__ = ["draw_check"]

PX_PER_MM = 8.0
WIDTH_MM, MARGIN_MM, GAP_MM = 260.0, 12.0, 6.0
MOST_VIEW_MM = 118.0  # height of a view of the cup
PLOT_MM = 34.0
TROUBLE_RGB8 = (214, 40, 84)  # on navy, on ivory and on metal alike, with its white rim

TITLE = Type("light", 20, 8)
HEADING = Type("semibold", 7.5, 3.6, ACCENT, spacing_pt=1.1)
NAME = Type("semibold", 11, 5)
BODY = Type("regular", 9, 4.3)
SMALL = Type("regular", 7.5, 3.6, MUTED)
FIGURE = Type("light", 17, 7)
BAD_FIGURE = Type("light", 17, 7, TROUBLE_RGB8)


def draw_check(facts: CheckFacts) -> NDArray[np.uint8]:
    """The sheet: (rows, columns, 3) uint8, sRGB. The same facts give the same pixels."""
    scratch = PictureSheet(1, 1, px_per_mm=PX_PER_MM)
    height = _lay_out(scratch, facts, paint=False)
    sheet = PictureSheet(WIDTH_MM, height, px_per_mm=PX_PER_MM)
    _lay_out(sheet, facts, paint=True)
    return sheet.rgb8_srgb


def _lay_out(sheet: PictureSheet, facts: CheckFacts, *, paint: bool) -> float:
    """Lay everything from the top down; gives the height, mm. Without `paint` only measures."""
    right = WIDTH_MM - MARGIN_MM
    if paint:
        sheet.line_of_text(MARGIN_MM, 9.5, "CHECK", HEADING)
        sheet.line_of_text(MARGIN_MM, 17.5, facts.title, TITLE)
        sheet.line_of_text(right, 17.5, facts.palette, BODY, "right")
    y = _pictures(sheet, facts, 24.0, paint=paint)
    for row in facts.rows:
        y = _row(sheet, row, y, paint=paint)
    y = _legend(sheet, facts, y, paint=paint)
    for severity, heading in SEVERITIES.items():
        told = [str(f.advice) for f in facts.findings if f.severity == severity]
        y = _list(sheet, heading.upper(), told, y, paint=paint)
    if not facts.findings:
        y = _list(sheet, "FINDINGS", ["Nothing to remark."], y, paint=paint)
    cures = [remedy_words(remedy, facts) for remedy in facts.remedies]
    y = _list(sheet, "OPTIONS THAT WOULD PASS", cures, y, paint=paint)
    return y + MARGIN_MM - 4.0


def _pictures(sheet: PictureSheet, facts: CheckFacts, y: float, *, paint: bool) -> float:
    """The flat at the left, as large as it can be, and the cup from its sides at the right."""
    flat = facts.flat
    if flat is None:
        return y
    room = WIDTH_MM - 2 * MARGIN_MM - GAP_MM * len(facts.views)
    slim = [v.rgb8_srgb.shape[1] / v.rgb8_srgb.shape[0] for v in facts.views]
    tall = min(room / (flat.width_mm / flat.height_mm + sum(slim)), MOST_VIEW_MM)
    wide, scale = [tall * share for share in slim], tall / flat.height_mm
    if paint:
        shown = _marked(flat.rgb8_srgb, _flat_marks(facts), _missed(facts))
        sheet.picture(shown, MARGIN_MM, y, flat.width_mm * scale, flat.height_mm * scale)
        outline = [
            (MARGIN_MM + x * scale, y + (flat.height_mm - up) * scale)
            for x, up in flat.outline_mm.tolist()
        ]
        sheet.line(outline, MUTED, 0.2)
        x = WIDTH_MM - MARGIN_MM - sum(wide) - GAP_MM * (len(wide) - 1)
        for view, width in zip(facts.views, wide, strict=True):
            sheet.picture(_marked(view.rgb8_srgb, view.marks, ()), x, y, width, tall)
            label = f"turned to {view.turn_deg:.0f}°".replace("-", "\u2212")
            sheet.line_of_text(x + width / 2, y + tall + 4, label, SMALL, "centre")
            x += width + GAP_MM
        told = "The wall unrolled, the front in the middle. Numbers: where each stands out least."
        if any(len(row.missed_mm) for row in facts.rows):
            told += " Dots: where its edge misses what is asked for."
        sheet.paragraph(MARGIN_MM, y + tall + 1.5, flat.width_mm * scale, told, SMALL)
    return float(y + tall + 8.0)


def _flat_marks(facts: CheckFacts) -> Iterator[Mark]:
    assert facts.flat is not None
    for row in facts.rows:
        if row.flat_mm is not None:
            x, up = row.flat_mm
            share = x / facts.flat.width_mm, 1 - up / facts.flat.height_mm
            yield Mark(row.number, *share, row.trouble)


def _missed(facts: CheckFacts) -> Iterator[tuple[float, float]]:
    assert facts.flat is not None
    for row in facts.rows:
        for x, up in row.missed_mm.tolist():
            yield x / facts.flat.width_mm, 1 - up / facts.flat.height_mm


def _marked(
    rgb8_srgb: NDArray[np.uint8],
    marks: Iterator[Mark] | Sequence[Mark],
    dots: Iterator[tuple[float, float]] | Sequence[tuple[float, float]],
) -> NDArray[np.uint8]:
    """A picture with numbered rings and with dots; the rings keep clear of what they ring."""
    image = Image.fromarray(rgb8_srgb[..., :3]).copy()
    draw = ImageDraw.Draw(image)
    wide, tall = image.size
    unit = tall / MOST_VIEW_MM
    for x, y in dots:
        _disc(draw, x * wide, y * tall, 0.36 * unit, TROUBLE_RGB8, (255, 255, 255), 0.12 * unit)
    font = _number_font(round(4.4 * unit))
    ordered = sorted(marks, key=lambda mark: mark.trouble)
    spots = [(mark.x * wide, mark.y * tall) for mark in ordered]
    labels = _clear_of_each_other(spots, 6.8 * unit, (wide, tall))
    for mark, (x, y), at in zip(ordered, spots, labels, strict=True):
        colour = TROUBLE_RGB8 if mark.trouble else INK
        draw.line((x, y, *at), (255, 255, 255), max(round(1.1 * unit), 3))
        draw.line((x, y, *at), colour, max(round(0.5 * unit), 1))
        _disc(draw, x, y, 1.1 * unit, colour, (255, 255, 255), 0.35 * unit)
        _disc(draw, *at, 3.3 * unit, colour, (255, 255, 255), 0.5 * unit)
        draw.text(at, str(mark.number), (255, 255, 255), font, anchor="mm")
    return np.asarray(image)


def _clear_of_each_other(
    spots: Sequence[tuple[float, float]], apart: float, size: tuple[int, int]
) -> list[tuple[float, float]]:
    """Where each place's number stands: beside it, clear of the edge, places and other numbers."""
    found: list[tuple[float, float]] = []
    for x, y in spots:
        around = [
            (x + reach * apart * np.cos(turn), y + reach * apart * np.sin(turn))
            for reach in (1.3, 2.0, 2.8)
            for turn in np.radians([-45, -135, 45, 135, -90, 90, 0, 180])
        ]
        inside = [
            (float(a), float(b))
            for a, b in around
            if apart / 2 < a < size[0] - apart / 2 and apart / 2 < b < size[1] - apart / 2
        ]
        taken = [*found, *(spot for spot in spots if spot != (x, y))]
        clear = (at for at in inside if all(math.dist(at, other) > 1.1 * apart for other in taken))
        found.append(next(clear, inside[0] if inside else (x, y)))
    return found


def _disc(
    draw: ImageDraw.ImageDraw,
    x: float,
    y: float,
    radius: float,
    fill: tuple[int, int, int],
    rim: tuple[int, int, int],
    rim_px: float,
) -> None:
    outer = radius + rim_px
    draw.ellipse((x - outer, y - outer, x + outer, y + outer), rim)
    draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill)


def _number_font(size_px: int) -> ImageFont.FreeTypeFont:
    import font_source_sans_pro

    file = font_source_sans_pro.font_files_ttf["SourceSansProSemibold"]
    return ImageFont.truetype(file, max(size_px, 8))


def _row(sheet: PictureSheet, row: CheckRow, y: float, *, paint: bool) -> float:
    """Number and name, contrast, the turn; gives the y below."""
    middle, plot = MARGIN_MM + 78.0, WIDTH_MM - MARGIN_MM - PLOT_MM
    told = ""
    if row.legibility is not None and row.legibility.of().size:
        told = legibility_words(row.legibility, row.contrast.limit)
    width = plot - middle - 62.0
    height = max(24.0, sheet.height_of(width, told, BODY) + 12.0 if told else 0.0)
    if row.legibility is not None:
        height = max(height, PLOT_MM)
    if paint:
        sheet.line([(MARGIN_MM, y), (WIDTH_MM - MARGIN_MM, y)], HAIRLINE)
        sheet.line_of_text(MARGIN_MM, y + 7.5, f"{row.number}", FIGURE)
        sheet.line_of_text(MARGIN_MM + 9, y + 7.5, row.name, NAME)
        sheet.paragraph(MARGIN_MM + 9, y + 9.3, 60, _about(row), SMALL)
        _contrast(sheet, row, middle, y)
        if told and row.legibility is not None:
            sheet.line_of_text(middle + 58, y + 5.5, "ROUND THE TURN", HEADING)
            sheet.paragraph(middle + 58, y + 7.2, width, told[:1].upper() + told[1:] + ".", BODY)
            size = round(PLOT_MM * PX_PER_MM)
            picture = draw_turn(row.legibility, row.contrast.limit, size)
            sheet.picture(picture, plot, y + 0.5, PLOT_MM, PLOT_MM)
    return y + height + 2.0


def _about(row: CheckRow) -> str:
    told = f"{row.material}\nstrokes {row.contrast.shape.stroke_mm:.1f}\u00a0mm wide"
    if row.legibility is not None:
        told += f", {row.legibility.stroke_arcmin:.1f}′ from 1\u00a0m"
    return told


def _contrast(sheet: PictureSheet, row: CheckRow, x: float, y: float) -> None:
    sheet.line_of_text(x, y + 5.5, "CONTRAST", HEADING)
    if row.place is None:
        sheet.paragraph(x, y + 7.2, 52, "Nothing but its own material lies round it.", BODY)
        return
    style = BAD_FIGURE if row.trouble else FIGURE
    figure = ratio_words(row.place.ratio)
    sheet.line_of_text(x, y + 13.5, figure, style)
    asked = f"of {ratio_words(row.contrast.limit)} asked for"
    sheet.line_of_text(x + sheet.width_of(figure, style) + 2, y + 13.5, asked, SMALL)
    told = (
        f"weakest {place_words(row.place)}\nΔE00 {row.place.delta_e_2000:.0f}, "
        f"CAM16-UCS {row.place.delta_e_cam16_ucs:.0f}"
    )
    sheet.paragraph(x, y + 15.5, 54, told, SMALL)


def _legend(sheet: PictureSheet, facts: CheckFacts, y: float, *, paint: bool) -> float:
    """What the plots' colours mean."""
    read = next((row.legibility for row in facts.rows if row.legibility is not None), None)
    if read is None:
        return y
    if paint:
        sheet.line([(MARGIN_MM, y), (WIDTH_MM - MARGIN_MM, y)], HAIRLINE)
        x = MARGIN_MM
        for nth, light in enumerate(read.lights):
            colour = LIGHT_COLOURS[nth % len(LIGHT_COLOURS)]
            sheet.box(x, y + 3.2, 6, 1.2, fill=colour)
            sheet.line_of_text(x + 8, y + 4.9, light_words(light), SMALL)
            x += 12 + sheet.width_of(light_words(light), SMALL)
        told = "Seen from above; further out stands out more. Tinted: less than is asked for."
        sheet.line_of_text(WIDTH_MM - MARGIN_MM, y + 4.9, told, SMALL, "right")
    return y + 9.0


def _list(
    sheet: PictureSheet, heading: str, told: Sequence[str], y: float, *, paint: bool
) -> float:
    if not told:
        return y
    width = WIDTH_MM - 2 * MARGIN_MM
    if paint:
        sheet.line_of_text(MARGIN_MM, y + 4.5, heading, HEADING)
    y += 6.0
    for sentence in told:
        if paint:
            sheet.paragraph(MARGIN_MM, y, width, sentence, BODY)
        y += sheet.height_of(width, sentence, BODY) + 1.2
    return y + 2.0
