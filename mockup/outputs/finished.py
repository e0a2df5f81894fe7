"""A finished cup beside its promise: both cups, both walls, where they differ, and in words."""

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.outputs.finished_facts import FinishedFacts, FinishedPictures, RoleHeld
from mockup.outputs.picture_sheet import PictureSheet
from mockup.outputs.sheet import ACCENT, HAIRLINE, MUTED, Type

__all__ = ["draw_finished"]

PX_PER_MM = 6.0
_TITLE = Type("light", 20, 8)
_HEADING = Type("semibold", 7.5, 3.6, ACCENT, spacing_pt=1.1)
_BODY = Type("regular", 9, 4.4)
_SMALL = Type("regular", 7.5, 3.5, MUTED)
_MARGIN, _GAP = 12.0, 8.0
_WIDTH = 276.0
_CUP_HEIGHT, _WALL_HEIGHT = 104.0, 66.0
_CHIP = 7.0
_SCALE_MM = 12.0  # of the legend under the map
# ΔE00 to colour: none, remarked on, another colour
_STEPS = np.array([0.0, 3.0, 6.0, 12.0, 24.0])
_RAMP = np.array(
    [(247, 248, 250), (221, 231, 238), (246, 205, 150), (214, 110, 60), (120, 28, 40)], np.float64
)


def draw_finished(
    facts: FinishedFacts, sentences: tuple[str, ...], pictures: FinishedPictures
) -> NDArray[np.uint8]:
    """The sheet as one picture: (rows, columns, 3) uint8, sRGB."""
    scratch = PictureSheet(1, 1, px_per_mm=PX_PER_MM)
    body = _body_height(scratch, facts, sentences)
    height = 27.0 + _CUP_HEIGHT + 10.0 + _WALL_HEIGHT + 16.0 + body + _MARGIN
    sheet = PictureSheet(_WIDTH, height, px_per_mm=PX_PER_MM)
    _head(sheet, facts)
    y = _cups(sheet, pictures, 27.0)
    y = _walls(sheet, facts, pictures, y + 10.0)
    _body(sheet, facts, sentences, y + 16.0)
    return sheet.rgb8_srgb


def _head(sheet: PictureSheet, facts: FinishedFacts) -> None:
    sheet.line_of_text(_MARGIN, 9.5, "FINISHED AGAINST PROMISED", _HEADING)
    told = f"{facts.palette} · {facts.light} light · photo {facts.photo}"
    sheet.line_of_text(_WIDTH - _MARGIN, 9.5, told, _SMALL, "right")
    sheet.line_of_text(_MARGIN, 18.0, facts.title, _TITLE)


def _columns() -> list[float]:
    each = (_WIDTH - 2 * _MARGIN - 2 * _GAP) / 3
    return [_MARGIN + nth * (each + _GAP) for nth in range(3)]


def _cups(sheet: PictureSheet, pictures: FinishedPictures, y: float) -> float:
    """Promised, finished, and the one laid over the other in stripes."""
    each = _columns()[1] - _columns()[0] - _GAP
    striped = _striped(pictures)
    shown = (pictures.promised, pictures.finished, striped)
    labels = ("PROMISED", "FINISHED", "IN TURN, STRIP BY STRIP")
    for x, picture, label in zip(_columns(), shown, labels, strict=True):
        sheet.line_of_text(x, y, label, _HEADING)
        _fitted(sheet, picture, x, y + 2.5, each, _CUP_HEIGHT - 2.5)
    return y + _CUP_HEIGHT


