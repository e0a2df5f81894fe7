"""The proof's second page: the wall unrolled, at true size if the paper allows."""

import numpy as np
from numpy.typing import NDArray

from mockup.outputs.facts import ProofFacts
from mockup.outputs.flat_picture import FlatPicture
from mockup.outputs.proof_style import HEADING, SMALL, STRONG, TINY
from mockup.outputs.proof_words import GLITTER_NOTE
from mockup.outputs.rulers import RULER_MM, draw_rulers
from mockup.outputs.sheet import INK, Sheet

__all__ = ["SCALES", "lay_out_flat", "scale_for"]

FLAT_MARGIN_MM = 6.0
SCALES = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 8.0, 10.0)
BAR_MM = 50.0


def scale_for(wanted_mm: tuple[float, float], room_mm: tuple[float, float]) -> float:
    """The roundest scale 1:s, s at least 1, at which a width and height fit into the room."""
    least = max(wanted / room for wanted, room in zip(wanted_mm, room_mm, strict=True))
    return next((s for s in SCALES if s >= least), least)


def lay_out_flat(sheet: Sheet, facts: ProofFacts) -> None:
    """The flat with its rulers at the right, a column of words at the left; landscape."""
    page_width, page_height = sheet.page(landscape=True)
    flat, least_column = facts.flat, 20.0
    around = 2 * FLAT_MARGIN_MM + 2 * RULER_MM
    room = page_width - around - least_column - 5, page_height - around
    scale = scale_for((flat.width_mm, flat.height_mm), room)
    x = page_width - FLAT_MARGIN_MM - RULER_MM - flat.width_mm / scale
    y = (page_height - flat.height_mm / scale) / 2
    sheet.picture(flat.rgb8_srgb, x, y, flat.width_mm / scale, flat.height_mm / scale)
    corner = np.array([x, y + flat.height_mm / scale])
    _flat_lines(sheet, flat, corner, scale)
    draw_rulers(sheet, x, y, flat.width_mm, flat.height_mm, scale)
    column = min(x - RULER_MM - 5 - FLAT_MARGIN_MM - 2, 60.0)
    _flat_words(sheet, facts, scale, column, page_height)


def _flat_lines(sheet: Sheet, flat: FlatPicture, corner: NDArray[np.float64], scale: float) -> None:
    """Edge, the ends of the front line, and labels; `corner` is the flat's (0, 0) on the page."""

    def on_page(points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(corner + points_mm * [1 / scale, -1 / scale])

    sheet.line(on_page(flat.outline_mm), INK, 0.15)
    foot, rim = on_page(flat.front_mm)
    step = (rim - foot) / np.linalg.norm(rim - foot)
    for end, inward in ((foot, step), (rim, -step)):
        sheet.line([end, end + 6 * inward], (255, 255, 255), 0.5)
        sheet.line([end, end + 6 * inward], INK, 0.2, dash_mm=(1.6, 0.6))
    _pill(sheet, foot + 9 * step, "front")
    for line, side in ((flat.left_seam_mm, 1.0), (flat.right_seam_mm, -1.0)):
        foot, rim = on_page(line)
        up = (rim - foot) / np.linalg.norm(rim - foot)
        _pill(sheet, foot + 9 * up + [side * 6.5, 0.0], "seam")


def _pill(sheet: Sheet, middle: NDArray[np.float64], text: str) -> None:
    x, y = (float(part) for part in middle)
    sheet.box(x - 4.2, y - 1.7, 8.4, 3.4, fill=(255, 255, 255), radius_mm=1.7)
    sheet.line_of_text(x, y + 0.75, text, TINY, "centre")


def _flat_words(
    sheet: Sheet, facts: ProofFacts, scale: float, width: float, page_height: float
) -> None:
    x = FLAT_MARGIN_MM + 2
    size = f"{facts.flat.width_mm:.1f} × {facts.flat.height_mm:.1f}\u00a0mm"
    true_size = "True size: 1 mm here is 1 mm on the cup."
    scaled = f"Drawn at 1:{scale:.3g}; the rulers show true lengths."
    words = [size, true_size if scale == 1 else scaled, *([GLITTER_NOTE] * facts.glitters)]
    y = sheet.paragraph(x, 14, width, "THE FLAT", HEADING) + 1
    y = sheet.paragraph(x, y, width, "The wall unrolled", STRONG) + 3
    for text in words:
        y = sheet.paragraph(x, y, width, text, SMALL) + 2.2
    _check_bar(sheet, x, y + 3, width)
    title = sheet.shortened(facts.title, SMALL, 2 * width)
    last = [title, facts.revision_label, f"Page {sheet.page_number}"]
    y = page_height - 10 - sum(sheet.height_of(width, text, SMALL) for text in last)
    for text in last:
        y = sheet.paragraph(x, y, width, text, SMALL)


def _check_bar(sheet: Sheet, x: float, y: float, width: float) -> None:
    """A line of 50 mm to hold a ruler to: printers like to shrink a page."""
    for end in (y, y + BAR_MM):
        sheet.line([(x, end), (x + 2.4, end)], INK, 0.2)
    sheet.line([(x + 1.2, y), (x + 1.2, y + BAR_MM)], INK, 0.2)
    words = (
        "This line is 50\u00a0mm long. If not, print again at 100\u00a0%, not fitted to the page."
    )
    sheet.paragraph(x + 4.4, y + 0.4, width - 4.4, words, SMALL)
