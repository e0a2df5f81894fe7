"""A paper strip that goes round the cup, with angles, and a rule that stands on it, with heights.

The strip lies with its lower edge on the wall's foot; the rule is held upright at an angle of it.
"""

import textwrap
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.blank.flat import flat_from_wall
from mockup.blank.wall import Wall
from mockup.outputs.cut.curves import curves_from
from mockup.outputs.cut.drawing import Drawing, angle_text, length_text
from mockup.outputs.cut.path import flipped, joined, quarter_turn
from mockup.outputs.pieces import Piece, sector_outline

__all__ = ["placement_strip"]

Floats = NDArray[np.float64]

STRIP_MM = 24.0
TAB_MM = 10.0
RULE_MM = 40.0
GAP_MM = 8.0
MARGIN_MM = 3.0
_TICKS: tuple[tuple[int, float], ...] = ((30, 5.0), (10, 3.5), (5, 2.0))  # degrees, length mm
_ROWS_MM = (12.4, 9.4, 6.4, 3.4)  # of the strip's names, up from its foot
_NAME_MM = 2.2
_MM_PER_LETTER = 1.15  # at that size, strong
_MOST_LETTERS = 26
_LINE_MM = 2.6  # from one name on the rule to the next
_MOST_LINES = 3  # of names at one height there
_STEPS: tuple[tuple[int, float], ...] = ((10, 5.0), (5, 3.5), (1, 2.0))  # mm, length mm


def placement_strip(pieces: Sequence[Piece], wall: Wall) -> Drawing:
    """The strip and below it, lying on its side, the rule."""
    anchors = _anchors(pieces)
    strip, rule = _strip(anchors, wall), _rule(anchors, wall)
    width = max(strip.width_mm, rule.height_mm)
    drawing = Drawing(width, strip.height_mm + GAP_MM + rule.width_mm)
    drawing.lay(strip, (1, 0, 0, 1, 0, 0))
    drawing.lay(rule, quarter_turn(0.0, strip.height_mm + GAP_MM, rule.height_mm))
    return drawing


def _anchors(pieces: Sequence[Piece]) -> list[Piece]:
    """One piece of each decal and placed wrap: the largest stands for all."""
    found: dict[int, Piece] = {}
    for piece in pieces:
        if piece.kind == "decal":
            kept = found.get(piece.layer)
            if kept is None or piece.area_mm2 > kept.area_mm2:
                found[piece.layer] = piece
    return list(found.values())


def _strip(anchors: Sequence[Piece], wall: Wall) -> Drawing:
    high = min(STRIP_MM, wall.length_mm)
    tab_rad = TAB_MM / float(wall.radius_at(0.0))
    outline = sector_outline(wall, 0.0, high, -np.pi, np.pi + tab_rad)
    west, south, east, north = outline.bounds
    drawing = Drawing(east - west + 2 * MARGIN_MM, north - south + 2 * MARGIN_MM)
    place = flipped(MARGIN_MM - west, MARGIN_MM + north)
    origin = flat_from_wall(wall, 0.0, 0.0)

    def page(turn_rad: ArrayLike, height_mm: ArrayLike) -> Floats:
        flat = flat_from_wall(wall, turn_rad, height_mm) - origin
        return np.asarray(flat * [1, -1] + [place[4], place[5]])

    def lean(turn_rad: float) -> float:
        return float(np.degrees(wall.sin_half_angle * turn_rad))

    drawing.draw("cut", joined(p.moved(place) for p in curves_from(outline)), "strip")
    drawing.line("guide", page(np.pi, np.array([0.0, high])))
    x, y = page(np.pi + tab_rad / 2, high / 2)
    drawing.note(x + 0.8, y, "lap", 2.2, "centre", turn_deg=lean(np.pi) - 90)
    for degree in range(-180, 180, 5):
        turn = float(np.radians(degree))
        length = next(long for step, long in _TICKS if degree % step == 0)
        drawing.line("measure", page(turn, np.array([high - length, high])))
        if degree % 30 == 0:
            x, y = page(turn, high - 8.0)
            drawing.note(x + 1.0, y, _angle(degree), 2.4, "left", turn_deg=lean(turn))
    x, y = page(np.radians(-15.0), 1.0)
    words = "foot of the wall along this edge"
    drawing.note(x, y, words, 2.0, "right", turn_deg=lean(np.radians(-15.0)))
    radius = float(wall.radius_at(0.0))
    for turn_deg in sorted({0.0, *(_turn_of(piece) for piece in anchors)}):
        drawing.line("centre", page(np.radians(turn_deg), np.array([0.0, high])))
    for turn_deg, row_mm, words in _placed_names(anchors, radius):
        turn = float(np.radians(turn_deg))
        x, y = page(turn, min(row_mm, high - 9.0))
        drawing.note(x + 1.0, y, words, _NAME_MM, "left", strong=True, turn_deg=lean(turn))
    return drawing


