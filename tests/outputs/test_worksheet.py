"""The work sheet as it lies on the bench: every step with time, amounts, boxes and cautions."""

import io
import re
from dataclasses import replace
from datetime import datetime

import numpy as np
import pypdf
import pytest
from pypdf.generic import ContentStream

from mockup.blank.wall import build_blank
from mockup.outputs.plan.amounts import amounts
from mockup.outputs.plan.bookings import moment_text
from mockup.outputs.plan.cautions import STEP_CAUTIONS
from mockup.outputs.plan.days import batches, schedule
from mockup.outputs.plan.needs import needs
from mockup.outputs.sheet import PAPER_MM
from mockup.outputs.worksheet import lay_out_worksheet
from mockup.outputs.worksheet_facts import worksheet_facts
from mockup.outputs.worksheet_words import AT_THE_BENCH, DEFER
from tests.outputs.plan.orders import BASE, COAT, design_of, glitter, typical

WRAP = {"kind": "wrap", "artwork": "assets/square.svg", "sheet": "paper"}
DECAL = {
    "kind": "decal",
    "swatch": "foil",
    "text": "SEAT 7",
    "letter_height_mm": 12,
    "place": {"height_mm": 80},
    "backing": [{"swatch": "mark", "outset_mm": 2}],
}
STACK = [BASE, WRAP, glitter({"shape": "scatter", "coverage": 0.4}), COAT, DECAL]
STACK += [COAT | {"thickness_mm": 1.4}, COAT | {"thickness_mm": 0.03}]
DESIGN = design_of(STACK)
PICTURE = np.broadcast_to(np.linspace(40, 200, 80, dtype=np.uint8)[:, None, None], (80, 60, 3))


@pytest.fixture(scope="module")
def facts():
    """Facts of a sheet for so many cups, made once for each number."""
    made = {}

    def of(cups):
        if cups not in made:
            shelf = typical()
            blank = build_blank(DESIGN.document.blank, where="blank")
            days = schedule(batches(DESIGN, shelf, cups=cups), shelf, start=datetime(2026, 6, 1))
            made[cups] = worksheet_facts(DESIGN, blank, shelf, days, PICTURE.copy())
        return made[cups]

    return of


