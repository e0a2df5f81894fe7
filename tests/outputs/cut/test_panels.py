"""A wrap larger than the maker's sheets goes round in panels that meet; the maker is told."""

import io
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from mockup.outputs.cut.make import PDF_NAME, cut_files
from mockup.outputs.cut.nest import EDGE_MM, SheetSize, fits
from mockup.outputs.cut.panels import WrapCut, panels
from mockup.outputs.pieces import pieces
from tests.outputs.cut.cups import SHELF, STRAIGHT, TAPERED, built, decal, design_of, wrap

WHOLE = wrap(fit="tile", width_mm=40.0, overlap_mm=3.0)


def cut_of(blank, **keys):
    design = design_of(WHOLE | keys, blank=blank)
    (piece,) = pieces(design, built(blank))
    return WrapCut.of(piece, design.document.layers[1], built(blank))


def film_of(width_mm, length_mm):
    """The typical shelf with film of another size."""
    sizes = {"sheet_width_mm": width_mm, "sheet_height_mm": length_mm}
    products = tuple(
        p.model_copy(update=sizes) if p.kind == "wrap_sheet" and p.sheet == "film" else p
        for p in SHELF.products
    )
    return SHELF.model_copy(update={"products": products})


def test_a_wrap_that_fits_one_way_or_the_other_is_in_one():
    """232.3 × 154 mm: on a sheet of 216 × 279 mm only sideways."""
    cut, letter = cut_of(STRAIGHT), SheetSize(216.0, 279.0)

    assert len(panels(cut, built(STRAIGHT), SheetSize(305.0, 305.0))) == 1
    assert len(panels(cut, built(STRAIGHT), letter)) == 1
    assert len(panels(cut, built(STRAIGHT), letter, turning=False)) == 2


@given(
    st.sampled_from([STRAIGHT, TAPERED]),
    st.floats(60, 300),
    st.floats(165, 400),
    st.booleans(),
    st.floats(0, 8),
)
@settings(max_examples=60, deadline=None)
def test_panels_fit_their_sheets_and_go_once_round(blank, width, length, turning, overlap):
    """End to end from seam to seam, the first about the front; each with its own lap."""
    size, cut = SheetSize(width, length), cut_of(blank, overlap_mm=overlap)
    found = panels(cut, built(blank), size, turning=turning)

    turns = sum(panel.last_rad - panel.first_rad for panel in found)
    assert turns == pytest.approx(2 * np.pi)
    for panel, following in pairwise(found):
        assert following.first_rad == pytest.approx(panel.last_rad)
    assert found[0].middle_rad == pytest.approx(0.0, abs=1e-12)
    assume(len(found) > 1)
    for panel in found:
        assert fits(cut.size_mm(built(blank), panel), size, turning=turning)
    assert not fits(
        cut.size_mm(built(blank), type(found[0])("", -np.pi, np.pi)), size, turning=turning
    )


def test_together_they_are_the_wrap_and_its_laps():
    """Straight: (2πR + a lap for each) × (wall and trims)."""
    cut = cut_of(STRAIGHT)
    found = panels(cut, built(STRAIGHT), SheetSize(120.0, 170.0), turning=False)

    whole = sum(cut.outline(built(STRAIGHT), panel).area for panel in found)
    assert len(found) == 3
    assert whole == pytest.approx((np.pi * 73 + 3 * 3.0) * 154.0, rel=1e-6)


def test_panels_have_a_template_each_and_the_maker_is_told_of_the_seams():
    """170 × 180 mm of film, lying: 167 mm are the first panel, whose ends are the seams."""
    design = design_of(WHOLE | {"sheet": "film"})
    made = cut_files(design, built(STRAIGHT), film_of(170.0, 180.0))
    (finding,) = [f for f in made.findings if f.rule == "more than one seam"]

    names = [name for name in made.files if name.startswith("template")]
    assert names == [
        "template-1-assets-wave-svg-panel-a.svg",
        "template-1-assets-wave-svg-panel-b.svg",
    ]
    half_deg = (180.0 - 2 * EDGE_MM - 3.0) / (np.pi * 73) * 180
    assert f"+{half_deg:.1f}° and −{half_deg:.1f}°" in finding.advice
    assert "the next panel&apos;s edge" in made.files[names[0]].decode().replace("'", "&apos;")
    assert '"piece-1a"' in made.files[names[0]].decode()
    assert ">front<" in made.files[names[0]].decode()
    assert ">front<" not in made.files[names[1]].decode()


def test_what_no_sheet_holds_is_told():
    """A decal cannot be cut in panels: it gets a sheet of its own size, and a finding."""
    made = cut_files(
        design_of(decal(svg="assets/disc.svg", width_mm=90.0)),
        built(STRAIGHT),
        SHELF,
        sheet_size=SheetSize(80.0, 80.0),
    )
    (finding,) = [f for f in made.findings if f.rule == "larger than the sheet"]

    assert finding.limit == 80.0
    assert finding.measured == pytest.approx(98.0, abs=10.0)
    assert "more than a sheet 80 × 80 mm holds" in finding.advice
    assert not cut_files(
        design_of(decal(svg="assets/disc.svg", width_mm=60.0)), built(STRAIGHT), SHELF
    ).findings


def test_words_of_a_tile_lie_where_they_lie_on_its_neighbour():
    """Moved by a tile less the overlap of 12 mm, off the page's left edge if need be."""
    design = design_of(WHOLE, blank=TAPERED)
    made = cut_files(design, built(TAPERED), SHELF)
    pages = PdfReader(io.BytesIO(made.files[PDF_NAME])).pages
    found = []
    for page in pages[1:3]:
        at = []

        def note(text, matrix, text_matrix, font, size, at=at):
            if "face up" in text and text.strip().startswith("1 "):
                at.append((text_matrix[4] + matrix[4]) / 72 * 25.4)

        page.extract_text(visitor_text=note)
        found.append(at[0])

    assert found[1] - found[0] == pytest.approx(-(210 - 2 * 9 - 12), abs=0.1)
