"""A sheet of type and pictures as pixels, laid out in mm by the same verbs as `sheet.Sheet`."""

import unicodedata
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby
from typing import Literal, Protocol

import font_source_sans_pro
import numpy as np
from fontTools.ttLib import TTFont
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from mockup.outputs.letters import legible
from mockup.outputs.sheet import HAIRLINE, Type, _fallback_file
from mockup.units import MM_PER_INCH

__all__ = ["Canvas", "PictureSheet"]

Rgb8 = tuple[int, int, int]

_WEIGHTS = {"light": "Light", "regular": "", "semibold": "Semibold"}
MM_PER_PT = MM_PER_INCH / 72.0
_ASCENT = 0.78  # of the leading: where multi_cell of a PDF sets its first baseline


class Canvas(Protocol):
    """What a layout draws on: a page of a PDF or a picture, in mm from its upper left corner."""

    def line_of_text(
        self,
        x: float,
        baseline: float,
        text: str,
        style: Type,
        align: Literal["left", "centre", "right"] = "left",
    ) -> None:
        """One line of text."""

    def paragraph(self, x: float, y: float, width: float, text: str, style: Type) -> float:
        """Text in lines of at most `width`; gives the y below it."""

    def height_of(self, width: float, text: str, style: Type) -> float:
        """Height, mm, of the paragraph."""

    def picture(
        self, rgb8_srgb: NDArray[np.uint8], x: float, y: float, width: float, height: float
    ) -> None:
        """A picture over this rectangle."""

    def line(
        self, points: Sequence[tuple[float, float]], colour: Rgb8 = HAIRLINE, width_mm: float = 0.2
    ) -> None:
        """A line through the points."""

    def box(
        self, x: float, y: float, width: float, height: float, *, fill: Rgb8 | None = None,
        stroke: Rgb8 | None = None,
    ) -> None:  # fmt: skip
        """A rectangle."""


class PictureSheet:
    """White paper of a size in mm, drawn at `px_per_mm`; the same calls give the same pixels."""

    def __init__(self, width_mm: float, height_mm: float, *, px_per_mm: float) -> None:
        size = round(width_mm * px_per_mm), round(height_mm * px_per_mm)
        self.px_per_mm = px_per_mm
        self._image = Image.new("RGB", size, (255, 255, 255))
        self._draw = ImageDraw.Draw(self._image)

    @property
    def rgb8_srgb(self) -> NDArray[np.uint8]:
        """What has been drawn: (rows, columns, 3) uint8."""
        return np.asarray(self._image)

    def line_of_text(
        self,
        x: float,
        baseline: float,
        text: str,
        style: Type,
        align: Literal["left", "centre", "right"] = "left",
    ) -> None:
        """One line, its baseline at `baseline`; `align` says which part of it lies at `x`."""
        shift = {"left": 0.0, "centre": 0.5, "right": 1.0}[align]
        at = (x - shift * self.width_of(text, style)) * self.px_per_mm
        for part, font in self._parts(text, style):
            self._draw.text((at, baseline * self.px_per_mm), part, style.colour, font, anchor="ls")
            at += font.getlength(part) + len(part) * self._spacing_px(style)

    def paragraph(self, x: float, y: float, width: float, text: str, style: Type) -> float:
        """Text in lines of at most `width` from `y` down; gives the y below it."""
        lines = self.lines_of(width, text, style)
        for nth, line in enumerate(lines):
            self.line_of_text(x, y + (nth + _ASCENT) * style.leading_mm, line, style)
        return y + len(lines) * style.leading_mm

    def height_of(self, width: float, text: str, style: Type) -> float:
        """Height, mm, of the paragraph."""
        return len(self.lines_of(width, text, style)) * style.leading_mm

    def width_of(self, text: str, style: Type) -> float:
        """Length, mm, of a line of text."""
        return (
            sum(
                float(font.getlength(part)) + len(part) * self._spacing_px(style)
                for part, font in self._parts(text, style)
            )
            / self.px_per_mm
        )

    def _spacing_px(self, style: Type) -> float:
        return style.spacing_pt * MM_PER_PT * self.px_per_mm

    def _parts(self, text: str, style: Type) -> Iterator[tuple[str, ImageFont.FreeTypeFont]]:
        """The text in parts of one font each; spaced letters are parts by themselves."""
        size_px = style.size_pt * MM_PER_PT * self.px_per_mm
        own, other = _own_file(style.weight), str(_fallback_file())
        shown, _ = legible(unicodedata.normalize("NFC", text), _letters(own) | _letters(other))
        for has, letters in groupby(shown, key=lambda letter: ord(letter) in _letters(own)):
            part, font = "".join(letters), _font(own if has else other, size_px)
            yield from ((letter, font) for letter in (part if style.spacing_pt else (part,)))

    def picture(
        self, rgb8_srgb: NDArray[np.uint8], x: float, y: float, width: float, height: float
    ) -> None:
        """A picture over this rectangle; where it has that many pixels, each as it is."""
        left, top, right, foot = self._pixels(x, y, width, height)
        image = Image.fromarray(rgb8_srgb)
        size = right - left, foot - top
        if image.size != size:
            image = image.resize(size, Image.Resampling.LANCZOS)
        self._image.paste(image, (left, top))

    def line(
        self,
        points: Sequence[tuple[float, float]],
        colour: Rgb8 = HAIRLINE,
        width_mm: float = 0.2,
    ) -> None:
        """A line through the points."""
        scaled = [(px * self.px_per_mm, py * self.px_per_mm) for px, py in points]
        self._draw.line(scaled, colour, max(1, round(width_mm * self.px_per_mm)))

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: Rgb8 | None = None,
        stroke: Rgb8 | None = None,
    ) -> None:
        """A rectangle."""
        left, top, right, foot = self._pixels(x, y, width, height)
        self._draw.rectangle((left, top, right - 1, foot - 1), fill, stroke, 1)

    def _pixels(self, x: float, y: float, width: float, height: float) -> tuple[int, int, int, int]:
        """Edges shared by two neighbours fall on the same pixel."""
        left, top, right, foot = (
            round(side * self.px_per_mm) for side in (x, y, x + width, y + height)
        )
        return left, top, max(right, left + 1), max(foot, top + 1)

    def lines_of(self, width: float, text: str, style: Type) -> list[str]:
        """Broken at spaces; a word that is longer than a line is broken within."""
        lines: list[str] = []
        for part in text.split("\n"):
            line = ""
            for word in part.split(" "):
                longer = f"{line} {word}" if line else word
                if self.width_of(longer, style) <= width:
                    line = longer
                    continue
                lines += [line] if line else []
                line = word
                while self.width_of(line, style) > width and len(line) > 1:
                    fits = next(
                        n
                        for n in range(len(line) - 1, 0, -1)
                        if n == 1 or self.width_of(line[:n], style) <= width
                    )
                    lines.append(line[:fits])
                    line = line[fits:]
            lines.append(line)
        return lines


def _own_file(weight: str) -> str:
    return str(font_source_sans_pro.font_files_ttf[f"SourceSansPro{_WEIGHTS[weight]}"])


@lru_cache(maxsize=64)
def _font(file: str, size_px: float) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(file, size_px, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=8)
def _letters(file: str) -> frozenset[int]:
    """Code points that a font has."""
    with TTFont(file) as font:
        return frozenset(font.getBestCmap())
