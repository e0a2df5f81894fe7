"""Two states of one design side by side, over the words for what changed between them."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from mockup.outputs.picture_sheet import PictureSheet
from mockup.outputs.sheet import ACCENT, HAIRLINE, MUTED, Type

__all__ = ["draw_changes"]

PX_PER_MM = 8.0
TITLE = Type("light", 20, 8)
HEADING = Type("semibold", 7.5, 3.6, ACCENT, spacing_pt=1.1)
NAME = Type("semibold", 11, 5)
BODY = Type("regular", 9.5, 4.6)
SMALL = Type("regular", 8, 3.6, MUTED)
MARGIN_MM, GAP_MM, INDENT_MM = 12.0, 10.0, 4.0
_HEAD_MM, _NAME_MM, _FOOT_MM = 22.0, 8.0, 6.0


def draw_changes(
    title: str,
    names: tuple[str, str],
    views: Sequence[Sequence[NDArray[np.uint8]]],
    labels: Sequence[str],
    words: Sequence[str],
) -> NDArray[np.uint8]:
    """The sheet as one picture: (rows, columns, 3) uint8, sRGB.

    Parameters
    ----------
    names
        What the two states are called.
    views
        Of each state its pictures, all of one size, (rows, columns, 3) uint8.
    labels
        Of each picture of a state.
    words
        One phrase for each change.
    """
    rows, columns = views[0][0].shape[:2]
    wide, tall = columns / PX_PER_MM, rows / PX_PER_MM
    side = len(labels) * wide
    width = 2 * MARGIN_MM + 2 * side + GAP_MM
    told = words or ["Nothing changed."]
    scratch = PictureSheet(1, 1, px_per_mm=PX_PER_MM)
    room = width - 2 * MARGIN_MM - INDENT_MM
    below = sum(scratch.height_of(room, phrase, BODY) + 1.0 for phrase in told)
    top = _HEAD_MM + _NAME_MM + tall + 6.0
    sheet = PictureSheet(width, top + 9.0 + below + _FOOT_MM, px_per_mm=PX_PER_MM)
    sheet.line_of_text(MARGIN_MM, 9.5, "WHAT CHANGED", HEADING)
    sheet.line_of_text(MARGIN_MM, 18, title, TITLE)
    for nth, (name, drawn) in enumerate(zip(names, views, strict=True)):
        left = MARGIN_MM + nth * (side + GAP_MM)
        _name(sheet, name, left, side)
        for i, (picture, label) in enumerate(zip(drawn, labels, strict=True)):
            x = left + i * wide
            sheet.picture(picture, x, _HEAD_MM + _NAME_MM, wide, tall)
            sheet.line_of_text(x + wide / 2, top - 1.5, label, SMALL, "centre")
    _words(sheet, told, top + 3.0, room)
    return sheet.rgb8_srgb


def _name(sheet: PictureSheet, name: str, left: float, side: float) -> None:
    sheet.line([(left, _HEAD_MM), (left + side, _HEAD_MM)], HAIRLINE)
    sheet.line_of_text(left, _HEAD_MM + 5.4, name[:1].upper() + name[1:], NAME)


def _words(sheet: PictureSheet, words: Sequence[str], y: float, room: float) -> None:
    sheet.line([(MARGIN_MM, y), (MARGIN_MM + INDENT_MM + room, y)], HAIRLINE)
    y += 4.0
    for phrase in words:
        sheet.line_of_text(MARGIN_MM, y + 3.6, "–", BODY)
        text = phrase[:1].upper() + phrase[1:]
        y = sheet.paragraph(MARGIN_MM + INDENT_MM, y, room, text, BODY) + 1.0
