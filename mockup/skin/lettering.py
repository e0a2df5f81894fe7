"""Words → the outline of cut letters: shaped, kerned, spaced, set in centred lines."""

import unicodedata
from collections.abc import Iterable
from typing import Any

import shapely
import uharfbuzz as hb
from shapely import affinity

from mockup.errors import AssetError
from mockup.skin.lettering_font import Lettering, find_font, shipped_fonts
from mockup.skin.lettering_order import runs
from mockup.skin.outline_fill import FlatteningPen, as_multipolygon, filled

__all__ = ["outline_from_text", "shipped_fonts"]

_FINENESS = 2_000  # chords leave a curve by less than this part of a letter's height
_NO_LIGATURES = {"liga": False, "clig": False, "dlig": False, "hlig": False}
_UNSEEN = ("Cf", "Zs", "Zl", "Zp")  # Unicode categories that rightly draw nothing


def outline_from_text(
    text: str,
    *,
    font: bytes | str,
    letter_height_mm: float,
    letter_spacing_mm: float = 0.0,
    line_spacing: float = 1.25,
    where: str,
    tolerance_mm: float | None = None,
) -> Any:
    """The outline of `text`, one line for each line of it, centred on one another.

    Parameters
    ----------
    font
        Name of a font that is shipped (`shipped_fonts`), or the bytes of a TrueType or OpenType
        file; of a collection its first face, of a variable font its default instance.
    letter_height_mm
        Height of a capital H.
    letter_spacing_mm
        Added between letters, beside the font's kerning; ligatures are off unless it is 0.
    line_spacing
        From baseline to baseline, in letter heights.
    where
        Who asks, for messages.
    tolerance_mm
        How far a chord may leave its curve; else 1/2000 of the letter height.

    Returns
    -------
    shapely MultiPolygon, mm, y up, its bounding box centred at the origin.

    Raises
    ------
    UnknownName
        No font has the name.
    AssetError
        The font is damaged, lacks letters of the text (they are listed), or nothing is drawn.
    """
    face = find_font(font, where=where)
    mm = letter_height_mm / face.cap_height(where=where)
    tolerance = (tolerance_mm or letter_height_mm / _FINENESS) / mm
    setter = _Setter(face, letter_spacing_mm / mm, tolerance)
    lines = [setter.line(line) for line in text.expandtabs(1).splitlines()]
    if setter.missing:
        raise AssetError(
            f"{face.name} lacks {_listed(setter.missing)}",
            where=where,
            remedy="Use another font, or write it otherwise",
        )
    pitch = line_spacing * letter_height_mm / mm
    placed = [
        affinity.translate(line, -(line.bounds[0] + line.bounds[2]) / 2, -i * pitch)
        for i, line in enumerate(lines)
        if not line.is_empty
    ]
    shape = shapely.union_all(placed)
    if shape.is_empty:
        raise AssetError("the text draws nothing", where=where, remedy="Write some letters")
    left, low, right, high = shape.bounds
    x, y = (left + right) / 2, (low + high) / 2
    return as_multipolygon(affinity.affine_transform(shape, [mm, 0, 0, mm, -x * mm, -y * mm]))


class _Setter:
    """Sets lines in font units, remembering each glyph's region and every missing letter."""

    def __init__(self, face: Lettering, spacing: float, tolerance: float) -> None:
        self.face, self.spacing, self.tolerance = face, spacing, tolerance
        self.missing: dict[str, None] = {}  # ordered and without repeats
        self._regions: dict[int, Any] = {}

    def line(self, text: str) -> Any:
        """The region of one line, its baseline at y = 0."""
        placed: list[Any] = []
        pen_x = 0.0
        for run, right_to_left in runs(text):
            pen_x = self._run(run, right_to_left, pen_x, placed)
        return shapely.union_all(placed)

    def _run(self, text: str, right_to_left: bool, pen_x: float, placed: list[Any]) -> float:
        """Place one run of a single direction from `pen_x`; returns where the next begins."""
        buffer = hb.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        buffer.direction = "rtl" if right_to_left else "ltr"
        hb.shape(self.face.font, buffer, _NO_LIGATURES if self.spacing else {})
        drawn: set[int] = set()
        last = None
        for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
            if last is not None and info.cluster != last:
                pen_x += self.spacing
            last = info.cluster
            region = self._region(info.codepoint)
            if not region.is_empty:
                drawn.add(info.cluster)
                at = pen_x + position.x_offset, position.y_offset
                placed.append(affinity.translate(region, *at))
            pen_x += position.x_advance
        starts = sorted({info.cluster for info in buffer.glyph_infos})
        for start, end in zip(starts, [*starts[1:], len(text)], strict=True):
            if start not in drawn:
                letters = [c for c in text[start:end] if not _draws_nothing(c)]
                self.missing |= dict.fromkeys(letters)
        return pen_x + self.spacing

    def _region(self, glyph: int) -> Any:
        if glyph not in self._regions:
            pen = FlatteningPen(self.tolerance)
            if self.face.can_draw(glyph):
                self.face.font.draw_glyph_with_pen(glyph, pen)
            self._regions[glyph] = filled(pen.contours, "nonzero")
        return self._regions[glyph]


def _draws_nothing(letter: str) -> bool:
    return unicodedata.category(letter) in _UNSEEN or "\ufe00" <= letter <= "\ufe0f"


def _listed(letters: Iterable[str]) -> str:
    named = [f"{c!r} ({unicodedata.name(c, f'U+{ord(c):04X}')})" for c in letters]
    more = f" and {len(named) - 8} more" if len(named) > 8 else ""
    return f"the letter{'s' if len(named) > 1 else ''} {', '.join(named[:8])}{more}"
