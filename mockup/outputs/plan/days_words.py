"""The days as a maker reads them: when it begins and is ready, then step by step."""

from collections.abc import Iterator

from mockup.outputs.plan.bookings import Booking, moment_text
from mockup.outputs.plan.days import Days

__all__ = ["days_in_words", "days_told", "next_in_words", "room_told"]


def days_in_words(days: Days) -> Iterator[str]:
    """All of it, lines of text for a terminal."""
    yield from (f"  {told}" for told in days_told(days))
    several = len(days.batches) > 1
    for booking in days.bookings:
        label = f"{days.batches[booking.batch].label}: " if several else ""
        yield f"  {moment_text(booking.starts):16}  {label}{booking.step.title}{_after(booking)}"
    yield f"  {room_told(days)}"


def days_told(days: Days) -> Iterator[str]:
    """When to begin, when it is ready, and what is not plain about it."""
    how = "earliest" if days.proved else f"none before {moment_text(days.bound)}"
    yield f"begin {moment_text(days.begins)}, ready {moment_text(days.ready)} ({how})"
    if days.due is not None and days.latest_start is not None:
        latest = moment_text(days.latest_start)
        yield f"due {moment_text(days.due)}: begin by {latest} at the latest"
    yield from days.notes


def room_told(days: Days) -> str:
    """What the hours of drying are for, and what stands above them."""
    return f"room {days.room_c:g} °C; hours by your products' data sheets stand above these"


def next_in_words(booking: Booking) -> str:
    """When the cups may be taken up again; empty where they may at once."""
    if booking.next_from <= booking.ends:
        return ""
    if booking.step.kind == "cure":
        return f"until {moment_text(booking.next_from)}"
    until = f" until {moment_text(booking.next_until)}" if booking.next_until else ""
    return f"next from {moment_text(booking.next_from)}{until}"


def _after(booking: Booking) -> str:
    told = next_in_words(booking)
    return told and f"{', ' if booking.step.kind == 'cure' else '; '}{told}"
