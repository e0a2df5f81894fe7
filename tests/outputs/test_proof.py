"""The proof as a customer has it in hand: sizes that can be measured, text that can be read."""

import io
import re

import numpy as np
import pypdf
import pytest
from pypdf.generic import ContentStream

from mockup.blank.wall import Wall
from mockup.outputs.facts import Elevation, Quote, SwatchFact
from mockup.outputs.proof import lay_out_proof
from mockup.outputs.proof_scale import CAN_HEIGHT_MM, CAN_WIDTH_MM, can_outline_mm
from mockup.outputs.proof_words import CARE
from mockup.outputs.sheet import PAPER_MM
from mockup.units import MM_PER_INCH

MM = 72 / 25.4  # points in a millimetre
STRAIGHT = Wall("cylinder", (0.0, 185.0), (36.5, 36.5))
TALL = Wall("cylinder", (0.0, 205.0), (36.5, 36.5))
PAPERS = sorted(PAPER_MM)


def laid(facts, *, paper):
    return lay_out_proof(facts, paper=paper).pdf


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
        elif operator == b"c":
            at = [float(n) for n in operands[4:]]
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
    lines, pictures = _lines_and_pictures(_read(laid(make_facts(), paper=paper)).pages[1])
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
    page = _read(laid(make_facts(TALL), paper="a4")).pages[1]
    lines, [box] = _lines_and_pictures(page)

    assert "Drawn at 1:1.25" in _plain(page)
    assert box[2:] * 1.25 == pytest.approx([np.pi * 73.0, 205.0], abs=0.05)
    across_mm = (_ticks(lines, 0, _edges(lines, box)["foot"]) - box[0]) * 1.25
    assert across_mm == pytest.approx(np.arange(230), abs=0.05)


@pytest.mark.parametrize("paper", PAPERS)
def test_everything_drawn_stays_on_the_paper(make_facts, paper):
    """Lines, pictures and the beginnings of text keep the 4 mm that printers leave bare."""
    facts = make_facts(TALL, title="The Seaglass Eight of the Lower Harbour, stroke side, seat 7")
    for page in _read(laid(facts, paper=paper)).pages:
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
    assert laid(make_facts(), paper="a4") == laid(make_facts(), paper="a4")


@pytest.mark.parametrize("paper", PAPERS)
def test_pages_have_the_papers_size_and_turn_for_the_flat(make_facts, paper):
    pages = _read(laid(make_facts(), paper=paper)).pages

    sizes = [tuple(float(side) / MM for side in page.mediabox[2:]) for page in pages]
    narrow, long = PAPER_MM[paper]
    upright = (narrow, long)
    assert np.array(sizes) == pytest.approx(
        np.array([upright, (long, narrow), upright, upright]), abs=0.01
    )


@pytest.mark.parametrize("paper", PAPERS)
def test_a_line_of_50_mm_is_50_mm(make_facts, paper):
    lines, _ = _lines_and_pictures(_read(laid(make_facts(), paper=paper)).pages[1])

    upright = lines[np.isclose(lines[:, 0], lines[:, 2], atol=0.001)]
    lengths = np.abs(upright[:, 3] - upright[:, 1])
    assert np.isclose(lengths, 50.0, atol=0.01).sum() == 1


def test_the_can_is_as_large_as_it_says():
    outline = can_outline_mm()

    assert np.ptp(outline, axis=0) == pytest.approx([CAN_WIDTH_MM, CAN_HEIGHT_MM])
    assert (outline[0] == outline[-1]).all()


@pytest.mark.parametrize(
    ("elevation", "scale"),
    [((76.0, 199.0, 73.0), 2.0), ((36.0, 60.0, 34.0), 1.5), ((130.0, 320.0, 124.0), 4.0)],
)
@pytest.mark.parametrize("paper", PAPERS)
def test_cup_and_can_stand_at_one_scale(make_facts, paper, elevation, scale):
    """Picture, can and measures in the PDF's own coordinates, right to 0.1 mm on paper."""
    wide, tall, across = elevation
    facts = make_facts(elevation=Elevation(np.full((90, 40, 3), 99, np.uint8), *elevation))
    page = _read(laid(facts, paper=paper)).pages[2]
    lines, [box] = _lines_and_pictures(page)

    stated = float(_plain(page).split("drawn at 1:")[1].split()[0].rstrip("."))
    assert stated <= scale
    assert box[2:] * stated == pytest.approx([wide, tall], abs=0.1)
    ground = box[1]
    can = lines[(lines[:, [1, 3]] >= ground - 0.01).all(1) & (lines[:, 0] > box[0] + box[2])]
    slanting = can[~np.isclose(can[:, 0], can[:, 2], atol=0.01)]
    steep = slanting[~np.isclose(slanting[:, 1], slanting[:, 3], atol=0.01)]
    assert np.ptp(steep[:, [0, 2]]) * stated == pytest.approx(CAN_WIDTH_MM, abs=0.1)
    measures = _lengths(lines) * stated
    for true_mm in (tall, across, CAN_HEIGHT_MM, CAN_WIDTH_MM):
        assert np.isclose(measures, true_mm, atol=0.1).any(), true_mm


