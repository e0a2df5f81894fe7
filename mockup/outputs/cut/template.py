"""The wrap's template: a rectangle or a sector with its overlap, trims, front and seam.

A wrap that is larger than the maker's sheets has a template for each of its panels.
"""

import textwrap

import numpy as np
from numpy.typing import ArrayLike

from mockup.blank.flat import flat_from_wall, sector, wrapped_turn
from mockup.blank.wall import Blank
from mockup.outputs.cut.curves import curves_from
from mockup.outputs.cut.drawing import Drawing, Kind, angle_text, length_text
from mockup.outputs.cut.panels import Panel, WrapCut
from mockup.outputs.cut.path import flipped, joined, lines
from mockup.outputs.pieces import Piece

__all__ = ["placed_template", "round_template"]

MARGIN_MM = 4.0
_STEPS = 241


def placed_template(piece: Piece) -> Drawing:
    """The template of a wrap that does not go round, seen from its face."""
    west, south, east, north = piece.outline.bounds
    drawing = Drawing(east - west + 2 * MARGIN_MM, north - south + 2 * MARGIN_MM)
    place = flipped(MARGIN_MM - west, MARGIN_MM + north)
    whole = joined(path.moved(place) for path in curves_from(piece.outline))
    drawing.draw("cut", whole, f"piece-{piece.order + 1}")
    x, y = place[4], place[5]
    drawing.line("centre", [(x, MARGIN_MM), (x, drawing.height_mm - MARGIN_MM)])
    drawing.line("centre", [(MARGIN_MM, y), (drawing.width_mm - MARGIN_MM, y)])
    drawing.note(x + 1, MARGIN_MM + 4, angle_text(piece.turn_deg))
    drawing.note(MARGIN_MM + 1, y - 1, f"height {length_text(piece.height_mm)} mm")
    _arrow(drawing, x + 10, y + 8, 14.0)
    title = f"{piece.order + 1}  {piece.name}, {piece.material}"
    drawing.note(x + 3, y - 5, title, strong=True)
    return drawing


def round_template(piece: Piece, cut: WrapCut, panel: Panel, blank: Blank) -> Drawing:
    """The template of a wrap that goes round, or of one panel of it, seen from its face."""
    return _Round(piece, cut, panel, blank).drawn()


