"""A drawing at true size: lines of four kinds, told apart by stroke and label, and words.

Page coordinates: mm from the upper left corner, y down.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from mockup.outputs.cut.path import Affine, Path, joined, lines

__all__ = ["KINDS", "Drawing", "Kind", "LineStyle", "Note", "Stroke", "angle_text", "length_text"]

Kind = Literal["cut", "guide", "centre", "register", "measure"]
Align = Literal["left", "centre", "right"]


@dataclass(frozen=True, slots=True)
class LineStyle:
    """How a kind of line is drawn, and what the legend calls it. Dashes: mm on, off, on, off."""

    words: str
    width_mm: float
    dash_mm: tuple[float, ...] = ()


KINDS: dict[Kind, LineStyle] = {
    "cut": LineStyle("cut: solid hairline", 0.1),
    "guide": LineStyle("fold or guide: dashed", 0.18, (2.2, 1.4)),
    "centre": LineStyle("centre: dash-dot", 0.18, (5.0, 1.2, 0.6, 1.2)),
    "register": LineStyle("register: cross", 0.18),
    "measure": LineStyle("measure or arrow: dotted", 0.2, (0.2, 0.4)),
}


@dataclass(frozen=True, slots=True)
class Stroke:
    """A path drawn as a line of one kind; `name` marks a piece, such as ``piece-3``."""

    kind: Kind
    path: Path
    name: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """A line of words, its baseline at (x, y), turned clockwise by `turn_deg`; size in mm."""

    x_mm: float
    y_mm: float
    text: str
    size_mm: float = 2.4
    align: Align = "left"
    strong: bool = False
    turn_deg: float = 0.0


def angle_text(turn_deg: float) -> str:
    """An angle round the cup to 0.1°: +30°, −30°, 0°, 180°."""
    rounded = round((turn_deg + 180.0) % 360.0 - 180.0, 1)
    if rounded == -180.0:
        return "180°"
    return f"{rounded:+g}°".replace("-", "−") if rounded else "0°"


def length_text(mm: float) -> str:
    """A length to 0.1 mm, without its unit."""
    return f"{round(mm, 1):g}"


@dataclass(slots=True)
class Drawing:
    """A rectangle of `width_mm` × `height_mm` and what is drawn in it."""

    width_mm: float
    height_mm: float
    strokes: list[Stroke] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)

    def draw(self, kind: Kind, path: Path, name: str = "") -> None:
        """Add a path."""
        self.strokes.append(Stroke(kind, path, name))

    def line(self, kind: Kind, points: Sequence[tuple[float, float]] | NDArray[np.float64]) -> None:
        """Add a line through points."""
        self.draw(kind, lines(points))

    def box(self, kind: Kind, x: float, y: float, width: float, height: float) -> None:
        """Add a rectangle."""
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        self.draw(kind, lines(corners, closed=True))

    def cross(self, x: float, y: float, arm_mm: float = 2.0) -> None:
        """Add a register cross."""
        across = lines([(x - arm_mm, y), (x + arm_mm, y)])
        self.draw("register", joined([across, lines([(x, y - arm_mm), (x, y + arm_mm)])]))

    def note(
        self,
        x: float,
        y: float,
        text: str,
        size_mm: float = 2.4,
        align: Align = "left",
        *,
        strong: bool = False,
        turn_deg: float = 0.0,
    ) -> None:
        """Add a line of words."""
        self.notes.append(Note(x, y, text, size_mm, align, strong, turn_deg))

    def lay(self, other: "Drawing", affine: Affine, suffix: str = "") -> None:
        """Lay another drawing on this one, moved or turned by quarters; `suffix` tells copies."""
        self.strokes += [
            replace(s, path=s.path.moved(affine), name=s.name and s.name + suffix)
            for s in other.strokes
        ]
        a, b, c, d, e, f = affine
        turn_deg = float(np.degrees(np.arctan2(b, a)))
        self.notes += [
            replace(
                n,
                x_mm=a * n.x_mm + c * n.y_mm + e,
                y_mm=b * n.x_mm + d * n.y_mm + f,
                turn_deg=n.turn_deg + turn_deg,
            )
            for n in other.notes
        ]

    def kinds(self) -> list[Kind]:
        """The kinds of line in it, in the legend's order."""
        used = {stroke.kind for stroke in self.strokes}
        return [kind for kind in KINDS if kind in used]
