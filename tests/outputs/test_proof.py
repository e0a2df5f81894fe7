"""The proof as a customer has it in hand: sizes that can be measured, text that can be read."""

import io

import numpy as np
import pypdf
import pytest
from pypdf.generic import ContentStream

from mockup.blank.wall import Wall
from mockup.errors import OutputError
from mockup.outputs.facts import SwatchFact
from mockup.outputs.proof import lay_out_proof
from mockup.outputs.proof_words import CARE, DIFFERENCES
from mockup.outputs.sheet import PAPER_MM
from mockup.units import MM_PER_INCH

MM = 72 / 25.4  # points in a millimetre
STRAIGHT = Wall("cylinder", (0.0, 185.0), (36.5, 36.5))
TALL = Wall("cylinder", (0.0, 205.0), (36.5, 36.5))
PAPERS = sorted(PAPER_MM)


def _read(pdf):
    return pypdf.PdfReader(io.BytesIO(pdf))


def _lines_and_pictures(page):
    """Straight lines ((x0, y0, x1, y1), mm) and placed pictures ((x, y, width, height), mm)."""
    lines, pictures, at, matrix = [], [], None, None
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        if operator == b"m":
            at = [float(n) for n in operands]
        elif operator == b"l":
            to = [float(n) for n in operands]
            lines.append([*at, *to])
            at = to
        elif operator == b"cm":
            matrix = [float(n) for n in operands]
        elif operator == b"Do":
            pictures.append([matrix[4], matrix[5], matrix[0], matrix[3]])
    return np.array(lines) / MM, np.array(pictures) / MM


def _ticks(lines, axis, edge):
    """Positions along `axis` of the ruler's ticks, which all start at `edge` across it."""
    along, across = lines[:, axis], lines[:, 1 - axis]
    square = np.isclose(along, lines[:, axis + 2], atol=0.01)
    return np.sort(along[square & np.isclose(across, edge, atol=0.02)])


def _edges(lines, box):
    """Where the four rulers start: just outside the picture."""
    x, y, width, height = box
    return {"foot": y - 0.8, "rim": y + height + 0.8, "left": x - 0.8, "right": x + width + 0.8}


@pytest.mark.parametrize("paper", PAPERS)
def test_the_flat_lies_at_true_size_between_its_rulers(make_facts, paper):
    """Measured in the PDF's own coordinates: picture and ticks right to 0.1 mm."""
    lines, pictures = _lines_and_pictures(_read(lay_out_proof(make_facts(), paper=paper)).pages[1])
    [box] = pictures

    assert box[2:] == pytest.approx([np.pi * 73.0, 185.0], abs=0.05)
    edges = _edges(lines, box)
    across_mm = _ticks(lines, 0, edges["foot"]) - box[0]
    assert across_mm == pytest.approx(np.arange(230), abs=0.05)
    upward_mm = _ticks(lines, 1, edges["left"]) - box[1]
    assert upward_mm == pytest.approx(np.arange(186), abs=0.05)
    across_in = (_ticks(lines, 0, edges["rim"]) - box[0]) / MM_PER_INCH
    assert across_in == pytest.approx(np.arange(73) / 8, abs=0.05 / MM_PER_INCH)
    upward_in = (_ticks(lines, 1, edges["right"]) - box[1]) / MM_PER_INCH
    assert upward_in == pytest.approx(np.arange(59) / 8, abs=0.05 / MM_PER_INCH)


def test_a_flat_too_large_for_the_paper_states_its_scale(make_facts):
    """Its rulers still show true lengths."""
    page = _read(lay_out_proof(make_facts(TALL), paper="a4")).pages[1]
    lines, [box] = _lines_and_pictures(page)

    assert "Drawn at 1:1.25" in _plain(page)
    assert box[2:] * 1.25 == pytest.approx([np.pi * 73.0, 205.0], abs=0.05)
    across_mm = (_ticks(lines, 0, _edges(lines, box)["foot"]) - box[0]) * 1.25
    assert across_mm == pytest.approx(np.arange(230), abs=0.05)