def _turn_of(piece: Piece) -> float:
    """In [−180°, 180°), to a hundredth."""
    return (round(piece.turn_deg, 2) + 180.0) % 360.0 - 180.0


def _placed_names(anchors: Sequence[Piece], radius_mm: float) -> list[tuple[float, float, str]]:
    """Angle, row and words of each decal, none over another.

    Its name and its height where there is room, or else its number, as the cut sheets have it.
    """
    by_angle = sorted(anchors, key=lambda piece: (_turn_of(piece), -piece.height_mm))
    for words in (_name_and_height, lambda piece: f"{piece.order + 1}"):
        free = dict.fromkeys(_ROWS_MM, -np.inf)
        placed = []
        for piece in by_angle:
            told, at = words(piece), np.radians(_turn_of(piece)) * radius_mm
            row = next((row for row in _ROWS_MM if free[row] <= at), None)
            if row is None:
                break
            free[row] = at + 2.0 + _MM_PER_LETTER * len(told)
            placed.append((_turn_of(piece), row, told))
        else:
            return placed
    return placed


def _name_and_height(piece: Piece) -> str:
    name = textwrap.shorten(piece.name, _MOST_LETTERS - 6, placeholder=" …")
    return f"{name} · {length_text(piece.height_mm)} mm"


def _angle(degree: int) -> str:
    return {0: "0° front", -180: "180° back"}.get(degree, angle_text(degree))


def _by_height(anchors: Sequence[Piece]) -> dict[float, str]:
    """Height → the names that stand there, from the foot up."""
    named: dict[float, list[str]] = {}
    for piece in sorted(anchors, key=lambda piece: piece.height_mm):
        named.setdefault(piece.height_mm, []).append(piece.name)
    return {height: ", ".join(dict.fromkeys(names)) for height, names in named.items()}


def _rule(anchors: Sequence[Piece], wall: Wall) -> Drawing:
    """Upright: millimetres up the left edge, the decals' heights at the right."""
    length = wall.length_mm
    drawing = Drawing(RULE_MM + 2 * MARGIN_MM, length + 2 * MARGIN_MM)
    left, right, foot = MARGIN_MM, MARGIN_MM + RULE_MM, MARGIN_MM + length
    drawing.box("cut", left, MARGIN_MM, RULE_MM, length)
    for mm in range(1, int(length) + 1):
        tick = next(long for step, long in _STEPS if mm % step == 0)
        drawing.line("measure", [(left, foot - mm), (left + tick, foot - mm)])
        if mm % 10 == 0 and length - mm > 2:
            drawing.note(left + 6.0, foot - mm + 0.8, f"{mm}", 2.2)
    last = foot - 2.0
    for height, names in _by_height(anchors).items():
        y = foot - height
        drawing.line("centre", [(left, y), (left + 5.0, y)])
        drawing.line("centre", [(left + 11.0, y), (right - 5.0, y)])
        last = min(y - 1.0, last - _LINE_MM)
        words = f"{length_text(height)}  {names}"
        told = textwrap.wrap(
            words, _MOST_LETTERS - 4, max_lines=_MOST_LINES, placeholder=" …",
            drop_whitespace=True,
        )  # fmt: skip
        for line in reversed(told):
            drawing.note(left + 12.0, last, line, _NAME_MM, strong=True)
            last -= _LINE_MM
        last += _LINE_MM
    drawing.note(right - 1.0, foot - 1.0, "foot of the wall", 2.0, "right")
    drawing.note(right - 1.0, MARGIN_MM + 2.6, "rim of the wall", 2.0, "right")
    x = right - 1.2
    words = "heights, mm up the wall"
    drawing.note(x, MARGIN_MM + length / 2, words, 2.0, "centre", turn_deg=-90.0)
    return drawing
