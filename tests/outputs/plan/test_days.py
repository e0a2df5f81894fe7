"""The days of an order, held to the shelf's own figures cup by cup, and to the calendar."""

import math
from datetime import datetime, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.design.products import Drying
from mockup.errors import DesignError
from mockup.outputs.plan.days import batches, days_as_json, schedule
from mockup.outputs.plan.labour import bench_work
from tests.outputs.plan.orders import BASE, COAT, changed, design_of, glitter, typical

START = datetime(2026, 6, 1, 9)  # a Monday
WRAP = {"kind": "wrap", "artwork": "assets/square.svg"}
DECAL = {
    "kind": "decal",
    "swatch": "foil",
    "text": "SEAT 7",
    "letter_height_mm": 12,
    "place": {"height_mm": 80},
}
GLITTER = glitter({"shape": "scatter", "coverage": 0.4})
STACK = [BASE, WRAP | {"sheet": "paper"}, GLITTER, COAT, DECAL, COAT | {"thickness_mm": 0.9}]
WET = ("paint", "wrap", "seal", "glitter", "coat", "varnish")
MADE_WITH = {"wrap": "adhesive", "glitter": "adhesive", "seal": "sealer", "coat": "epoxy"}
MINUTE = timedelta(minutes=1)


@st.composite
def dryings(draw):
    """Any drying of a film, with a window or without."""
    touch = draw(st.floats(0.1, 6))
    recoat = touch + draw(st.floats(0, 6))
    until = draw(st.none() | st.floats(3.5, 20).map(lambda h: recoat + h))
    cure = recoat + draw(st.floats(0, 100))
    return {
        "touch_dry_h": touch,
        "recoat_from_h": recoat,
        "recoat_until_h": until,
        "sand_from_h": draw(st.floats(touch, cure)),
        "cure_h": cure,
        "slowing_c": draw(st.floats(4, 10)),
    }


@st.composite
def shelves(draw):
    """The typical shelf with other drying, hours, days, rack and room."""
    kinds = ("paint", "adhesive", "sealer", "epoxy", "varnish")
    drying = {kind: {"drying": draw(dryings())} for kind in kinds}
    for kind in ("adhesive", "sealer"):  # these cannot be sanded; their windows may never open
        drying[kind]["drying"]["recoat_until_h"] = None
    opens = draw(st.floats(0, 15))
    return changed(
        typical(**drying),
        "workshop",
        opens_h=opens,
        closes_h=opens + draw(st.floats(4, 24 - opens)),
        weekdays=tuple(
            sorted(draw(st.sets(st.sampled_from(["mon", "tue", "thu", "sat"]), min_size=1)))
        ),
        rack_cups=draw(st.integers(1, 4)),
        room_c=draw(st.floats(15, 30)),
    )


thick_mm = st.floats(0.05, 1.4).map(lambda t: round(t, 3))
layers = st.one_of(
    st.just(BASE),
    st.sampled_from(["paper", "film"]).map(lambda sheet: WRAP | {"sheet": sheet}),
    st.just(GLITTER),
    st.just(DECAL),
    thick_mm.map(lambda t: COAT | {"thickness_mm": t}),
)


@settings(deadline=None, max_examples=40)
@given(st.lists(layers, min_size=1, max_size=6), shelves(), st.integers(1, 7), st.integers(0, 9999))
def test_no_coat_is_early_or_late_and_nobody_works_at_night(stack, shelf, cups, late_min):
    """Every single cup by the data sheets' hours at the room's temperature."""
    start = START + late_min * MINUTE
    days = schedule(batches(design_of(stack), shelf, cups=cups), shelf, start=start)

    at_bench = [b for b in days.bookings if b.step.kind != "cure"]
    assert at_bench[0].starts >= start
    assert all(a.ends <= b.starts for a, b in pairwise(at_bench))
    for b in at_bench:
        assert _is_open(shelf.workshop, b.starts, b.ends)
    for index, batch in enumerate(days.batches):
        own = [b for b in at_bench if b.batch == index]
        _check_layers(own, batch.cups, shelf)
        assert days.ready_of[index] == own[-1].ends
    _check_rack(days, shelf)