class _Round:
    """Lines in wall coordinates about the panel's middle, drawn on the flat."""

    def __init__(self, piece: Piece, cut: WrapCut, panel: Panel, blank: Blank) -> None:
        self.piece, self.cut, self.panel, self.wall = piece, cut, panel, blank.wall
        self.half_rad = (panel.last_rad - panel.first_rad) / 2
        outline = cut.outline(blank, panel)
        west, south, east, north = outline.bounds
        self.drawing = Drawing(east - west + 2 * MARGIN_MM, north - south + 2 * MARGIN_MM)
        self.place = flipped(MARGIN_MM - west, MARGIN_MM + north)
        whole = joined(path.moved(self.place) for path in curves_from(outline))
        self.drawing.draw("cut", whole, f"piece-{piece.order + 1}{panel.letter.lower()}")

    def drawn(self) -> Drawing:
        """All of it."""
        other = "the next panel's" if self.panel.letter else "the other end's"
        self._upright("guide", self.half_rad, f"seam: {other} edge comes here", "seam")
        front = float(wrapped_turn(-np.radians(self.piece.turn_deg) - self.panel.middle_rad))
        if abs(front) < self.half_rad + 1e-9:
            self._upright("centre", front, "front")
        cut = self.cut
        if cut.cut_low_mm < cut.low_mm:
            self._level(cut.low_mm, "trim at the foot, once it is stuck down")
        if cut.cut_high_mm > cut.high_mm:
            self._level(cut.high_mm, "trim at the rim, once it is stuck down")
        self._title()
        x, y = self._page(-0.3 * self.half_rad, (cut.low_mm + cut.high_mm) / 2)
        length = min(26.0, cut.high_mm - cut.low_mm - 12.0)
        if length > 5.0:
            _arrow(self.drawing, x, y - length / 2, length)
        return self.drawing

    def _page(self, turn_rad: ArrayLike, height_mm: ArrayLike) -> np.ndarray:
        origin = flat_from_wall(self.wall, 0.0, 0.0)
        flat = flat_from_wall(self.wall, turn_rad, height_mm) - origin
        return np.asarray(flat * [1, -1] + [self.place[4], self.place[5]])

    def _upright(self, kind: Kind, turn_rad: float, *choice: str) -> None:
        """A line up the wall, and beside it the first words of the choice that are short enough."""
        ends = self._page(turn_rad, np.array([self.cut.cut_low_mm, self.cut.cut_high_mm]))
        self.drawing.draw(kind, lines(ends))
        x, y = ends.mean(axis=0)
        room = float(np.hypot(*(ends[1] - ends[0])))
        words = next((some for some in choice if len(some) * 1.1 < room), "")
        lean = float(np.degrees(np.arctan2(*(ends[1] - ends[0])[[1, 0]])))
        self.drawing.note(x - 2.0, y, words, 2.2, "centre", turn_deg=lean)

    def _level(self, height_mm: float, words: str) -> None:
        turns = np.linspace(-self.half_rad, self.half_rad + self.cut.overlap_rad, _STEPS)
        self.drawing.draw("guide", lines(self._page(turns, height_mm)))
        wide = self.half_rad * float(self.wall.radius_at(self.cut.low_mm))
        turn = -0.62 * self.half_rad if wide > 60.0 else 0.0
        x, y = self._page(turn, height_mm)
        below = height_mm > self.wall.length_mm / 2
        lean = float(np.degrees(self.wall.sin_half_angle * turn))
        self.drawing.note(x, y + (3.0 if below else -1.2), words, 2.2, "centre", turn_deg=lean)

    def _title(self) -> None:
        """Which piece, and where it lies; of a small template as much as it has room for."""
        piece, cut = self.piece, self.cut
        height = cut.high_mm - cut.low_mm
        x, y = self._page(0.37 * self.half_rad, (cut.low_mm + cut.high_mm) / 2)
        width = min(0.85 * self.half_rad * float(self.wall.radius_at(cut.low_mm)), 90.0)
        title = f"{piece.order + 1}{self.panel.letter}  {piece.name}, {piece.material}, face up"
        told = [(line, 3.0) for line in textwrap.wrap(title, int(width / 1.5))]
        told += [
            (line, 2.4)
            for text in self._measures()
            for line in textwrap.wrap(text, int(width / 1.15))
        ]
        while len(told) > 1 and sum(1.4 * size for _, size in told) > height - 2.0:
            told.pop()
        y -= sum(1.4 * size for _, size in told) / 2
        for text, size in told:
            y += 1.4 * size
            self.drawing.note(x, y - 0.4 * size, text, size, "centre", strong=size == 3.0)

    def _measures(self) -> list[str]:
        wall, cut, panel = self.wall, self.cut, self.panel
        low, high = cut.low_mm, cut.high_mm
        words = [f"height {length_text(low)} to {length_text(high)} mm up the wall"]
        if panel.letter:
            first, last = (
                angle_text(self.piece.turn_deg + float(np.degrees(turn)))
                for turn in (panel.first_rad, panel.last_rad)
            )
            words.append(f"from {first} round to {last} on the cup")
        share = self.half_rad / np.pi
        lap = cut.overlap_rad * float(wall.radius_at((low + high) / 2))
        around = share * wall.circumference_mm(np.array([low, high]))
        whole = "" if panel.letter else "once round "
        if wall.kind == "cylinder":
            return [*words, f"{around[0]:.1f} mm {whole}+ {lap:g} mm overlap"]
        unrolled = sector(wall)
        return [
            *words,
            f"{around[0]:.1f} mm round below",
            f"{around[1]:.1f} mm above + {lap:g} mm overlap",
            f"wall: radii {unrolled.inner_radius_mm:.1f} and"
            f" {unrolled.outer_radius_mm:.1f} mm, {unrolled.angle_deg:.2f}°",
        ]


def _arrow(drawing: Drawing, x: float, top: float, length: float) -> None:
    """Up: the way that pattern and grain run."""
    shaft = lines([(x, top + length), (x, top)])
    head = lines([(x - 2.0, top + 4.0), (x, top), (x + 2.0, top + 4.0)])
    drawing.draw("measure", joined([shaft, head]))
    drawing.note(
        x - 2.6, top + length / 2 + 4.0, "pattern and grain up", 2.2, "centre", turn_deg=-90.0
    )
