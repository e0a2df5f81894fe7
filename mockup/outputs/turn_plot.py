"""A decal's contrast round the turn, as seen from above the cup: which side reads, which fades.

The ring in the middle is the cup, its front at the foot of the picture and what lies to the right
of the front to the right. Along each direction the further out, the more the decal stands out to
an eye that stands there; directions that do not show it are left empty.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import font_source_sans_pro
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from mockup.checks.legibility import DecalLegibility
from mockup.outputs.sheet import ACCENT, HAIRLINE, INK, MUTED

__all__ = ["LIGHT_COLOURS", "draw_turn"]

Rgb8 = tuple[int, int, int]

LIGHT_COLOURS: tuple[Rgb8, ...] = (INK, ACCENT, (44, 132, 126), (122, 84, 150))
_SHORT: Rgb8 = (251, 236, 228)  # where the limit is missed
_PAPER: Rgb8 = (255, 255, 255)
_CUP: Rgb8 = (232, 236, 241)
_MOST = 15.0  # what is more lies on the rim
_RINGS = (3.0, 4.5, 10.0)
_NUMBERS_DEG = 135.0  # direction in which the rings are numbered
_HALO: dict[str, Any] = {"stroke_width": 6, "stroke_fill": _PAPER}
_SMOOTH = 4  # pixels drawn for each that is shown


def draw_turn(read: DecalLegibility, limit: float, size_px: int) -> NDArray[np.uint8]:
    """The plot: (size_px, size_px, 3) uint8, sRGB.

    Parameters
    ----------
    limit
        Ratio within which the plane is tinted.
    """
    plot = _Plot(size_px)
    plot.rings(limit)
    for nth, light in enumerate(read.lights):
        colour = LIGHT_COLOURS[nth % len(LIGHT_COLOURS)]
        plot.course(read.turns_deg, read.round_the_turn(light), colour)
    return plot.finished()


class _Plot:
    """A square of `size` pixels that shows ratios from 1, at the cup, to 15, at the rim."""

    def __init__(self, size: int) -> None:
        self._size, side = size, size * _SMOOTH
        self._image = Image.new("RGB", (side, side), _PAPER)
        self._draw = ImageDraw.Draw(self._image)
        self._middle = side / 2
        self._cup, self._rim = 0.09 * side, 0.405 * side
        file = font_source_sans_pro.font_files_ttf["SourceSansPro"]
        self._font = ImageFont.truetype(file, max(round(0.05 * side), 6))

    def rings(self, limit: float) -> None:
        """The limit's plane, the rings of 3, 4.5 and 10, their numbers, the front."""
        thin = max(1, round(0.003 * self._middle * 2))
        self._circle(self._rim, outline=HAIRLINE, width=thin)
        self._circle(self._away(limit), fill=_SHORT)
        for ring in _RINGS:
            strong = abs(ring - limit) < 0.01
            self._circle(
                self._away(ring), outline=ACCENT if strong else HAIRLINE, width=thin * (1 + strong)
            )
            x, y = self._at(_NUMBERS_DEG, self._away(ring))
            self._draw.text((x, y), f"{ring:g}", MUTED, self._font, anchor="ms", **_HALO)
        self._circle(self._cup, fill=_CUP, outline=HAIRLINE, width=thin)
        for turn, label in ((0.0, "front"), (90.0, "right"), (180.0, "back"), (-90.0, "left")):
            x, y = self._at(turn, self._rim + 0.05 * self._middle * 2)
            self._draw.text((x, y), label, MUTED, self._font, anchor="mm")

    def course(self, turns_deg: Sequence[float], ratio: NDArray[np.float64], colour: Rgb8) -> None:
        """One light's contrast over the turn, as runs of points that follow each other."""
        width = max(1, round(0.011 * self._middle * 2))
        spots = [
            self._at(turn, self._away(value)) if np.isfinite(value) else None
            for turn, value in zip(turns_deg, ratio, strict=True)
        ]
        for one, other in pairwise([*spots, spots[0]]):
            if one is not None and other is not None:
                self._draw.line([one, other], colour, width)
        for spot in (s for s in spots if s is not None):
            x, y = spot
            r = width * 0.95
            self._draw.ellipse((x - r, y - r, x + r, y + r), colour)

    def finished(self) -> NDArray[np.uint8]:
        """At the size that was asked for."""
        size = (self._size, self._size)
        return np.asarray(self._image.resize(size, Image.Resampling.BOX))

    def _away(self, ratio: float) -> float:
        share = np.log(np.clip(ratio, 1.0, _MOST)) / np.log(_MOST)
        return float(self._cup + (self._rim - self._cup) * share)

    def _at(self, turn_deg: float, away: float) -> tuple[float, float]:
        turn = np.radians(turn_deg)
        return (
            self._middle + away * float(np.sin(turn)),
            self._middle + away * float(np.cos(turn)),
        )

    def _circle(
        self,
        radius: float,
        *,
        fill: Rgb8 | None = None,
        outline: Rgb8 | None = None,
        width: int = 1,
    ) -> None:
        m = self._middle
        box = (m - radius, m - radius, m + radius, m + radius)
        self._draw.ellipse(box, fill, outline, width)
