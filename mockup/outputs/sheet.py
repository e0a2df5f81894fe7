"""A PDF with our type and colours: real millimetres, embedded fonts, the same bytes every time."""

import io
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Literal

import font_source_sans_pro
import numpy as np
from fpdf import FPDF
from fpdf.enums import MethodReturnValue
from numpy.typing import NDArray
from PIL import Image

from mockup.errors import OutputError
from mockup.outputs.letters import legible

__all__ = ["ACCENT", "HAIRLINE", "INK", "MUTED", "PAPER_MM", "Paper", "Sheet", "Type"]

Paper = Literal["a4", "letter"]
Rgb8 = tuple[int, int, int]

PAPER_MM: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
INK: Rgb8 = (18, 36, 66)
ACCENT: Rgb8 = (170, 90, 52)
MUTED: Rgb8 = (101, 114, 133)
HAIRLINE: Rgb8 = (206, 212, 220)

_WEIGHTS = {"light": "Light", "regular": "", "semibold": "Semibold"}
_FALLBACK = "fallback"
_NO_DATE = datetime(1970, 1, 1, tzinfo=UTC)  # the format wants one; ours would differ every time
_MOST_DPI = 300.0
_JPEG_QUALITY = 92


@dataclass(frozen=True, slots=True)
class Type:
    """A style of text: size in points, leading in mm, extra space between letters in points."""

    weight: Literal["light", "regular", "semibold"]
    size_pt: float
    leading_mm: float
    colour: Rgb8 = INK
    spacing_pt: float = 0.0

    @property
    def size_mm(self) -> float:
        """Its size in millimetres."""
        return self.size_pt * 25.4 / 72


