"""The options sheet: every cup pixel for pixel, every figure in words, on both papers."""

import io

import numpy as np
import pytest
from pypdf import PdfReader

from mockup.errors import OutputError
from mockup.outputs.options import draw_options, lay_out_options
from mockup.outputs.options_facts import Cell, OptionColumn, OptionsFacts
from mockup.outputs.options_told import options_in_words

ROWS = ("CONTRAST", "MATERIALS")


def _column(nth, **changes):
    picture = np.random.default_rng(nth).integers(0, 256, (400, 200, 3), np.uint8)
    column = {
        "name": f"palette-{nth}",
        "note": "Deep-water navy at the rim, sea-glass at the foot.",
        "picture": picture,
        "chips": ((13, 35, 72), (180, 230, 208), (216, 140, 104)),
        "cells": (
            Cell(f"{nth}.5 : 1", "enough", False, "Crew name, where it is weakest"),
            Cell("18.21 EUR", detail="of materials for one cup"),
        ),
    }
    return OptionColumn(**(column | changes))


def _facts(count, **changes):
    columns = tuple(_column(nth) for nth in range(1, count + 1))
    facts = {
        "title": "Seaglass Eight, seat 7",
        "shown": "softbox light",
        "rows": ROWS,
        "columns": columns,
        "notes": ("Screens differ.",),
    }
    return OptionsFacts(**(facts | changes))


def _places(sheet, picture):
    """Upper left corners at which the picture lies in the sheet, pixel for pixel."""
    first = (sheet == picture[0, 0]).all(axis=-1)
    rows, columns = picture.shape[:2]
    return [
        (int(row), int(column))
        for row, column in zip(*np.nonzero(first), strict=True)
        if np.array_equal(sheet[row : row + rows, column : column + columns], picture)
    ]


@pytest.mark.parametrize(("count", "abreast"), [(1, 1), (2, 2), (6, 6), (7, 4), (13, 5)])
def test_every_cup_is_there_once_pixel_for_pixel_and_in_its_order(count, abreast):
    facts = _facts(count)

    sheet = draw_options(facts)

    places = [_places(sheet, column.picture) for column in facts.columns]
    assert all(len(found) == 1 for found in places)
    order = [found[0] for found in places]
    assert order == sorted(order)
    assert len({row for row, _ in order}) == -(-count // 6)
    assert max(sum(r == row for r, _ in order) for row, _ in order) == abreast


def test_pictures_and_text_keep_a_margin():
    sheet = draw_options(_facts(6))

    for edge in (sheet[:32], sheet[-32:], sheet[:, :80], sheet[:, -80:]):
        assert (edge == 255).all()


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(("count", "pages"), [(1, 1), (2, 1), (3, 1), (4, 2), (6, 2), (16, 6)])
def test_pages_hold_up_to_three_with_all_their_words(count, pages, paper):
    facts = _facts(count)

    found = PdfReader(io.BytesIO(lay_out_options(facts, paper=paper))).pages

    assert len(found) == pages
    text = "\n".join(page.extract_text() for page in found)
    for column in facts.columns:
        assert f"{column.name}\n" in text
        assert column.cells[0].figure in text
    assert sum(len(page.images) for page in found) == count
    assert text.count("Seaglass Eight, seat 7") == pages


def test_a_long_title_keeps_above_the_pictures():
    """Over one option it takes more lines; on the sheet nothing lies over the picture."""
    short, long = _facts(1), _facts(1, title="Seaglass Eight, seat 7, for the regatta " * 2)

    places = [_places(draw_options(facts), facts.columns[0].picture)[0] for facts in (short, long)]

    assert places[1][0] > places[0][0] + 50


def test_long_words_make_a_row_higher_and_leave_the_picture_its_room():
    """A cell with much to say pushes what is below down; on a page the pictures get smaller."""
    much = Cell("2", "to look at", True, "Lay a backing of 1.2 mm under the crew name. " * 6)
    column = _column(1, cells=(much, Cell("18.21 EUR")))
    long, short = _facts(1, columns=(column,)), _facts(1)

    assert draw_options(long).shape[0] > draw_options(short).shape[0] + 100
    (page,) = PdfReader(io.BytesIO(lay_out_options(long, paper="letter"))).pages
    assert "under the crew name" in page.extract_text()


def test_the_same_facts_give_the_same_bytes():
    facts = _facts(4)

    assert draw_options(facts).tobytes() == draw_options(_facts(4)).tobytes()
    assert lay_out_options(facts, paper="a4") == lay_out_options(_facts(4), paper="a4")


def test_the_palette_in_use_is_marked_on_the_sheet_and_on_the_screen():
    marked = _facts(2, columns=(_column(1, in_use=True), _column(2)))

    (page,) = PdfReader(io.BytesIO(lay_out_options(marked, paper="a4"))).pages
    assert page.extract_text().count("in use") == 1
    assert options_in_words(marked).splitlines() == [
        "               contrast         materials",
        " 1* palette-1  1.5 : 1  enough  18.21 EUR",
        " 2  palette-2  2.5 : 1  enough  18.21 EUR",
    ]


def test_nothing_to_show_is_told():
    with pytest.raises(OutputError, match="there is no palette to show"):
        _facts(0)
