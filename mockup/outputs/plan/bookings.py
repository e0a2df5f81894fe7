"""From the minutes of a plan to what a calendar holds: who, what, from when to when, and why."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from mockup.outputs.plan.hours import WEEK_DAYS, WorkingHours
from mockup.outputs.plan.steps import Step
from mockup.outputs.plan.tasks import Placed, Plan, Task

__all__ = ["Batch", "Booking", "bookings", "day_text", "moment_text", "span_text"]

_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


@dataclass(frozen=True, slots=True)
class Batch:
    """Cups of one design that are made side by side; no more than the rack holds."""

    label: str
    cups: int
    steps: tuple[Step, ...]
    first_cup: int = 1


@dataclass(frozen=True, slots=True)
class Booking:
    """One step of one batch at its time.

    Attributes
    ----------
    batch
        Index of the batch.
    starts, ends
        Of the work at the bench; the same moment where there is none, as in curing.
    next_from, next_until
        When the next step may begin: not before, and without sanding not after.
    off_rack
        Until when the cups stand on the rack; None where they need not.
    note
        Why it is when it is, where that is not plain; else "".
    """

    batch: int
    step: Step
    starts: datetime
    ends: datetime
    next_from: datetime
    next_until: datetime | None = None
    off_rack: datetime | None = None
    note: str = ""


def bookings(made: Sequence[Batch], hours: WorkingHours, plan: Plan) -> tuple[Booking, ...]:
    """Every step by its beginning; curing begins when the last hand has left the cups."""
    found: list[Booking] = []
    for index, batch in enumerate(made):
        own = [placed for placed in plan.placed if placed.chain == index]
        for placed in own:
            make = _sanding if placed.sanding else _step
            found.append(make(index, batch.steps[placed.task], placed, hours))
        found += _cure(index, batch, own, hours)
    return tuple(sorted(found, key=lambda b: (b.starts, b.ends, b.batch)))


def _step(index: int, step: Step, placed: Placed, hours: WorkingHours) -> Booking:
    task, end = step.task, placed.start + step.task.hands_min
    note = ""
    if placed.start > placed.could_start:
        note = (
            f"{_first(step.title)} waits until {moment_text(hours.moment(placed.start))}, though "
            f"it could begin {moment_text(hours.moment(placed.could_start))}: so the next coat can "
            "go on within its recoat window"
        )
    return Booking(
        batch=index,
        step=step,
        starts=hours.moment(placed.start),
        ends=hours.moment(end),
        next_from=hours.moment(end + task.ready_min),
        next_until=None if task.window_min is None else hours.moment(end + task.window_min),
        off_rack=None if task.drying_min is None else hours.moment(end + task.drying_min),
        note=note,
    )


def _sanding(index: int, step: Step, placed: Placed, hours: WorkingHours) -> Booking:
    """Sanding that the plan puts in where a window cannot be kept, or not without loss."""
    minutes = step.task.sand_min or 0
    sand = Step("sand", "Sand wet and wash, for the next coat to hold", Task(minutes), step.layer)
    ends = hours.moment(placed.start + minutes)
    note = (
        f"sanded {moment_text(hours.moment(placed.start))}, because the recoat window of "
        f"“{_first(step.title)}” closes before the next coat can go on"
    )
    return Booking(index, sand, hours.moment(placed.start), ends, ends, note=note)


def _cure(index: int, batch: Batch, own: Sequence[Placed], hours: WorkingHours) -> list[Booking]:
    done = [(p.start, batch.steps[p.task].task) for p in own if not p.sanding]
    before = [(start + task.hands_min, task) for start, task in done if not task.after_cure]
    left = max(end for end, _ in before)
    cured = max(end + task.cure_min for end, task in before)
    if cured <= left:
        return []
    step = Step("cure", "Let it cure; not to be used before", Task(1))
    return [Booking(index, step, hours.moment(left), hours.moment(left), hours.moment(cured))]


def _first(title: str) -> str:
    return title.partition(", ")[0] + (title[title.rindex(": coat") :] if ": coat" in title else "")


def day_text(moment: date) -> str:
    """Such as ``Mon 1 Jun``."""
    return f"{WEEK_DAYS[moment.weekday()]} {moment.day} {_MONTHS[moment.month - 1]}"


def moment_text(moment: datetime) -> str:
    """Such as ``Mon 1 Jun 09:00``."""
    return f"{day_text(moment)} {moment:%H:%M}"


def span_text(span: timedelta) -> str:
    """Such as ``2 days 3 h``, ``4 h 5 min`` or ``20 min``: the two largest that are there."""
    minutes = int(span / timedelta(minutes=1))
    days, hours, left = minutes // 1440, minutes // 60 % 24, minutes % 60
    named = [(days, "day" if days == 1 else "days"), (hours, "h"), (left, "min")]
    return " ".join([f"{n} {unit}" for n, unit in named if n][:2]) or "0 min"