def _is_open(shop, starts, ends):
    midnight = datetime.combine(starts.date(), time())
    return (
        f"{starts:%a}".lower() in shop.weekdays
        and starts >= midnight + timedelta(hours=shop.opens_h) - timedelta(seconds=1)
        and ends <= midnight + timedelta(hours=shop.closes_h) + timedelta(seconds=1)
    )


def _drying(shelf, booking):
    kind = MADE_WITH.get(booking.step.kind, booking.step.kind)
    (product,) = (p for p in shelf.products if p.kind == kind)
    return product.drying


def _hours(drying, hours, shelf):
    """The law of the shelf, written once more: half again as long for each so much colder."""
    colder = drying.reference_c - shelf.workshop.room_c
    return timedelta(hours=hours * math.exp(math.log(1.5) * colder / drying.slowing_c))


def _check_layers(own, cups, shelf):
    films = [(i, b) for i, b in enumerate(own) if b.step.kind in WET]
    for i, booking in films:
        drying: Drying = _drying(shelf, booking)
        after = own[i + 1]
        for cup in range(cups):
            laid = _at(booking, cup + 1, shelf)  # when this cup's film has been laid
            gap = _at(after, cup, shelf) - laid
            slack = timedelta(seconds=60)
            wanted = drying.recoat_from_h
            if after.step.kind in ("sand", "edges"):
                wanted = max(wanted, drying.sand_from_h)
            assert gap >= _hours(drying, wanted, shelf) - slack
            if after.step.kind in WET and drying.recoat_until_h is not None:
                assert gap <= _hours(drying, drying.recoat_until_h, shelf) + slack
            assert own[-1].starts - laid >= _hours(drying, drying.cure_h, shelf) - slack


def _at(booking, cup, shelf):
    """The moment at which hands have done `cup` cups of a step; a sanding put in is done whole."""
    each = getattr(shelf.handling, booking.step.kind)
    if booking.step.title.startswith("Sand wet"):
        return booking.starts
    return booking.starts + (each.setup_min + cup * each.cup_min) * MINUTE


def _check_rack(days, shelf):
    """Cups stand on the rack from the first touch of a wet film until it is touch dry."""
    there = []
    for b in days.bookings:
        if b.step.kind in WET:
            drying = _drying(shelf, b)
            dry = b.ends + _hours(drying, drying.touch_dry_h, shelf)
            there.append((b.starts, dry, b.batch))
    for moment, _, _ in there:
        on_it = {batch for begins, dry, batch in there if begins <= moment < dry}
        assert sum(days.batches[batch].cups for batch in on_it) <= shelf.workshop.rack_cups


@pytest.mark.parametrize("cups", [1, 3, 6])
def test_steps_are_those_that_labour_is_paid_for(cups):
    """Kinds and times by batch, and minutes with the setting up once a rack."""
    design, shelf = design_of(STACK), typical()
    found = batches(design, shelf, cups=cups)
    work = bench_work(design, shelf, cups)

    for batch in found:
        kinds = [step.kind for step in batch.steps]
        assert {w.step: w.times for w in work} == {k: kinds.count(k) for k in kinds}
    minutes = sum(step.task.hands_min for batch in found for step in batch.steps)
    assert minutes == sum(w.minutes for w in work)


def test_a_colder_room_makes_it_later():
    """At 22 − 6.5 °C, 120 h of cure take 180 h."""
    design = design_of([COAT])
    ready = {}
    for room_c in (22.0, 15.5):
        shelf = changed(typical(), "workshop", room_c=room_c)
        days = schedule(batches(design, shelf, cups=1), shelf, start=START)
        (cure,) = (b for b in days.bookings if b.step.kind == "cure")
        (coat,) = (b for b in days.bookings if b.step.kind == "coat")
        ready[room_c] = cure.next_from - coat.ends

    assert ready == {22.0: timedelta(hours=120), 15.5: timedelta(hours=180)}


def test_a_window_that_closes_at_night_is_met_by_sanding():
    """Three coats of resin in a day of 8 h: the third comes after sanding, and it is said why."""
    design, shelf = design_of([COAT | {"thickness_mm": 1.5}]), typical()
    days = schedule(batches(design, shelf, cups=1), shelf, start=START)

    sanding = [b for b in days.bookings if b.step.title.startswith("Sand wet")]
    assert sanding
    assert all("window" in b.note for b in sanding)
    assert len(days.notes) == len(sanding)


