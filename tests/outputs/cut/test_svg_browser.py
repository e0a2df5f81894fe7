"""The SVGs open in a browser at true size: CSS fixes 96 px to the inch."""

import pytest

from mockup.outputs.cut.make import cut_files
from mockup.outputs.pieces import pieces
from tests.outputs.cut.cups import SHELF, STRAIGHT, TAPERED, built, decal, design_of, wrap

pytestmark = pytest.mark.browser

MM_PER_CSS_PX = 25.4 / 96


@pytest.fixture(scope="module")
def page(browser):
    page = browser.new_page()
    yield page
    page.close()


def sides_mm(page, svg, selector):
    """Width and height, mm, of an element's box without its stroke."""
    page.set_content(f"<body style='margin:0'>{svg.split('?>', 1)[1]}</body>")
    box = page.evaluate(
        "s => { const r = document.querySelector(s).getBoundingClientRect();"
        " return [r.width, r.height]; }",
        selector,
    )
    return tuple(side * MM_PER_CSS_PX for side in box)


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
def test_pieces_measure_in_the_browser_what_they_measure_on_the_cup(page, blank):
    """Within 0.1 mm."""
    design = design_of(
        wrap(fit="tile", width_mm=40.0, from_mm=30.0, to_mm=120.0),
        decal(text="Seat 7", letter_height_mm=15.0),
        blank=blank,
    )
    sheet, word = pieces(design, built(blank))
    files = cut_files(design, built(blank), SHELF).files
    for piece, name in ((sheet, "template-1-assets-wave-svg.svg"), (word, "foil-copper.svg")):
        measured = sides_mm(page, files[name].decode(), f"#piece-{piece.order + 1}")
        west, south, east, north = piece.outline.bounds
        assert sorted(measured) == pytest.approx(sorted((east - west, north - south)), abs=0.1)


def test_the_drawing_opens_as_large_as_it_says(page):
    svg = cut_files(design_of(decal()), built(STRAIGHT), SHELF).files["foil-copper.svg"].decode()
    stated = [float(part) for part in svg.split('viewBox="0 0 ')[1].split('"')[0].split()]

    assert sides_mm(page, svg, "svg") == pytest.approx(stated, abs=0.1)
