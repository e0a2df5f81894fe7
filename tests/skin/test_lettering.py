"""Words as the trade would set them: kerned, spaced, in lines, with every letter present."""

import io
from pathlib import Path

import numpy as np
import pathops
import pytest
import shapely
from fontTools.colorLib.builder import buildCOLR, buildCPAL
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTCollection, TTFont
from fontTools.ttLib.tables.TupleVariation import TupleVariation
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.errors import AssetError, UnknownName
from mockup.skin.lettering import outline_from_text, shipped_fonts
from mockup.skin.lettering_order import runs

BOLD = "Source Sans Pro Bold"
WHERE = "design.toml: layers[3]"


def words(text, font=BOLD, letter_height_mm=10.0, **more):
    return outline_from_text(
        text, font=font, letter_height_mm=letter_height_mm, where=WHERE, **more
    )


def width(shape):
    return shape.bounds[2] - shape.bounds[0]


def height(shape):
    return shape.bounds[3] - shape.bounds[1]


def refusal(text, font=BOLD):
    with pytest.raises(AssetError) as caught:
        words(text, font)
    assert str(caught.value).startswith(WHERE)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def block_font(letters, **tables):
    """A font whose letters are blocks 500 wide and as high as their place in `letters` says."""
    names = [".notdef", "space", *(f"g{ord(c):04X}" for c in letters)]
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap({32: "space"} | {ord(c): f"g{ord(c):04X}" for c in letters})
    glyphs = {}
    for i, name in enumerate(names):
        pen = TTGlyphPen(None)
        if name != "space":
            top = 700 if i == 0 else 100 * (i - 1)
            pen.moveTo((50, 0))
            for point in ((50, top), (450, top), (450, 0)):
                pen.lineTo(point)
            pen.closePath()
        glyphs[name] = pen.glyph()
    builder.setupGlyf(glyphs)
    builder.setupHorizontalMetrics(dict.fromkeys(names, (500, 50)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupOS2(version=4, sCapHeight=1000, **tables)
    builder.setupNameTable({"familyName": "Blocks"})
    builder.setupPost()
    data = io.BytesIO()
    builder.save(data)
    return data.getvalue()


def heights_from_left(shape):
    """Heights of a line's pieces from left to right, in tenths of a letter."""
    pieces = sorted(shape.geoms, key=lambda p: p.bounds[0])
    return [round(p.bounds[3] - p.bounds[1]) for p in pieces]


@pytest.mark.parametrize("font", sorted(shipped_fonts()))
def test_a_capital_is_as_high_as_asked(font):
    shape = words("H", font, letter_height_mm=12.5)
    assert height(shape) == pytest.approx(12.5, abs=1e-9)
    assert np.add(shape.bounds[:2], shape.bounds[2:]) == pytest.approx(0, abs=1e-9)


def test_two_families_are_shipped_and_whole():
    fonts = shipped_fonts()
    assert {"Source Sans Pro", BOLD, "Source Sans Pro Italic", "Amatic SC Bold"} <= set(fonts)
    assert all(path.stat().st_size > 10_000 for path in fonts.values())


def test_kerning_draws_a_and_v_together():
    """A's left edge to V's right: advance and the font's own kerning, both read by fontTools."""
    tables = TTFont(shipped_fonts()[BOLD])
    glyphs, mm = tables["glyf"], 10 / cap_height_units(tables)
    advance, _ = tables["hmtx"]["A"]
    kern = gpos_kern(tables, "A", "V")
    assert kern < 0

    pair = words("AV")

    assert width(pair) == pytest.approx((advance + kern + glyphs["V"].xMax - glyphs["A"].xMin) * mm)
    assert width(pair) < width(words("A")) + width(words("V"))


def gpos_kern(tables, left, right):
    """Horizontal adjustment of a pair in the first lookup that knows it."""
    cmap = tables.getBestCmap()
    first, second = cmap[ord(left)], cmap[ord(right)]
    gpos = tables["GPOS"].table
    kern = {
        i
        for f in gpos.FeatureList.FeatureRecord
        if f.FeatureTag == "kern"
        for i in f.Feature.LookupListIndex
    }
    for index in sorted(kern):
        for sub in gpos.LookupList.Lookup[index].SubTable:
            sub = getattr(sub, "ExtSubTable", sub)
            if first not in sub.Coverage.glyphs:
                continue
            if sub.Format == 1:
                pairs = sub.PairSet[sub.Coverage.glyphs.index(first)].PairValueRecord
                found = [p.Value1.XAdvance for p in pairs if p.SecondGlyph == second]
                if found:
                    return found[0]
            else:
                row = sub.Class1Record[sub.ClassDef1.classDefs.get(first, 0)]
                value = row.Class2Record[sub.ClassDef2.classDefs.get(second, 0)].Value1
                return value.XAdvance if value else 0
    return 0


def cap_height_units(tables):
    glyph = tables["glyf"]["H"]
    return glyph.yMax - glyph.yMin


def test_letters_of_the_font_have_the_area_that_skia_gives():
    """Union under the non-zero rule by another library, in font units."""
    font = TTFont(shipped_fonts()[BOLD])
    glyphs, cmap = font.getGlyphSet(), font.getBestCmap()
    mm = 10 / cap_height_units(font)
    for letter in "AB8&@g%":
        path = pathops.Path()
        glyphs[cmap[ord(letter)]].draw(path.getPen(glyphSet=glyphs))
        path.simplify(fix_winding=True)
        assert words(letter).area == pytest.approx(abs(path.area) * mm**2, rel=1e-3)


def test_spacing_adds_between_letters_only():
    """Four gaps in five letters; ligatures are off, so that fi is two letters."""
    plain, spaced = words("HHHHH"), words("HHHHH", letter_spacing_mm=2.0)
    assert width(spaced) == pytest.approx(width(plain) + 4 * 2.0, abs=1e-6)
    assert len(words("HH", letter_spacing_mm=-4).geoms) == 1
    assert len(words("ffi", letter_spacing_mm=0.001).geoms) == 4  # f, f, i and its dot


def test_lines_stand_line_spacing_apart_and_centred():
    shape = words("H\nHH\n\nH", line_spacing=1.5)
    assert height(shape) == pytest.approx(10 + 3 * 15, abs=1e-6)
    tops = sorted({round(p.bounds[3], 6) for p in shape.geoms}, reverse=True)
    assert np.diff(tops) == pytest.approx([-15, -30])
    for top in tops:
        line = shapely.union_all([p for p in shape.geoms if abs(p.bounds[3] - top) < 1e-3])
        assert (line.bounds[0] + line.bounds[2]) / 2 == pytest.approx(0, abs=1e-6)


@settings(max_examples=40)
@given(st.text("ABEHOS 0123456789&\n", min_size=1, max_size=12).filter(str.strip))
def test_every_text_is_a_valid_centred_shape_that_scales(text):
    shape, double = words(text), words(text, letter_height_mm=20.0)
    assert shape.is_valid
    assert np.add(shape.bounds[:2], shape.bounds[2:]) == pytest.approx(0, abs=1e-9)
    assert double.area == pytest.approx(4 * shape.area, rel=1e-6)


def test_missing_letters_are_listed_once_each():
    said = refusal("Crew \N{SAILBOAT}\N{VARIATION SELECTOR-16} \u8239\u8239 A")
    assert "lacks the letters '\u26f5' (SAILBOAT), '\u8239' (CJK UNIFIED IDEOGRAPH-8239)" in said
    assert "'A'" not in said
    assert BOLD in said


def test_spaces_alone_are_refused():
    for text in (" ", "\n \n", "\N{NO-BREAK SPACE}", "\N{ZERO WIDTH JOINER}"):
        assert "draws nothing" in refusal(text)


def test_an_unknown_font_gets_the_near_name():
    with pytest.raises(UnknownName, match="Use 'Source Sans Pro Bold'"):
        words("A", "Source Sans Pro Bolt")


def test_a_font_without_h_states_its_capital_height():
    """Its letter 3 is 300 of 1000 units high: 3 mm where a capital is 10."""
    assert height(words("c", block_font("abc"))) == pytest.approx(3)


def test_hebrew_runs_from_the_right_and_its_numbers_from_the_left():
    """Letters are 1, 2 and 3 tenths high, figures 4 and 5."""
    font = block_font("\u05d0\u05d1\u05d212")
    assert heights_from_left(words("\u05d0\u05d1\u05d2", font)) == [3, 2, 1]
    assert heights_from_left(words("\u05d0\u05d1 12", font)) == [4, 5, 2, 1]
    assert heights_from_left(words("12 \u05d0\u05d1", font)) == [2, 1, 4, 5]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("crew 7", [("crew 7", False)]),
        ("אבג", [("אבג", True)]),
        ("אבג 42", [("42", False), ("אבג ", True)]),
        ("אבג 4.2 דה", [(" דה", True), ("4.2", False), ("אבג ", True)]),
        ("crew אבג 42 bow", [("crew ", False), ("42", False), ("אבג ", True), (" bow", False)]),
        ("אבג crew 42 דה", [(" דה", True), ("crew 42", False), ("אבג ", True)]),
        ("", []),
    ],
)
def test_runs_stand_where_unicode_says(text, expected):
    """UAX 9, worked by hand: levels by W1 to I2, then reversed by L2."""
    assert runs(text) == expected