def _striped(pictures: FinishedPictures) -> NDArray[np.uint8]:
    """Level strips of both by turns: what lies off breaks at their borders."""
    height = len(pictures.on_cup)
    strip = (np.arange(height) * 10 // max(height, 1)) % 2
    ours = pictures.on_cup & (strip[:, None] == 0)
    return np.where(ours[..., None], pictures.promised, pictures.finished)


def _fitted(
    sheet: PictureSheet, picture: NDArray[np.uint8], x: float, y: float, wide: float, high: float
) -> None:
    """A picture as large as its place allows, in its middle."""
    rows, columns = picture.shape[:2]
    scale = min(wide / columns, high / rows)
    w, h = columns * scale, rows * scale
    sheet.picture(picture, x + (wide - w) / 2, y, w, h)


def _walls(
    sheet: PictureSheet, facts: FinishedFacts, pictures: FinishedPictures, y: float
) -> float:
    each = _columns()[1] - _columns()[0] - _GAP
    heat = _heat(pictures.differs)
    labels = ("THE WALL ROLLED OUT, PROMISED", "FINISHED", "WHERE THEY DIFFER")
    shown = (pictures.promised_wall, pictures.finished_wall, heat)
    wide = min(each, (_WALL_HEIGHT - 3) * facts.wall_mm[0] / facts.wall_mm[1])
    high = wide * facts.wall_mm[1] / facts.wall_mm[0]
    for x, picture, label in zip(_columns(), shown, labels, strict=True):
        sheet.line_of_text(x, y, label, _HEADING)
        sheet.picture(picture, x + (each - wide) / 2, y + 2.5, wide, high)
    _legend(sheet, _columns()[2] + (each - wide) / 2, y + high + 5.0, wide)
    return y + _WALL_HEIGHT


def _heat(differs: NDArray[np.float64]) -> NDArray[np.uint8]:
    seen = np.isfinite(differs)
    value = np.where(seen, differs, 0.0)
    planes = [np.interp(value, _STEPS, _RAMP[:, c]) for c in range(3)]
    colour = np.where(seen[..., None], np.stack(planes, axis=-1), 255)
    return colour.astype(np.uint8)


def _legend(sheet: PictureSheet, x: float, y: float, wide: float) -> None:
    bar = np.interp(np.linspace(0, _STEPS[-1], 240), _STEPS, np.arange(len(_STEPS)))
    colour = np.stack([np.interp(bar, np.arange(len(_STEPS)), _RAMP[:, c]) for c in range(3)], -1)
    sheet.picture(np.repeat(colour[None], 6, axis=0).astype(np.uint8), x, y, wide, 2.2)
    for step in _STEPS:
        at = x + wide * step / _STEPS[-1]
        sheet.line_of_text(at, y + 5.6, f"{step:.0f}", _SMALL, "centre")
    sheet.line_of_text(x - 2.0, y + 2.2, "ΔE", _SMALL, "right")


def _body_height(sheet: PictureSheet, facts: FinishedFacts, sentences: tuple[str, ...]) -> float:
    rows = sum(_row_height(sheet, text) for text in sentences)
    return 6.0 + rows + 4.0 + sheet.height_of(_text_width(), _notes(facts), _SMALL)


def _text_width() -> float:
    return _WIDTH - 2 * _MARGIN - 2 * _CHIP - 6.0


def _row_height(sheet: PictureSheet, text: str) -> float:
    return max(_CHIP, sheet.height_of(_text_width(), text, _BODY)) + 1.6


def _notes(facts: FinishedFacts) -> str:
    return "  ·  ".join(note[:1].upper() + note[1:] + "." for note in facts.notes)


def _body(sheet: PictureSheet, facts: FinishedFacts, sentences: tuple[str, ...], y: float) -> None:
    left = _MARGIN
    sheet.line_of_text(left, y, "IN WORDS", _HEADING)
    note = "chips: promised, finished"
    sheet.line_of_text(_WIDTH - _MARGIN, y, note, _SMALL, "right")
    y += 3.0
    for nth, text in enumerate(sentences):
        sheet.line([(left, y), (_WIDTH - _MARGIN, y)], HAIRLINE)
        high = _row_height(sheet, text)
        role = facts.roles[nth] if nth < len(facts.roles) else None
        if role is not None and role.pair is not None:
            _chips(sheet, role, left, y + 0.8)
        inset = (high - sheet.height_of(_text_width(), text, _BODY)) / 2
        sheet.paragraph(left + 2 * _CHIP + 6.0, y + inset, _text_width(), text, _BODY)
        y += high
    sheet.line([(left, y), (_WIDTH - _MARGIN, y)], HAIRLINE)
    sheet.paragraph(left, y + 3.0, _WIDTH - 2 * _MARGIN, _notes(facts), _SMALL)


def _chips(sheet: PictureSheet, role: RoleHeld, x: float, y: float) -> None:
    assert role.pair is not None
    codes = rgb8_from_linear(np.clip([role.pair.promised, role.pair.finished], 0, 1))
    for nth, (r, g, b) in enumerate(codes.tolist()):
        sheet.box(x + nth * _CHIP, y, _CHIP, _CHIP, fill=(r, g, b))
