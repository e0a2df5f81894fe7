"""The days as a maker reads them in a terminal."""

from collections.abc import Iterator

from mockup.outputs.plan.bookings import Booking, moment_text
from mockup.outputs.plan.days import Days

__all__ = ["days_in_words"]


def days_in_words(days: Days) -> Iterator[str]:
    """When to begin, when it is ready, every step, and what is not plain about them."""
    how = "earliest" if days.proved else f"none before {moment_text(days.bound)}"
    yield f"  begin {moment_text(days.begins)}, ready {moment_text(days.ready)} ({how})"
    if days.due is not None and days.latest_start is not None:
        latest = moment_text(days.latest_start)
        yield f"  due {moment_text(days.due)}: begin by {latest} at the latest"
    for note in days.notes:
        yield f"  {note}"
    several = len(days.batches) > 1
    for booking in days.bookings:
        label = f"{days.batches[booking.batch].label}: " if several else ""
        yield f"  {moment_text(booking.starts):16}  {label}{booking.step.title}{_after(booking)}"
    yield f"  room {days.room_c:g} °C; hours by your products' data sheets stand above these"


def _after(booking: Booking) -> str:
    if booking.next_from <= booking.ends:
        return ""
    if booking.step.kind == "cure":
        return f", until {moment_text(booking.next_from)}"
    until = f" until {moment_text(booking.next_until)}" if booking.next_until else ""
    return f"; next from {moment_text(booking.next_from)}{until}"