def test_arabic_letters_join():
    """Joined forms are narrower and fewer than letters set apart; the font is a common one."""
    path = Path("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf")
    font = path.read_bytes()
    joined = words("\u0628\u0628\u0628", font)
    apart = words("\u0628 \u0628 \u0628", font)
    assert width(joined) < 0.75 * width(apart)
    bodies = [p for p in joined.geoms if p.area > 0.2 * joined.area]
    assert len(bodies) == 1


def test_a_collection_gives_its_first_face():
    first, second = block_font("ab"), block_font("Hab")
    both = TTCollection()
    both.fonts = [TTFont(io.BytesIO(f)) for f in (first, second)]
    data = io.BytesIO()
    both.save(data)
    assert words("b", data.getvalue()).equals(words("b", first))


def test_a_variable_font_is_set_in_its_default_instance():
    """Its letter a is 3 tenths high by default and a tenth higher at the heavy end."""
    font = TTFont(io.BytesIO(block_font("\u0101ba")))
    builder = FontBuilder(font=font)
    builder.setupFvar([("wght", 400, 400, 900, "Weight")], [])
    higher = [(0, 0), (0, 100), (0, 100), (0, 0)] + [(0, 0)] * 4  # four phantom points
    variation = TupleVariation({"wght": (0, 1, 1)}, higher)
    builder.setupGvar({"g0061": [variation], "g0062": [], "g0101": []})
    data = io.BytesIO()
    font.save(data)
    assert height(words("a", data.getvalue())) == pytest.approx(3)


