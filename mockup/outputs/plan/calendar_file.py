"""The days of an order as a calendar file that any calendar program opens: RFC 5545."""

from collections import Counter
from datetime import UTC

from mockup.outputs.plan.bookings import Booking, moment_text
from mockup.outputs.plan.cautions import DEFERENCE, STEP_CAUTIONS
from mockup.outputs.plan.days import Days

__all__ = ["calendar_file"]


def calendar_file(days: Days, *, title: str, fingerprint: str) -> bytes:
    """One event for each step, in floating local time, as the clock in the workshop shows it.

    The same days give the same bytes. An event keeps its UID when the plan is made anew for the
    same design, so that a calendar moves it instead of showing it twice; its DTSTAMP is the plan's
    start, since RFC 5545 (3.8.7.2) wants one and the clock would make every file another. Curing
    is marked as free time (TRANSP, 3.8.2.7). The calendar's NAME is of RFC 7986, 5.1.
    """
    from icalendar import Calendar, Event  # here, not at the top: few plans are put in a calendar

    calendar = Calendar()
    calendar.add("prodid", "-//tumbler-mockup//plan//EN")
    calendar.add("version", "2.0")
    calendar.add("name", title)
    seen: Counter[str] = Counter()
    for booking in days.bookings:
        step = booking.step
        key = f"{booking.batch}-{step.kind}-{step.layer}-{step.coat}"
        seen[key] += 1
        event = Event()
        event.add("uid", f"{fingerprint[:32]}-{key}-{seen[key]}@tumbler-mockup.invalid")
        event.add("dtstamp", days.start.replace(tzinfo=UTC))
        cures = step.kind == "cure"
        event.add("dtstart", booking.starts)
        event.add("dtend", booking.next_from if cures else booking.ends)
        event.add("transp", "TRANSPARENT" if cures else "OPAQUE")
        label = days.batches[booking.batch].label
        event.add("summary", f"{step.title} ({label}, {title})")
        if lines := _lines(booking):
            event.add("description", "\n".join(lines))
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _lines(booking: Booking) -> list[str]:
    told = []
    if booking.next_from > booking.ends:
        told.append(f"Next step not before {moment_text(booking.next_from)}.")
    if booking.next_until is not None:
        told.append(f"Without sanding not after {moment_text(booking.next_until)}.")
    if booking.note:
        told.append(f"{booking.note[:1].upper()}{booking.note[1:]}.")
    cautions = STEP_CAUTIONS.get(booking.step.kind, ())
    return [*told, *cautions, *([DEFERENCE] if cautions else [])]