def test_a_coat_waits_for_the_morning_when_that_is_earlier():
    """In a day of 8 h, begun in the afternoon: coats that may wait but not be sanded soon."""
    resin = {"touch_dry_h": 4.0, "recoat_from_h": 5.0, "recoat_until_h": 8.0, "sand_from_h": 60.0}
    shelf = typical(epoxy={"drying": resin | {"cure_h": 120.0}})
    design = design_of([COAT | {"thickness_mm": 0.9}])
    days = schedule(batches(design, shelf, cups=1), shelf, start=START.replace(hour=13))

    first, second = (b for b in days.bookings if b.step.kind == "coat")
    assert first.starts == datetime(2026, 6, 2, 9)
    assert second.starts <= first.next_until
    assert "recoat window" in first.note


def test_the_latest_start_is_in_time_and_five_minutes_later_is_not():
    design, shelf = design_of(STACK), typical()
    made = batches(design, shelf, cups=1)
    due = datetime(2026, 6, 19, 12)
    latest = schedule(made, shelf, start=START, due=due).latest_start

    assert schedule(made, shelf, start=latest, due=due).ready <= due
    after = schedule(made, shelf, start=latest + 5 * MINUTE, due=due)
    assert after.ready > due
    assert "cannot be met" in after.late


def test_a_due_date_that_cannot_be_met_says_by_how_much():
    """The sentence names both moments; the start that it names would have done."""
    design, shelf = design_of([COAT]), typical()
    made = batches(design, shelf, cups=1)
    ready = schedule(made, shelf, start=START).ready
    days = schedule(made, shelf, start=START, due=ready - timedelta(hours=26))

    assert "1 day 2 h too late" in days.late
    assert days.latest_start < START
    assert schedule(made, shelf, start=days.latest_start).ready <= days.due


def test_two_orders_share_hands_and_rack():
    """A second order on the same rack is not planned as if it were alone."""
    shelf = changed(typical(), "workshop", rack_cups=1)
    design = design_of([COAT])
    one = batches(design, shelf, cups=1, label="Seat 3")
    two = batches(design, shelf, cups=1, label="Seat 4")
    days = schedule([*one, *two], shelf, start=START)

    first, second = (b for b in days.bookings if b.step.kind == "coat")
    assert second.starts >= first.off_rack
    assert [b.label for b in days.batches] == ["Seat 3, cup 1", "Seat 4, cup 1"]


@pytest.mark.parametrize(
    ("workshop", "handling", "told"),
    [
        ({"opens_h": 9.0, "closes_h": 9.5}, {}, "at one go"),
        ({"opens_h": 9.001, "closes_h": 9.002}, {}, "no working hours"),
    ],
)
def test_what_cannot_be_planned_is_told_in_a_sentence(workshop, handling, told):
    shelf = changed(typical(), "workshop", rack_cups=8, **workshop)
    with pytest.raises(DesignError, match=told):
        schedule(batches(design_of(STACK), shelf, cups=8), shelf, start=START)


def test_a_window_that_never_opens_and_cannot_be_sanded_is_told():
    """Adhesive that takes coats after 20 h and no later than 21 h, in a day of 8 h."""
    glue = {"touch_dry_h": 1.0, "recoat_from_h": 20.0, "recoat_until_h": 20.2, "cure_h": 30.0}
    shelf = typical(adhesive={"drying": glue})
    with pytest.raises(DesignError, match="cannot be sanded"):
        schedule(batches(design_of([GLITTER, COAT]), shelf, cups=4), shelf, start=START)


def test_the_days_as_plain_values():
    design, shelf = design_of(STACK), typical()
    days = schedule(batches(design, shelf, cups=2), shelf, start=START, due=datetime(2026, 7, 1))
    told = days_as_json(days)

    assert told["start"] == "2026-06-01T09:00:00"
    assert told["ready"] == days.ready.isoformat()
    assert told["earliest"] is True
    assert [s["step"] for s in told["steps"]] == [b.step.kind for b in days.bookings]
