"""The wrap's template: a rectangle or a sector with its overlap, trims, front and seam."""

import numpy as np

from mockup.blank.flat import flat_from_wall, sector, wrapped_turn
from mockup.blank.wall import Blank
from mockup.design.layers import WrapLayer
from mockup.outputs.cut.curves import curves_from
from mockup.outputs.cut.drawing import Drawing, angle_text, length_text
from mockup.outputs.cut.path import flipped, joined, lines
from mockup.outputs.pieces import Piece, sector_outline

__all__ = ["TRIM_MM", "wrap_template"]

TRIM_MM = 2.0  # sheet left over at the wall's rim and foot, cut back when the glue has set
MARGIN_MM = 4.0
_STEPS = 241


def wrap_template(piece: Piece, layer: WrapLayer, blank: Blank) -> Drawing:
    """The template of one wrap, seen from its face."""
    if layer.fit == "placed":
        return _placed(piece)
    return _Round(piece, layer, blank).drawn()


def _placed(piece: Piece) -> Drawing:
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


class _Round:
    """A wrap that goes once round, its template's lines in wall coordinates about its middle."""

    def __init__(self, piece: Piece, layer: WrapLayer, blank: Blank) -> None:
        self.piece, self.layer, self.blank, self.wall = piece, layer, blank, blank.wall
        self.low, self.high, self.overlap_rad = self._extent()
        foot = min(TRIM_MM, blank.foot_gap_mm) if self.low <= 0.01 else 0.0
        spare = self.wall.length_mm - self.high
        rim = min(TRIM_MM, blank.rim_gap_mm) if spare <= 0.01 else 0.0
        self.cut_low, self.cut_high = self.low - foot, self.high + rim
        last = np.pi + self.overlap_rad
        self.outline = sector_outline(self.wall, self.cut_low, self.cut_high, -np.pi, last)
        west, south, east, north = self.outline.bounds
        self.drawing = Drawing(east - west + 2 * MARGIN_MM, north - south + 2 * MARGIN_MM)
        self.place = flipped(MARGIN_MM - west, MARGIN_MM + north)

    def _extent(self) -> tuple[float, float, float]:
        """Lower and upper edge on the wall, mm, and the overlap, rad."""
        low, high = self.piece.span_mm
        return low, high, self.layer.overlap_mm / float(self.wall.radius_at((low + high) / 2))

    def drawn(self) -> Drawing:
        """All of it."""
        whole = joined(path.moved(self.place) for path in curves_from(self.outline))
        self.drawing.draw("cut", whole, f"piece-{self.piece.order + 1}")
        self._upright("guide", np.pi, "seam: the other end's edge comes here")
        self._front()
        if self.cut_low < self.low:
            self._level(self.low, "trim at the foot, once it is stuck down")
        if self.cut_high > self.high:
            self._level(self.high, "trim at the rim, once it is stuck down")
        self._words()
        return self.drawing

    def _page(self, turn_rad: object, height_mm: object) -> np.ndarray:
        origin = flat_from_wall(self.wall, 0.0, 0.0)
        flat = flat_from_wall(self.wall, turn_rad, height_mm) - origin  # type: ignore[arg-type]
        return np.asarray(flat * [1, -1] + [self.place[4], self.place[5]])

    def _upright(self, kind: str, turn_rad: float, words: str) -> None:
        ends = self._page(turn_rad, np.array([self.cut_low, self.cut_high]))
        self.drawing.draw("centre" if kind == "centre" else "guide", lines(ends))
        x, y = ends.mean(axis=0)
        lean = float(np.degrees(np.arctan2(*(ends[1] - ends[0])[[1, 0]])))
        self.drawing.note(x - 2.0, y, words, 2.2, "centre", turn_deg=lean)

    def _front(self) -> None:
        turn = float(wrapped_turn(-np.radians(self.piece.turn_deg)))
        self._upright("centre", turn, "front")

    def _level(self, height_mm: float, words: str) -> None:
        turns = np.linspace(-np.pi, np.pi + self.overlap_rad, _STEPS)
        self.drawing.draw("guide", lines(self._page(turns, height_mm)))
        x, y = self._page(-0.62 * np.pi, height_mm)
        lean = -np.degrees(self.wall.sin_half_angle * -0.62 * np.pi)
        below = height_mm > self.wall.length_mm / 2
        self.drawing.note(x, y + (3.0 if below else -1.2), words, 2.2, "centre", turn_deg=-lean)

    def _words(self) -> None:
        wall, piece = self.wall, self.piece
        low, high = self.low, self.high
        x, y = self._page(0.32 * np.pi, (low + high) / 2)
        room = (high - low) / 2
        around = wall.circumference_mm(np.array([low, high]))
        words = [f"height {length_text(low)} to {length_text(high)} mm up the wall"]
        if wall.kind == "cylinder":
            words.append(f"{around[0]:.1f} mm once round + {self.layer.overlap_mm:g} mm overlap")
        else:
            unrolled = sector(wall)
            words += [
                f"{around[0]:.1f} mm round below, {around[1]:.1f} mm above"
                f" + {self.layer.overlap_mm:g} mm overlap",
                f"wall: radii {unrolled.inner_radius_mm:.1f} and"
                f" {unrolled.outer_radius_mm:.1f} mm, {unrolled.angle_deg:.2f}°",
            ]
        title = f"{piece.order + 1}  {piece.name}, {piece.material}, face up"
        top = y - min(room - 6.0, 6.0)
        self.drawing.note(x, top, title, 3.0, "centre", strong=True)
        for i, text in enumerate(words):
            self.drawing.note(x, top + 4.4 + 3.2 * i, text, 2.4, "centre")
        arrow_x, arrow_y = self._page(-0.3 * np.pi, (low + high) / 2)
        length = min(26.0, high - low - 12.0)
        if length > 5.0:
            _arrow(self.drawing, arrow_x, arrow_y - length / 2, length)


def _arrow(drawing: Drawing, x: float, top: float, length: float) -> None:
    """Up: the way that pattern and grain run."""
    shaft = lines([(x, top + length), (x, top)])
    head = lines([(x - 2.0, top + 4.0), (x, top), (x + 2.0, top + 4.0)])
    drawing.draw("measure", joined([shaft, head]))
    drawing.note(
        x - 2.6, top + length / 2 + 4.0, "pattern and grain up", 2.2, "centre", turn_deg=-90.0
    )