def test_a_woff_font_is_unpacked():
    font = TTFont(shipped_fonts()[BOLD])
    font.flavor = "woff"
    data = io.BytesIO()
    font.save(data)
    assert words("Oar", data.getvalue()).equals_exact(words("Oar"), 1e-9)


def test_coloured_letters_count_as_missing():
    font = TTFont(io.BytesIO(block_font("HA")))
    font["COLR"] = buildCOLR({"g0041": [("g0048", 0)]}, version=0)
    font["CPAL"] = buildCPAL([[(1.0, 0.0, 0.0, 1.0)]])
    data = io.BytesIO()
    font.save(data)
    assert "'A'" in refusal("HA", data.getvalue())


def test_fonts_that_are_not_whole_get_one_sentence():
    whole = shipped_fonts()[BOLD].read_bytes()
    for share in (0.001, 0.01, 0.3, 0.6, 0.95):
        assert "damaged" in refusal("Oar", whole[: int(share * len(whole))])
    assert "not a font file" in refusal("Oar", b"")
    assert "not a font file" in refusal("Oar", b"\x89PNG\r\n\x1a\n" + bytes(100))
    assert "WOFF2" in refusal("Oar", b"wOF2" + bytes(100))


def test_flipped_bytes_in_a_font_never_end_in_a_traceback():
    whole = block_font("HAB")
    rng = np.random.default_rng(3)
    for _ in range(300):
        data = bytearray(whole)
        for place in rng.integers(0, len(data), 4):
            data[place] = rng.integers(0, 256)
        sentence = said_of(bytes(data))
        assert sentence is None or (WHERE in sentence and "\n" not in sentence)


def said_of(font):
    try:
        words("HAB", font)
    except AssetError as error:
        return str(error)
    return None
