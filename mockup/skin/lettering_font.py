"""Fonts: those that are shipped, and files that may come from anyone."""

import io
import struct
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import uharfbuzz as hb
from fontTools.ttLib import TTFont, TTLibError

from mockup.errors import AssetError, UnknownName

__all__ = ["Lettering", "find_font", "shipped_fonts"]

_PACKAGES = {"font_source_sans_pro": "Source Sans Pro", "font_amatic_sc": "Amatic SC"}
_OUTLINES = ("glyf", "CFF ", "CFF2")
_FAULTS = (
    TTLibError,
    ImportError,
    OSError,
    EOFError,
    ValueError,
    KeyError,
    IndexError,
    TypeError,
    AttributeError,
    AssertionError,
    OverflowError,
    MemoryError,
    struct.error,
)


@dataclass(frozen=True, slots=True)
class Lettering:
    """A font ready to be shaped, in its own units."""

    name: str
    font: Any  # uharfbuzz.Font
    stated_cap_height: float

    def can_draw(self, glyph: int) -> bool:
        """Whether a glyph is an outline of one colour: not .notdef, nor an emoji in colours."""
        face = self.font.face
        return glyph != 0 and not (
            (face.has_color_layers and face.get_glyph_color_layers(glyph))
            or (face.has_color_paint and face.glyph_has_color_paint(glyph))
            or (face.has_color_svg and face.get_glyph_color_svg(glyph))
            or (face.has_color_png and self.font.get_glyph_color_png(glyph))
        )

    def cap_height(self, *, where: str) -> float:
        """Height of a capital H as drawn; without one, the height that the font states.

        Raises
        ------
        AssetError
            The font has neither.
        """
        glyph = self.font.get_nominal_glyph(ord("H"))
        extents = self.font.get_glyph_extents(glyph) if glyph else None
        height = abs(extents.height) if extents else 0
        if not height:
            height = self.stated_cap_height
        if height <= 0:
            raise AssetError(
                f"{self.name} has no capital H and states no capital height",
                where=where,
                remedy="Use another font",
            )
        return float(height)


def shipped_fonts() -> dict[str, Path]:
    """Names and files of the fonts that come with the program, all under the SIL OFL 1.1."""
    found: dict[str, Path] = {}
    for package, family in _PACKAGES.items():
        spec = find_spec(package)
        for folder in (spec.submodule_search_locations or []) if spec else []:
            for path in sorted(Path(folder, "files").glob("*.ttf")):
                found[f"{family} {_style(path.stem.partition('-')[2])}".strip()] = path
    return found


def _style(suffix: str) -> str:
    """``BoldIt`` → ``Bold Italic``; ``Regular`` → nothing."""
    weight = suffix.removesuffix("It")
    italic = "Italic" if weight != suffix else ""
    return f"{weight.replace('Regular', '')} {italic}".strip()


def find_font(font: bytes | str, *, where: str) -> Lettering:
    """A shipped font by name, or the font that a file's bytes hold.

    Raises
    ------
    UnknownName
        No shipped font has the name.
    AssetError
        The bytes are no font, end early, or hold no outlines.
    """
    if isinstance(font, bytes):
        return _opened(font, "the font", where)
    shipped = shipped_fonts()
    if font not in shipped:
        raise UnknownName("font", font, shipped, where=where)
    return _opened(shipped[font].read_bytes(), font, where)


def _opened(data: bytes, name: str, where: str) -> Lettering:
    if data[:4] == b"wOF2" and find_spec("brotli") is None:
        raise AssetError(
            f"{name} is packed as WOFF2, which cannot be read here",
            where=where,
            remedy="Use the TTF or OTF file of the font",
        )
    try:
        with TTFont(io.BytesIO(data), fontNumber=0, lazy=True) as tables:
            _check_whole(tables, len(data))
            if tables.flavor is not None:
                data = _unpacked(tables)
            stated = float(getattr(tables.get("OS/2"), "sCapHeight", 0) or 0)
            face = hb.Face(hb.Blob(data), 0)
            font = hb.Font(face)
    except _FAULTS as error:
        raise _not_a_font(data, name, where) from error
    if face.glyph_count < 2 or not face.unicodes:
        raise _not_a_font(data, name, where)
    return Lettering(name, font, stated)


def _check_whole(tables: Any, length: int) -> None:
    """Raises ValueError if a table lies beyond the file's end, or what letters need is absent."""
    for tag, entry in tables.reader.tables.items():
        if entry.offset + entry.length > length:
            raise ValueError(f"table {tag} ends early")
    needed = ("cmap", "head", "hhea", "hmtx", "maxp")
    if not any(t in tables for t in _OUTLINES) or any(t not in tables for t in needed):
        raise ValueError("no outlines")
    for tag in ("head", "maxp", "cmap"):
        tables[tag].tableTag  # noqa: B018  tables are read when first asked for


def _unpacked(tables: Any) -> bytes:
    tables.flavor = None
    plain = io.BytesIO()
    tables.save(plain, reorderTables=None)
    return plain.getvalue()


def _not_a_font(data: bytes, name: str, where: str) -> AssetError:
    known = (b"\0\1\0\0", b"OTTO", b"true", b"ttcf", b"wOFF", b"wOF2")
    looks = data.startswith(known)
    return AssetError(
        f"{name} is {'damaged or holds no outlines' if looks else 'not a font file'}",
        where=where,
        remedy="Use a whole TTF or OTF file",
    )