@pytest.mark.parametrize("paper", PAPERS)
def test_everything_drawn_stays_on_the_paper(make_facts, paper):
    """Lines, pictures and the beginnings of text keep the 4 mm that printers leave bare."""
    facts = make_facts(TALL, title="The Seaglass Eight of the Lower Harbour, stroke side, seat 7")
    for page in _read(lay_out_proof(facts, paper=paper)).pages:
        width, height = (float(side) / MM for side in page.mediabox[2:])
        lines, pictures = _lines_and_pictures(page)
        pictures = pictures.reshape(-1, 4)
        text = []
        page.extract_text(visitor_text=lambda t, _, tm, *__, into=text: into.append((t, tm[4:])))
        starts = np.array([at for words, at in text if words.strip()]) / MM
        corners = (lines[:, :2], lines[:, 2:], pictures[:, :2], pictures[:, :2] + pictures[:, 2:])
        points = np.concatenate([*corners, starts])
        assert points.min() >= 4
        assert (points <= [width - 4, height - 4]).all()


def test_the_same_facts_give_the_same_bytes(make_facts):
    assert lay_out_proof(make_facts(), paper="a4") == lay_out_proof(make_facts(), paper="a4")


@pytest.mark.parametrize("paper", PAPERS)
def test_pages_have_the_papers_size_and_turn_for_the_flat(make_facts, paper):
    pages = _read(lay_out_proof(make_facts(), paper=paper)).pages

    sizes = [tuple(float(side) / MM for side in page.mediabox[2:]) for page in pages]
    narrow, long = PAPER_MM[paper]
    assert np.array(sizes) == pytest.approx(
        np.array([(narrow, long), (long, narrow), (narrow, long)]), abs=0.01
    )


def test_text_is_text(make_facts):
    """A customer can search it, and a reader for the blind can read it."""
    findings = ("The letters are 5.6 mm high: legible at arm's length.",)
    facts = make_facts(findings=findings, cautions=("The rim is close to the lip.",))
    first, flat, last = (_plain(p) for p in _read(lay_out_proof(facts, paper="a4")).pages)

    for words in (facts.title, facts.palette, "3F9A 0C5E", "Front", "From right", "PLEASE NOTE"):
        assert words in first
    for words in ("229.3 × 185.0 mm", "True size", "seam", "front"):
        assert words in flat
    for words in (*findings, *facts.cautions, *CARE, *DIFFERENCES, facts.fingerprint):
        assert words in last
    for words in ("copper foil", "42.0 mm (1.65 in)", "Approved as shown", "Signature"):
        assert words in last


def test_every_font_travels_with_the_file(make_facts):
    fonts = {
        font["/BaseFont"]: font["/DescendantFonts"][0]["/FontDescriptor"]
        for page in _read(lay_out_proof(make_facts(), paper="a4")).pages
        for font in (f.get_object() for f in page["/Resources"]["/Font"].values())
    }

    assert len(fonts) == 3
    assert all("SourceSansPro" in name for name in fonts)
    assert all("/FontFile2" in descriptor for descriptor in fonts.values())


def test_a_long_proof_goes_on_over_more_pages(make_facts):
    """Nothing is lost: 30 materials and 40 findings are all there, the signature comes last."""
    swatches = tuple(
        SwatchFact(f"role {i}", f"material {i}", f"#{i:06x}", (i, i, i)) for i in range(30)
    )
    findings = tuple(f"Finding {i} of many, told in a sentence of its own." for i in range(40))
    pages = _read(
        lay_out_proof(make_facts(swatches=swatches, findings=findings), paper="letter")
    ).pages

    text = " ".join(_plain(page) for page in pages[2:])
    assert len(pages) > 4
    assert all(words in text for words in findings)
    assert all(swatch.material in text for swatch in swatches)
    assert "Signature" in _plain(pages[-1])


def test_letters_that_the_font_lacks_are_refused_by_name(make_facts):
    with pytest.raises(OutputError, match="font has no '漕'"):
        lay_out_proof(make_facts(title="漕艇"), paper="a4")


def test_a_proof_without_a_view_is_refused(make_facts):
    with pytest.raises(OutputError, match="no view"):
        make_facts(views=())


def _plain(page):
    """The page's text with its line breaks as spaces."""
    return " ".join(page.extract_text().split())
