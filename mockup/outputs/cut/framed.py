"""A decal's piece in its weeding frame: cut lines, register crosses, centre lines, a label."""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mockup.blank.flat import sheet_from_wall
from mockup.blank.wall import Wall
from mockup.outputs.cut.curves import curves_from
from mockup.outputs.cut.drawing import Drawing, angle_text, length_text
from mockup.outputs.cut.path import flipped, joined, lines
from mockup.outputs.pieces import Piece

__all__ = ["Frame", "frame_of", "framed"]

REGISTERED_MM = 6.5  # least margin in which register crosses stand clear
CROSS_MM = 3.0  # from the frame's corners
LEAST_WIDTH_MM = 30.0  # so that the label can be read
_LABEL_MM = 2.1
_LEADING_MM = 2.7
_LETTERS_PER_MM = 1.05  # at that size, narrow letters among wide ones


@dataclass(frozen=True, slots=True)
class Frame:
    """The weeding frame's edges about the anchor, mm, y up, as seen; the label comes below."""

    west_mm: float
    south_mm: float
    east_mm: float
    north_mm: float
    label_mm: float
    registered: bool

    @property
    def width_mm(self) -> float:
        """Of all that is cut out together."""
        return self.east_mm - self.west_mm

    @property
    def foot_mm(self) -> float:
        """Height of the part above the label."""
        return self.north_mm - self.south_mm

    @property
    def height_mm(self) -> float:
        """Of all that is cut out together."""
        return self.foot_mm + self.label_mm


def frame_of(piece: Piece, kin: Sequence[Piece], margin_mm: float) -> Frame:
    """The frame of one piece.

    Parameters
    ----------
    kin
        All pieces of the same decal, this one among them. Their frames are alike, and their
        crosses stand in the same places about the anchor, so that the layers fall together.
    margin_mm
        From the largest of them to its frame; more where crosses need the room.
    """
    registered = len(kin) > 1
    margin = max(margin_mm, REGISTERED_MM) if registered else margin_mm
    bounds = np.array([p.outline.bounds for p in kin])
    west, south = bounds[:, :2].min(axis=0) - margin
    east, north = bounds[:, 2:].max(axis=0) + margin
    spare = max(0.0, LEAST_WIDTH_MM - (east - west)) / 2
    west, east = float(west - spare), float(east + spare)
    lines = len(_label(piece, east - west, piece.mirrored))
    return Frame(west, float(south), east, float(north), lines * _LEADING_MM + 1.0, registered)


def framed(piece: Piece, frame: Frame, wall: Wall, *, mirrored: bool) -> Drawing:
    """One piece ready to be packed.

    Parameters
    ----------
    mirrored
        It is drawn as seen from behind.
    """
    drawing = Drawing(frame.width_mm, frame.height_mm)
    west = -frame.east_mm if mirrored else frame.west_mm
    place = flipped(-west, frame.north_mm, mirrored=mirrored)
    whole = joined(path.moved(place) for path in curves_from(piece.outline))
    drawing.draw("cut", whole, f"piece-{piece.order + 1}")
    drawing.box("cut", 0.0, 0.0, drawing.width_mm, drawing.height_mm)
    _centre_lines(drawing, piece, wall, (place[4], frame.north_mm), frame.foot_mm, mirrored)
    if frame.registered:
        for x in (CROSS_MM, drawing.width_mm - CROSS_MM):
            for y in (CROSS_MM, frame.foot_mm - CROSS_MM):
                drawing.cross(x, y)
    for i, text in enumerate(_label(piece, frame.width_mm, mirrored)):
        baseline = frame.foot_mm + i * _LEADING_MM + 2.0
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
    anchor: tuple[float, float],
    foot: float,
    mirrored: bool,
) -> None:
    """Up the wall through the anchor, and level round the cup through it, within the frame."""
    (x0, y0), sign = anchor, -1.0 if mirrored else 1.0
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
