"""The days of an order: what is done when, when the cups are ready, when to start at the latest.

Times are plain local time (see `hours`). Cups are worked on by the rackful, as amounts and price
count them: every rackful is a batch, and the batches share the maker's hands and the rack.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from mockup.design.document import Design
from mockup.design.shelf import Shelf
from mockup.errors import DesignError
from mockup.outputs.plan.bookings import Batch, Booking, bookings, moment_text, span_text
from mockup.outputs.plan.earliest import find_earliest
from mockup.outputs.plan.hours import DAY_MIN, WEEK_DAYS, WorkingHours
from mockup.outputs.plan.steps import steps
from mockup.outputs.plan.tasks import Chain, Plan

__all__ = ["MOST_BATCHES", "Days", "batches", "days_as_json", "schedule", "working_hours"]

_SEARCH_STEP_MIN = 5
_SEARCH_EFFORT = 20_000
MOST_BATCHES = 12


@dataclass(frozen=True, slots=True)
class Days:
    """The earliest plan that was found.

    Attributes
    ----------
    bookings
        By beginning.
    ready
        When the last batch is cured, looked over and packed; `ready_of` is of each batch.
    proved
        No plan is ready earlier. If not proved, none is ready before `bound`.
    latest_start
        Start then at the latest, to be ready when it is due; None without a due date.
    late
        A sentence where the due date cannot be met from `start`; else "".
    """

    batches: tuple[Batch, ...]
    hours: WorkingHours
    rack_cups: int
    room_c: float
    start: datetime
    bookings: tuple[Booking, ...]
    ready_of: tuple[datetime, ...]
    bound: datetime
    proved: bool
    due: datetime | None = None
    latest_start: datetime | None = None
    late: str = ""

    @property
    def begins(self) -> datetime:
        """When the first step does."""
        return self.bookings[0].starts

    @property
    def ready(self) -> datetime:
        """When all of it is ready."""
        return max(self.ready_of)

    @property
    def notes(self) -> tuple[str, ...]:
        """Every note of a booking, and the sentence on a due date that cannot be met."""
        own = (f"{self.batches[b.batch].label}: {b.note}" for b in self.bookings if b.note)
        return tuple(filter(None, (self.late, *own)))


def batches(design: Design, shelf: Shelf, *, cups: int, label: str = "") -> tuple[Batch, ...]:
    """The rackfuls of an order of `cups` cups."""
    rack, made = shelf.workshop.rack_cups, []
    for first in range(1, cups + 1, rack):
        last = min(cups, first + rack - 1)
        named = f"cup {first}" if first == last else f"cups {first} to {last}"
        whole = f"{label}, {named}" if label else named[:1].upper() + named[1:]
        count = last - first + 1
        made.append(Batch(whole, count, steps(design, shelf, cups=count), first))
    return tuple(made)


def working_hours(shelf: Shelf, first_day: date) -> WorkingHours:
    """The workshop's week.

    Raises
    ------
    DesignError
        It is open for less than a minute.
    """
    shop = shelf.workshop
    opens, closes = math.ceil(60 * shop.opens_h), math.floor(60 * shop.closes_h)
    span = [(opens, closes)] if opens < closes else []
    week = [span if name.lower() in shop.weekdays else [] for name in WEEK_DAYS]
    return WorkingHours.of(week, first_day, where=f"shelf {shelf.name!r}: workshop")


def schedule(
    made: Sequence[Batch], shelf: Shelf, *, start: datetime, due: datetime | None = None
) -> Days:
    """The earliest plan of some batches, of one order or of several.

    The room's temperature is in the steps of the batches already.

    Raises
    ------
    DesignError
        There are more than `MOST_BATCHES`, a batch is larger than the rack, a step takes longer
        than the workshop is open at one go, or a film that cannot be sanded has a recoat window
        that never falls into working hours.
    """
    hours = working_hours(shelf, start.date())
    chains = [Chain(tuple(step.task for step in b.steps), b.cups) for b in made]
    _check(made, hours, shelf)
    rack = shelf.workshop.rack_cups
    plan = find_earliest(chains, hours, rack=rack, start=hours.minute(start))
    if plan is None:
        raise DesignError(
            "a recoat window of adhesive or sealer, which cannot be sanded, is never open while "
            "the next step can be done",
            where=f"shelf {shelf.name!r}",
            remedy="Open the workshop for longer, or make fewer cups at once",
        )
    latest, late = None, ""
    if due is not None:
        by = hours.minute(due)
        by -= hours.moment(by) > due
        latest = hours.moment(_latest(chains, hours, rack, hours.minute(start), plan, by))
        ready = hours.moment(max(plan.ready))
        if ready > due:
            begun = moment_text(hours.moment(plan.placed[0].start))
            earliest = "at the earliest" if plan.proved else "by the best plan found"
            late = (
                f"The due date {moment_text(due)} cannot be met: begun {begun}, it "
                f"is ready {moment_text(ready)} {earliest}, {span_text(ready - due)} too late; it "
                f"would have to be begun by {moment_text(latest)}"
            )
    return Days(
        batches=tuple(made),
        hours=hours,
        rack_cups=rack,
        room_c=shelf.workshop.room_c,
        start=start,
        bookings=bookings(made, hours, plan),
        ready_of=tuple(hours.moment(minute) for minute in plan.ready),
        bound=hours.moment(plan.bound),
        proved=plan.proved,
        due=due,
        latest_start=latest,
        late=late,
    )


def _check(made: Sequence[Batch], hours: WorkingHours, shelf: Shelf) -> None:
    where = f"shelf {shelf.name!r}: workshop"
    if len(made) > MOST_BATCHES:
        raise DesignError(
            f"the days of {len(made)} rackfuls are more than can be planned at once",
            where=where,
            remedy=f"Plan orders of up to {MOST_BATCHES} rackfuls, one after the other",
        )
    for batch in made:
        if batch.cups > shelf.workshop.rack_cups:
            raise DesignError(
                f"{batch.cups} cups do not fit on a rack for {shelf.workshop.rack_cups}",
                where=where,
                remedy="Make them in several batches",
            )
        for step in batch.steps:
            takes = max(step.task.hands_min, step.task.sand_min or 0)
            if takes > hours.longest_min:
                raise DesignError(
                    f"{step.title!r} takes {takes} min for {batch.cups} cups at one go, and the "
                    f"workshop is open for {hours.longest_min}",
                    where=where,
                    remedy="Open for longer, or put fewer cups on the rack",
                )


def _latest(
    chains: Sequence[Chain], hours: WorkingHours, rack: int, start: int, plan: Plan, by: int
) -> int:
    """The last start, in steps of five minutes, with a plan that is ready by a minute.

    The later the start, the later the earliest plan, so that halving finds it. Weeks are alike: a
    plan that is too late by some weeks, begun so many weeks earlier, is ready in time.
    """
    weeks = max(0, -(-(max(plan.ready) - by) // (7 * DAY_MIN)))
    low = (start - weeks * 7 * DAY_MIN) // _SEARCH_STEP_MIN
    high = by // _SEARCH_STEP_MIN + 1
    while high - low > 1:
        middle = (low + high) // 2
        found = find_earliest(
            chains,
            hours,
            rack=rack,
            start=middle * _SEARCH_STEP_MIN,
            most_effort=_SEARCH_EFFORT,
            good_enough=by,
        )
        if found is not None:
            low = middle
        else:
            high = middle
    return low * _SEARCH_STEP_MIN


def days_as_json(days: Days) -> dict[str, Any]:
    """Plain values; moments as ISO 8601 local time without a zone, as RFC 5545 calls floating."""
    return {
        "start": days.start.isoformat(),
        "begins": days.begins.isoformat(),
        "ready": days.ready.isoformat(),
        "earliest": days.proved,
        "not_before": days.bound.isoformat(),
        "due": _moment(days.due),
        "latest_start": _moment(days.latest_start),
        "room_c": days.room_c,
        "rack_cups": days.rack_cups,
        "batches": [
            {"label": batch.label, "cups": batch.cups, "ready": ready.isoformat()}
            for batch, ready in zip(days.batches, days.ready_of, strict=True)
        ],
        "steps": [
            {
                "batch": b.batch,
                "step": b.step.kind,
                "title": b.step.title,
                "layer_index": b.step.layer,
                "starts": b.starts.isoformat(),
                "ends": b.ends.isoformat(),
                "hands_min": b.step.task.hands_min,
                "next_from": b.next_from.isoformat(),
                "next_until": _moment(b.next_until),
                "off_rack": _moment(b.off_rack),
                "note": b.note,
            }
            for b in days.bookings
        ],
        "notes": list(days.notes),
    }


def _moment(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()