def _lengths(lines):
    """Of all level and upright lines, mm on paper."""
    return np.abs(lines[:, 2:] - lines[:, :2]).max(1)


def test_text_is_text(make_facts):
    """A customer can search it, and a reader for the blind can read it."""
    findings = ("The letters are 5.6 mm high: legible at arm's length.",)
    quote = Quote((("Each", "58.00 EUR"), ("8 cups together", "464.00 EUR")), "No tax is added.")
    facts = make_facts(
        findings=findings,
        cautions=("The rim is close to the lip.",),
        quote=quote,
        revision="revision 3",
    )
    first, flat, third, last = (_plain(p) for p in _read(laid(facts, paper="a4")).pages)

    for words in (facts.title, facts.palette, "Revision 3 · 3F9A 0C5E", "Front", "PLEASE NOTE"):
        assert words in first
    assert "1 point to know: see “Before you sign”." in first
    assert "Before you sign" in last
    for words in ("The lettering, close up", "464.00 EUR", "copper foil"):
        assert words in first
    for words in ("229.3 × 185.0 mm", "True size", "seam", "front"):
        assert words in flat
    for words in ("copper foil", "Foil, bright", "#D88C68 · copper", "From: n and k"):
        assert words in third
    for words in ("42.0 mm (1.65 in)", "a plain drink can", "Ø 66.0 mm"):
        assert words in third
    for words in (*findings, *facts.cautions, *CARE, *facts.differences, facts.fingerprint):
        assert words in last
    for words in (facts.note, "Studio light.", "58.00 EUR", "Approved as shown", "Signature"):
        assert words in last


def test_every_font_travels_with_the_file(make_facts):
    fonts = {
        font["/BaseFont"]: font["/DescendantFonts"][0]["/FontDescriptor"]
        for page in _read(laid(make_facts(), paper="a4")).pages
        for font in (f.get_object() for f in page["/Resources"]["/Font"].values())
    }

    assert len(fonts) == 3
    assert all("SourceSansPro" in name for name in fonts)
    assert all("/FontFile2" in descriptor for descriptor in fonts.values())


def test_a_long_proof_goes_on_over_more_pages(make_facts):
    """Nothing is lost: 30 materials and 40 findings are all there, the signature comes last."""
    swatches = tuple(
        SwatchFact(f"role {i}", f"material {i}", "Paint", "paint", "me", (i, i, i))
        for i in range(30)
    )
    findings = tuple(f"Finding {i} of many, told in a sentence of its own." for i in range(40))
    pages = _read(laid(make_facts(swatches=swatches, findings=findings), paper="letter")).pages

    text = " ".join(_plain(page) for page in pages[2:])
    assert len(pages) > 5
    assert all(words in text for words in findings)
    assert all(swatch.material in text for swatch in swatches)
    assert "Signature" in _plain(pages[-1])


def test_a_long_note_is_there_word_for_word(make_facts):
    """10,000 letters, with signs that mean something elsewhere, over as many pages as it takes."""
    wish = 'A <script>alert(1)</script> "wish" & more; '
    note = (wish * 250)[:10_000]
    pages = _read(laid(make_facts(note=note), paper="a4")).pages

    text = " ".join(_plain(page) for page in pages[3:])
    for head_or_foot in ("PROOF FOR YOUR APPROVAL", "Before you sign", "3F9A 0C5E"):
        text = text.replace(head_or_foot, "")
    text = re.sub(r"Seaglass Eight, seat 7 Page \d+", "", text)
    assert " ".join(note.split()) in " ".join(text.split())


@pytest.mark.parametrize("paper", PAPERS)
def test_letters_that_no_font_has_are_boxes_and_told(make_facts, paper):
    sheet = lay_out_proof(make_facts(title="漕艇 Seaglass"), paper=paper)

    first, *_, last = (_plain(page) for page in _read(sheet.pdf).pages)
    assert sheet.missing_letters == ("漕", "艇")
    assert "□□ Seaglass" in first
    assert "U+6F15" in last


@pytest.mark.parametrize(
    "title", ["W" * 80, "Ruderinnen der Überfahrt " * 3, "שלום " * 16, "🚣‍♀️" * 20]
)
@pytest.mark.parametrize("paper", PAPERS)
def test_no_title_pushes_anything_off_the_page(make_facts, paper, title):
    page = _read(laid(make_facts(title=title[:80]), paper=paper)).pages[0]
    _, pictures = _lines_and_pictures(page)

    assert len(pictures) == 6
    assert pictures[:, 1].min() > 20
    assert (pictures[:, :2] + pictures[:, 2:])[:, 1].max() < float(page.mediabox[3]) / MM - 25
    assert pictures[:, 2:].min() > 30


def _plain(page):
    """The page's text with its line breaks as spaces."""
    return " ".join(page.extract_text().split())