def _pages(pdf):
    return [_plain(page.extract_text()) for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def _plain(text):
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("paper", sorted(PAPER_MM))
def test_every_step_is_there_in_order_with_its_time(facts, paper):
    """Of the second batch too, and the sanding that the plan put in."""
    sheet = facts(6)
    text = " ".join(_pages(lay_out_worksheet(sheet, paper=paper)))

    at = 0
    for index in range(len(sheet.days.batches)):
        for booking in (b for b in sheet.days.bookings if b.batch == index):
            at = text.find(_plain(booking.step.title), at)
            assert at >= 0, booking.step.title
            moment = booking.next_from if booking.step.kind == "cure" else booking.starts
            assert moment_text(moment) in text[at : at + 120]
    assert "Sand wet and wash" in text


def test_every_step_shows_its_cautions(facts):
    """In few words at the step, in whole sentences at the end, deferring on every page."""
    sheet = facts(1)
    pages = _pages(lay_out_worksheet(sheet))
    text = " ".join(pages)

    kinds = {b.step.kind for b in sheet.days.bookings}
    assert kinds == set(AT_THE_BENCH)  # this stack has a step of every kind
    for kind in kinds:
        assert _plain(" · ".join(AT_THE_BENCH[kind])) in text
        assert all(_plain(sentence) in text for sentence in STEP_CAUTIONS.get(kind, ()))
    assert all(DEFER in page for page in pages)


def test_whole_sentences_begin_where_the_last_step_leaves_room(facts):
    """On A4 this stack's last step ends high on its page."""
    sheet = facts(1)

    pages = _pages(lay_out_worksheet(sheet))

    (last,) = (page for page in pages if sheet.days.bookings[-1].step.title in page)
    assert "CAUTIONS, IN FULL" in last
    assert _plain(sheet.cautions[1]) in last


@pytest.mark.parametrize(
    ("kinds", "words"),
    [
        ("coat paint varnish", "respirator"),
        ("coat paint varnish seal wrap prepare", "no open flame near solvent or aerosol"),
        ("coat paint varnish seal glitter prepare", "gloves"),
        ("sand prepare", "wet or with extraction"),
        ("sand prepare edges glitter", "dust mask"),
        ("mask wrap decal edges", "blades"),
        ("decal edges", "hot tools"),
        ("coat", "heats up"),
        ("mask edges cure", "approved for food contact"),
        ("cure", "not to be used before it has cured"),
    ],
)
def test_what_can_hurt_is_told_where_it_can(kinds, words):
    for kind in kinds.split():
        assert words in " · ".join(AT_THE_BENCH[kind]).lower(), kind


@pytest.mark.parametrize("cups", [1, 6])
def test_a_box_to_tick_for_each_step_and_cup(facts, cups):
    """Boxes are drawn twice, 0.3 mm apart, for a line that can be seen: count the outer ones."""
    sheet = facts(cups)
    reader = pypdf.PdfReader(io.BytesIO(lay_out_worksheet(sheet)))
    side = 9 * 72 / 25.4
    boxes = 0
    for page in reader.pages:
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            if operator == b"re":
                width, height = abs(float(operands[2])), abs(float(operands[3]))
                boxes += abs(width - side) < 0.1 and abs(height - side) < 0.1

    wanted = sum(sheet.days.batches[b.batch].cups for b in sheet.days.bookings)
    assert boxes == wanted


@pytest.mark.parametrize("cups", [1, 3, 6])
def test_the_steps_take_together_what_the_order_takes(cups, facts):
    """Every material of the amounts is handed out to steps of all batches, and all of it."""
    shelf = typical()
    needed = needs(DESIGN, build_blank(DESIGN.document.blank, where="blank"), shelf)
    found, _ = amounts(needed, shelf, cups)

    handed, sheet = {}, facts(cups)
    for batch, taken in zip(sheet.days.batches, sheet.amounts, strict=True):
        for step, lines in zip(batch.steps, taken, strict=True):
            for line in lines:
                name = step.product if step.kind == "coat" else line.label
                times = re.search(r"mixed (\d+) times", line.label)
                much = line.amount * (int(times[1]) if times else 1)
                handed[name] = handed.get(name, 0) + much
    wanted = {}
    for amount in found:
        wanted[amount.material] = wanted.get(amount.material, 0) + amount.amount
    assert handed == pytest.approx(wanted, rel=1e-4)


def test_the_sheet_names_its_revision_and_that_it_is_not_approved(facts):
    sheet = facts(1)
    first, *others = _pages(lay_out_worksheet(sheet))

    assert sheet.revision.title in first
    assert sheet.revision.fingerprint in first
    assert first.count("NOT APPROVED") == 2  # in its box, and at the foot as on every page
    for page in others:
        assert f"{sheet.revision.short} · NOT APPROVED" in page


def test_an_approval_stands_on_every_page(facts):
    """As the order book words it."""
    sheet = facts(1)
    approved = replace(sheet.revision, standing="approved, revision 4, 2026-06-01")

    for page in _pages(lay_out_worksheet(replace(sheet, revision=approved))):
        assert "APPROVED, REVISION 4, 2026-06-01" in page
        assert "NOT APPROVED" not in page


def test_the_same_facts_give_the_same_bytes(facts):
    assert lay_out_worksheet(facts(1)) == lay_out_worksheet(facts(1))


def test_nothing_is_smaller_than_a_wet_hand_can_read(facts):
    """10 pt at the least, in the PDF's own figures."""
    reader = pypdf.PdfReader(io.BytesIO(lay_out_worksheet(facts(6))))
    sizes = {
        float(operands[1])
        for page in reader.pages
        for operands, operator in ContentStream(page.get_contents(), reader).operations
        if operator == b"Tf"
    }

    assert min(sizes) >= 10
    assert max(sizes) >= 24
