"""A decal's piece in its weeding frame: cut lines, register crosses, centre lines, a label."""

import textwrap
from collections.abc import Sequence

import numpy as np

from mockup.blank.flat import sheet_from_wall
from mockup.blank.wall import Wall
from mockup.outputs.cut.curves import curves_from
from mockup.outputs.cut.drawing import Drawing, angle_text, length_text
from mockup.outputs.cut.path import Path, flipped, lines
from mockup.outputs.pieces import Piece

__all__ = ["framed"]

MARGIN_MM = 4.0  # between the largest piece of a decal and its frame
REGISTERED_MM = 6.5  # where register crosses stand in that margin
CROSS_MM = 3.0  # from the frame's corners
LEAST_WIDTH_MM = 30.0  # so that the label can be read
_LABEL_MM = 2.1
_LEADING_MM = 2.7
_LETTERS_PER_MM = 1.05  # at that size, narrow letters among wide ones


def framed(piece: Piece, kin: Sequence[Piece], wall: Wall, *, mirrored: bool) -> Drawing:
    """One piece ready to be packed.

    Parameters
    ----------
    kin
        All pieces of the same decal, this one among them. Their frames are alike, and their
        crosses stand in the same places about the anchor, so that the layers fall together.
    mirrored
        It is drawn as seen from behind.
    """
    margin = REGISTERED_MM if len(kin) > 1 else MARGIN_MM
    bounds = np.array([p.outline.bounds for p in kin])
    west, south = bounds[:, :2].min(axis=0) - margin
    east, north = bounds[:, 2:].max(axis=0) + margin
    spare = max(0.0, LEAST_WIDTH_MM - (east - west)) / 2
    west, east = west - spare, east + spare
    if mirrored:
        west, east = -east, -west
    label = _label(piece, east - west, mirrored)
    height = north - south + len(label) * _LEADING_MM + 1.0
    drawing = Drawing(float(east - west), float(height))
    place = flipped(float(-west), float(north), mirrored=mirrored)
    outline = [path.moved(place) for path in curves_from(piece.outline)]
    whole = Path(tuple(command for path in outline for command in path.commands))
    drawing.draw("cut", whole, f"piece-{piece.order + 1}")
    drawing.box("cut", 0.0, 0.0, drawing.width_mm, drawing.height_mm)
    _centre_lines(drawing, piece, wall, place[4], float(north), float(north - south), mirrored)
    if len(kin) > 1:
        for x in (CROSS_MM, drawing.width_mm - CROSS_MM):
            for y in (CROSS_MM, float(north - south) - CROSS_MM):
                drawing.cross(x, y)
    for i, text in enumerate(label):
        baseline = float(north - south) + i * _LEADING_MM + 2.0
        drawing.note(1.5, baseline, text, _LABEL_MM, strong=i == 0)
    return drawing


def _label(piece: Piece, width_mm: float, mirrored: bool) -> list[str]:
    face = "mirrored: cut from behind" if mirrored else "face up"
    words = f"{piece.role}, {piece.material}, {face}"
    letters = max(8, int((width_mm - 3) * _LETTERS_PER_MM))
    name = textwrap.shorten(f"{piece.order + 1}  {piece.name}", letters, placeholder=" …")
    return [name, *textwrap.wrap(words, letters)]


def _centre_lines(
    drawing: Drawing,
    piece: Piece,
    wall: Wall,
    x0: float,
    y0: float,
    foot: float,
    mirrored: bool,
) -> None:
    """Up the wall through the anchor, and level round the cup through it, within the frame."""
    sign = -1.0 if mirrored else 1.0
    if 0 < x0 < drawing.width_mm:
        drawing.line("centre", [(x0, 0.0), (x0, foot)])
        drawing.note(x0 + 0.6, 2.4, angle_text(piece.turn_deg), 1.8)
    radius = float(wall.radius_at(np.clip(piece.height_mm, 0, wall.length_mm)))
    reach = min(1.2 * drawing.width_mm / radius, np.pi * (1 - 1e-9))
    turns = np.linspace(-reach, reach, 181)
    level = sheet_from_wall(wall, 0.0, piece.height_mm, turns, piece.height_mm)
    x, y = x0 + sign * level[:, 0], y0 - level[:, 1]
    inside = (x >= 0) & (x <= drawing.width_mm) & (y >= 0) & (y <= foot)
    if inside.sum() > 1:
        order = np.argsort(x[inside])
        points = np.column_stack([x[inside], y[inside]])[order]
        drawing.draw("centre", lines(points))
        drawing.note(0.8, float(points[0, 1]) - 0.6, f"h {length_text(piece.height_mm)}", 1.8)
