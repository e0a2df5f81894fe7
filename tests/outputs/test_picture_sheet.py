"""Type and pictures as pixels, by the same verbs as a page of a PDF."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.outputs.picture_sheet import PictureSheet
from mockup.outputs.sheet import Type

PLAIN = Type("regular", 10, 5, (0, 0, 0))
SPACED = Type("regular", 10, 5, (0, 0, 0), spacing_pt=2)


def _sheet(width=100, height=60):
    return PictureSheet(width, height, px_per_mm=8)


def _ink(sheet):
    """Rows and columns, mm, from the first to the last that is not white."""
    there = (sheet.rgb8_srgb < 250).any(axis=-1)
    rows, columns = np.flatnonzero(there.any(axis=1)), np.flatnonzero(there.any(axis=0))
    return rows[[0, -1]] / 8, columns[[0, -1]] / 8


def test_a_picture_of_the_right_size_keeps_every_pixel():
    sheet = _sheet()
    picture = np.random.default_rng(1).integers(0, 256, (80, 40, 3), np.uint8)

    sheet.picture(picture, 10, 20, 5, 10)

    np.testing.assert_array_equal(sheet.rgb8_srgb[160:240, 80:120], picture)


def test_boxes_that_share_an_edge_leave_neither_gap_nor_overlap():
    """Seven chips over 45 mm, as under an option: every column has one of the colours."""
    sheet = _sheet()
    for i in range(7):
        sheet.box(10 + i * 45 / 7, 5, 45 / 7, 4, fill=(10 + i, 0, 0))

    row = sheet.rgb8_srgb[50, 80:440]
    assert row[:, 0].min() == 10
    assert row[:, 0].max() == 16
    assert (np.diff(row[:, 0].astype(int)) >= 0).all()
    assert (sheet.rgb8_srgb[50, 440] == 255).all()


@pytest.mark.parametrize(("align", "left"), [("left", 0.0), ("centre", 0.5), ("right", 1.0)])
def test_a_line_stands_on_its_baseline_where_it_is_told_to(align, left):
    """An H has no overhang: it stands on the baseline, and is 0.66 of the size high."""
    sheet = _sheet()
    sheet.line_of_text(50, 30, "HHHH", PLAIN, align)

    (top, foot), (first, last) = _ink(sheet)
    width = sheet.width_of("HHHH", PLAIN)
    assert foot == pytest.approx(30, abs=0.15)
    assert foot - top + 1 / 8 == pytest.approx(0.66 * 10 * 25.4 / 72, abs=0.13)
    assert first == pytest.approx(50 - left * width, abs=0.5)
    assert last == pytest.approx(50 + (1 - left) * width, abs=0.5)


def test_spaced_letters_stand_apart_by_so_many_points():
    sheet = _sheet()

    assert sheet.width_of("HH", SPACED) - sheet.width_of("HH", PLAIN) == pytest.approx(
        2 * 2 * 25.4 / 72
    )


words = st.lists(
    st.text(st.sampled_from("abcXYZ-é"), min_size=1, max_size=30), min_size=1, max_size=12
)


@given(words, st.floats(8, 60))
@settings(max_examples=60, deadline=None)
def test_a_paragraph_keeps_every_letter_and_its_width(parts, width):
    """Broken lines joined again are the text; none is wider than asked."""
    sheet = _sheet(1, 1)
    text = " ".join(parts)

    lines = sheet.lines_of(width, text, PLAIN)

    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(sheet.width_of(line, PLAIN) <= width for line in lines)
    assert sheet.height_of(width, text, PLAIN) == len(lines) * PLAIN.leading_mm
    assert sheet.paragraph(0, 3, width, text, PLAIN) == 3 + len(lines) * PLAIN.leading_mm


def test_words_are_kept_whole_where_a_line_holds_them():
    sheet = _sheet()

    assert sheet.lines_of(25, "sea glass navy", PLAIN) == ["sea glass navy"]
    assert sheet.lines_of(17, "sea glass navy", PLAIN) == ["sea glass", "navy"]
    assert sheet.lines_of(60, "one\ntwo", PLAIN) == ["one", "two"]
    assert sheet.lines_of(17, "sea 3\u00a0:\u00a01", PLAIN) == ["sea 3\u00a0:\u00a01"]


def test_letters_of_other_scripts_are_set_and_those_that_no_font_has_are_boxes():
    sheet = _sheet()
    sheet.line_of_text(5, 20, "Ω ש", PLAIN)
    assert (sheet.rgb8_srgb < 128).sum() > 60

    assert sheet.width_of("\U0001f6a3", PLAIN) == sheet.width_of("□", PLAIN)


def test_the_same_calls_give_the_same_pixels():
    sheets = [_sheet(), _sheet()]
    for sheet in sheets:
        sheet.paragraph(5, 5, 40, "Deep-water navy at the rim, sea-glass at the foot.", PLAIN)
        sheet.line([(5, 40), (90, 40)])

    np.testing.assert_array_equal(sheets[0].rgb8_srgb, sheets[1].rgb8_srgb)
