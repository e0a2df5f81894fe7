"""The calendar file, read back as a calendar program does."""

from datetime import datetime, timedelta
from functools import cache

from icalendar import Calendar

from mockup.outputs.plan.calendar_file import calendar_file
from mockup.outputs.plan.days import batches, schedule
from tests.outputs.plan.orders import BASE, COAT, design_of, typical

DESIGN = design_of([BASE, COAT | {"thickness_mm": 1.4}])
START = datetime(2026, 6, 1, 9)


@cache
def _days(start=START, cups=5):
    shelf = typical()
    return schedule(batches(DESIGN, shelf, cups=cups), shelf, start=start)


def _events(data):
    return Calendar.from_ical(data).walk("VEVENT")


def _file(days):
    return calendar_file(days, title="Seat 3; “Seaglass, Eight”", fingerprint=DESIGN.fingerprint)


def test_every_step_is_there_at_its_time():
    """Read back, summaries, times and commas are those of the plan; times have no zone."""
    days = _days()
    events = _events(_file(days))

    for booking, event in zip(days.bookings, events, strict=True):
        assert str(event["summary"]).startswith(booking.step.title)
        assert "“Seaglass, Eight”" in str(event["summary"])
        assert event["dtstart"].dt == booking.starts
        ends = booking.next_from if booking.step.kind == "cure" else booking.ends
        assert event["dtend"].dt == ends
        assert event["dtstart"].dt.tzinfo is None


def test_what_rfc_5545_asks_for_is_there():
    """Lines of at most 75 octets ended by CRLF (3.1), UIDs of their own, a DTSTAMP in UTC."""
    data = _file(_days())
    calendar = Calendar.from_ical(data)
    events = _events(data)

    lines = data.split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
    assert not any(b"\n" in line for line in lines)
    assert calendar["version"] == "2.0"
    assert "prodid" in calendar
    assert len({event["uid"] for event in events}) == len(events)
    assert all(event["dtstamp"].dt.utcoffset() == timedelta(0) for event in events)


def test_the_same_days_give_the_same_bytes():
    """Of a plan that was worked out twice."""
    assert _file(_days()) == _file(_days.__wrapped__())


def test_a_plan_made_anew_moves_its_events():
    """Begun a week later, the same steps keep their UIDs."""
    before, after = (_events(_file(_days(START + timedelta(days=d)))) for d in (0, 7))

    assert [e["uid"] for e in before] == [e["uid"] for e in after]
    moved = [b["dtstart"].dt - a["dtstart"].dt for a, b in zip(before, after, strict=True)]
    assert set(moved) == {timedelta(days=7)}


def test_cautions_come_with_the_steps():
    events = _events(_file(_days()))
    coats = [str(e["description"]) for e in events if "Clear coat" in str(e["summary"])]

    assert coats
    assert all("respirator" in text and "data sheet" in text for text in coats)
