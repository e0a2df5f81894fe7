"""The search for the earliest plan: every rule kept, and nothing earlier by trial of every hour."""

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.outputs.plan.earliest import find_earliest
from mockup.outputs.plan.hours import DAY_MIN, WorkingHours
from mockup.outputs.plan.tasks import Chain, Task
from tests.outputs.plan.brute import HOUR, earliest_by_trial, faults

MONDAY = date(2026, 6, 1)
OFFICE = WorkingHours.of([[(540, 1020)]] * 5 + [[], []], MONDAY)


def hours_in(minutes, low, high):
    """Whole multiples of some minutes."""
    return st.integers(low, high).map(lambda n: n * minutes)


@st.composite
def tasks(draw, unit, most_hands, most_wait):
    """Any task, in multiples of `unit` minutes."""
    ready = draw(hours_in(unit, 0, most_wait))
    window = draw(st.none() | hours_in(unit, 0, most_wait).map(lambda m: ready + m))
    sand = draw(hours_in(unit, 1, most_hands))
    return Task(
        hands_min=draw(hours_in(unit, 1, most_hands)),
        ready_min=ready,
        window_min=window,
        drying_min=draw(st.none() | hours_in(unit, 0, most_wait)),
        sand_min=sand if window is not None else None,
        sand_after_min=draw(hours_in(unit, 0, most_wait)),
        cure_min=draw(hours_in(unit, 0, 2 * most_wait)),
        after_cure=draw(st.booleans()),
    )


def chains(unit, most_hands, most_wait, most_tasks, most_cups):
    """Any chain of such tasks."""
    some = st.lists(tasks(unit, most_hands, most_wait), min_size=1, max_size=most_tasks)
    return st.builds(lambda t, cups: Chain(tuple(t), cups), some, st.integers(1, most_cups))


@st.composite
def weeks(draw, unit, shortest):
    """Working hours on some days, maybe with a break, each span at least `shortest` minutes."""
    least, whole = -(-shortest // unit), DAY_MIN // unit
    days = []
    for _ in range(7):
        opens = draw(st.integers(0, whole - 2 * least - 1))
        closes = draw(st.integers(opens + least, whole - least - 1))
        days.append(draw(st.sampled_from([[], [(opens * unit, closes * unit)]])))
        if days[-1] and draw(st.booleans()):
            again = draw(st.integers(closes + 1, whole - least))
            days[-1].append((again * unit, (again + least) * unit))
    if not any(days):
        days[0] = [(0, least * unit)]
    return WorkingHours.of(days, MONDAY)


@settings(deadline=None, max_examples=100)
@given(st.data(), st.integers(2, 5), st.integers(0, 3 * DAY_MIN))
def test_no_plan_breaks_a_rule(data, rack, start):
    """Readiness, windows, working hours, one pair of hands and the rack, at any minute."""
    some = data.draw(st.lists(chains(5, 12, 200, 5, 2), min_size=1, max_size=3))
    hours = data.draw(weeks(5, 60))

    plan = find_earliest(some, hours, rack=rack, start=start, most_effort=3_000)

    assert plan is not None
    assert faults(plan, some, hours, rack, start) == []
    assert plan.bound <= max(plan.ready)


SHORT_WEEK = WorkingHours.of([[(540, 720)], [(540, 660)], [(600, 780)]] * 2 + [[]], MONDAY)


@settings(deadline=None, max_examples=100)
@given(st.lists(chains(HOUR, 2, 9, 3, 2), min_size=1, max_size=2), st.integers(2, 4))
def test_nothing_is_earlier_than_the_plan(some, rack):
    """On small cases every hour is tried: the plan's last cup is ready in just the least of them.

    All times are whole hours, so that the least beginnings are whole hours too.
    """
    plan = find_earliest(some, SHORT_WEEK, rack=rack, start=540)

    assert plan is not None
    assert plan.proved
    assert faults(plan, some, SHORT_WEEK, rack, 540) == []
    ready = max(plan.ready)
    assert earliest_by_trial(some, SHORT_WEEK, rack, 540, ready) == ready