class Sheet:
    """Pages in mm from the upper left corner; every method says where the next thing may go.

    Letters that our type lacks are taken from DejaVu Sans, which comes with Matplotlib. What that
    lacks too is refused; or, where the sheet is `lenient`, shown as a box and kept in `missing`.
    """

    def __init__(self, paper: Paper, title: str, *, lenient: bool = False) -> None:
        self.paper, self.lenient = paper, lenient
        self.missing: set[str] = set()
        self.pdf: Any = FPDF(unit="mm", format=PAPER_MM[paper])
        self.pdf.set_auto_page_break(False)
        self.pdf.set_margin(0)
        self.pdf.c_margin = 0
        self.pdf.set_creation_date(_NO_DATE)
        self.pdf.set_title(title)
        self.pdf.set_lang("en")
        for family, weight in _WEIGHTS.items():
            file = font_source_sans_pro.font_files_ttf[f"SourceSansPro{weight}"]
            self._add_font(family, Path(file))

    def _add_font(self, family: str, file: Path) -> None:
        self.pdf.add_font(family, "", file)
        reader = self.pdf.fonts[family].ttfont.reader
        with reader.file as opened:  # fpdf2 leaves it open: read it now
            opened.seek(0)
            reader.file = io.BytesIO(opened.read())

    def page(self, *, landscape: bool = False) -> tuple[float, float]:
        """Begin a page; gives its width and height, mm."""
        self.pdf.add_page(orientation="landscape" if landscape else "portrait")
        return float(self.pdf.w), float(self.pdf.h)

    @property
    def page_number(self) -> int:
        """Of the page at work, from 1."""
        return int(self.pdf.page_no())

    def line_of_text(
        self,
        x: float,
        baseline: float,
        text: str,
        style: Type,
        align: Literal["left", "centre", "right"] = "left",
    ) -> None:
        """One line, its baseline at `baseline`; `align` says which part of it lies at `x`."""
        text = self._prepared(text, style)
        width = float(self.pdf.get_string_width(text))
        shift = {"left": 0.0, "centre": 0.5, "right": 1.0}[align]
        # cell's own baseline; not by set_xy, which takes an x left of the page from its right edge
        self.pdf.x, self.pdf.y = x - shift * width, baseline - 0.8 * style.size_mm
        self.pdf.cell(width, style.size_mm, text, align="L")

    def width_of(self, text: str, style: Type) -> float:
        """Width, mm, of one line."""
        return float(self.pdf.get_string_width(self._prepared(text, style)))

    def shortened(self, text: str, style: Type, width: float) -> str:
        """As much of the text as one line of `width` holds, with dots where it was cut."""
        if self.width_of(text, style) <= width:
            return text
        least, most = 0, len(text)  # letters that fit, that do not
        while most - least > 1:
            half = (least + most) // 2
            fits = self.width_of(text[:half].rstrip() + "…", style) <= width
            least, most = (half, most) if fits else (least, half)
        return text[:least].rstrip() + "…"

    def paragraph(self, x: float, y: float, width: float, text: str, style: Type) -> float:
        """Text in lines of at most `width` from `y` down; gives the y below it."""
        prepared = self._prepared(text, style)
        self.pdf.set_xy(x, y)
        height = self.pdf.multi_cell(
            width, style.leading_mm, prepared, align="L", output=MethodReturnValue.HEIGHT
        )
        return y + float(height)

    def height_of(self, width: float, text: str, style: Type) -> float:
        """Height, mm, of the paragraph."""
        return len(self.lines_of(width, text, style)) * style.leading_mm

    def lines_of(self, width: float, text: str, style: Type) -> list[str]:
        """The lines that the paragraph is broken into."""
        lines: list[str] = self.pdf.multi_cell(
            width,
            style.leading_mm,
            self._prepared(text, style),
            align="L",
            dry_run=True,
            output=MethodReturnValue.LINES,
        )
        return lines

    def picture(
        self, rgb8_srgb: NDArray[np.uint8], x: float, y: float, width: float, height: float
    ) -> None:
        """A picture over exactly this rectangle, at no more than 300 dots per inch."""
        image = Image.fromarray(rgb8_srgb)
        most = (round(width / 25.4 * _MOST_DPI), round(height / 25.4 * _MOST_DPI))
        if most[0] < image.width and most[1] < image.height:
            image = image.resize(most, Image.Resampling.LANCZOS)
        jpeg = io.BytesIO()
        image.save(jpeg, "JPEG", quality=_JPEG_QUALITY, subsampling=0)
        self.pdf.image(jpeg, x, y, width, height)

    def line(
        self,
        points: Sequence[tuple[float, float]] | NDArray[np.float64],
        colour: Rgb8 = HAIRLINE,
        width_mm: float = 0.2,
        dash_mm: tuple[float, float] | None = None,
    ) -> None:
        """A line through the points."""
        self.pdf.set_draw_color(*colour)
        self.pdf.set_line_width(width_mm)
        if dash_mm is not None:
            self.pdf.set_dash_pattern(*dash_mm)
        self.pdf.polyline([(float(px), float(py)) for px, py in points])
        self.pdf.set_dash_pattern()

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: Rgb8 | None = None,
        stroke: Rgb8 | None = None,
        radius_mm: float = 0.0,
    ) -> None:
        """A rectangle, its corners rounded by `radius_mm`."""
        if fill is not None:
            self.pdf.set_fill_color(*fill)
        if stroke is not None:
            self.pdf.set_draw_color(*stroke)
            self.pdf.set_line_width(0.2)
        style = ("D" if stroke is not None else "") + ("F" if fill is not None else "")
        rounded = {"round_corners": True, "corner_radius": radius_mm} if radius_mm else {}
        self.pdf.rect(x, y, width, height, style=style, **rounded)

    def shape(
        self,
        points: Sequence[tuple[float, float]] | NDArray[np.float64],
        *,
        fill: Rgb8,
        stroke: Rgb8,
    ) -> None:
        """A closed shape through the points."""
        self.pdf.set_fill_color(*fill)
        self.pdf.set_draw_color(*stroke)
        self.pdf.set_line_width(0.2)
        self.pdf.polygon([(float(px), float(py)) for px, py in points], style="DF")

    def finished(self) -> bytes:
        """The file."""
        return bytes(self.pdf.output())

    def _set(self, style: Type) -> None:
        self.pdf.set_font(style.weight, "", style.size_pt)
        # kerning, and writing from right to left; but spaced letters would be read as single words
        self.pdf.set_text_shaping(style.spacing_pt == 0)
        self.pdf.set_char_spacing(style.spacing_pt)
        self.pdf.set_text_color(*style.colour)

    def _prepared(self, text: str, style: Type) -> str:
        """The text in letters that can be shown, with the pen set for it."""
        self._set(style)
        text = unicodedata.normalize("NFC", text)
        known = self.pdf.fonts[style.weight].cmap
        if all(ord(letter) in known or letter == "\n" for letter in text):
            return text
        if _FALLBACK not in self.pdf.fonts:
            self._add_font(_FALLBACK, _fallback_file())
            self.pdf.set_fallback_fonts([_FALLBACK], exact_match=False)
        shown, strange = legible(text, {*known, *self.pdf.fonts[_FALLBACK].cmap})
        if strange and not self.lenient:
            raise OutputError(
                f"the sheet's font has no {' '.join(repr(letter) for letter in strange[:5])}",
                where=repr(text[:40]),
                remedy="Write this text in letters of another script",
            )
        self.missing.update(strange)
        return shown


def _fallback_file() -> Path:
    """DejaVu Sans: Latin, Greek, Cyrillic, Armenian, Georgian, Hebrew, Arabic, many signs."""
    found = find_spec("matplotlib")
    assert found is not None, "colour-science brings matplotlib"
    assert found.origin is not None, "colour-science brings matplotlib"
    return Path(found.origin).parent / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"
