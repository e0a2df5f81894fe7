"""The days of an order as a bar chart: a row for each batch of cups, and the rack below them."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from functools import partial
from itertools import pairwise

import font_source_sans_pro
from PIL import Image, ImageDraw, ImageFont

from mockup.outputs.plan.bookings import Booking, day_text, moment_text
from mockup.outputs.plan.days import Days
from mockup.outputs.sheet import ACCENT, HAIRLINE, INK, MUTED

__all__ = ["draw_chart"]

WIDTH_PX = 1800
_LEFT, _RIGHT, _TOP, _ROW, _BAR = 230, 40, 150, 78, 26
_CLOSED, _WET, _WAIT, _PAPER = (241, 243, 246), (204, 140, 106), (203, 214, 228), (255, 255, 255)
_DAY_MIN = 1440
_SHORT = {"hand_over": "pack", "prepare": "clean"}

Pixels = Callable[[datetime], float]


def draw_chart(days: Days, *, title: str) -> Image.Image:
    """RGB picture, 1800 pixels wide. The same days give the same picture.

    Work at the bench is solid and dark; on the rack, wet, is solid and lighter; waiting until the
    next step may begin is pale; curing is hatched; a bracket shows where a recoat window is open;
    hours when the workshop is closed are shaded.
    """
    first = days.start.replace(hour=0, minute=0, second=0, microsecond=0)
    last = max(days.ready, *(b.next_from for b in days.bookings)) + timedelta(hours=2)
    count = (last - first).days + 1
    scale = (WIDTH_PX - _LEFT - _RIGHT) / (count * _DAY_MIN)
    x = partial(_x, first, scale)
    height = _TOP + _ROW * (len(days.batches) + 1) + 90
    image = Image.new("RGB", (WIDTH_PX, height), _PAPER)
    chart = ImageDraw.Draw(image)
    _words(chart, days, title)
    _grid(chart, days, first, count, x, height - 90)
    for row in range(len(days.batches)):
        _batch(chart, days, row, x)
    _rack(chart, days, x, _TOP + _ROW * len(days.batches))
    _legend(chart, height - 52)
    return image


def _x(first: datetime, scale: float, moment: datetime) -> float:
    return _LEFT + scale * ((moment - first) / timedelta(minutes=1))


def _font(weight: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(font_source_sans_pro.font_files_ttf[f"SourceSansPro{weight}"], size)


def _words(chart: ImageDraw.ImageDraw, days: Days, title: str) -> None:
    chart.text((_RIGHT, 22), title, INK, _font("Semibold", 34))
    told = f"Begin {moment_text(days.begins)}  ·  ready {moment_text(days.ready)}"
    if not days.proved:
        told += f" (none before {moment_text(days.bound)})"
    if days.latest_start is not None and days.due is not None:
        told += f"  ·  due {moment_text(days.due)}, latest start {moment_text(days.latest_start)}"
    told += f"  ·  room {days.room_c:g} °C"
    chart.text((_RIGHT, 66), told, MUTED, _font("", 24))


def _grid(
    chart: ImageDraw.ImageDraw, days: Days, first: datetime, count: int, x: Pixels, foot: int
) -> None:
    """Days along the top, closed hours shaded."""
    begin, end = days.hours.minute(first), days.hours.minute(first) + count * _DAY_MIN
    closed, at = [], begin
    for opens, closes in [*days.hours.open_days(begin, end), (end, end)]:
        closed.append((at, max(at, opens)))
        at = closes
    for start, stop in closed:
        sides = (x(days.hours.moment(start)), x(days.hours.moment(stop)))
        if sides[1] - sides[0] >= 1:
            chart.rectangle((sides[0], _TOP - 8, sides[1], foot), _CLOSED)
    font, wide = _font("", 20), x(first + timedelta(days=1)) - x(first) - 8
    midnights = [first + timedelta(days=day) for day in range(count + 1)]
    labels = min(
        ([" ".join(day_text(m).split()[:words]) for m in midnights] for words in (3, 2)),
        key=lambda some: max(chart.textlength(label, font) for label in some) > wide,
    )
    free = 0.0
    for midnight, label in zip(midnights, labels, strict=True):
        chart.line((x(midnight), _TOP - 8, x(midnight), foot), HAIRLINE, 2)
        ends = x(midnight) + 5 + chart.textlength(label, font)
        if x(midnight) >= free and ends < WIDTH_PX:
            chart.text((x(midnight) + 5, _TOP - 38), label, INK, font)
            free = ends + 3


def _batch(chart: ImageDraw.ImageDraw, days: Days, row: int, x: Pixels) -> None:
    top = _TOP + _ROW * row
    middle = top + 40
    chart.text((_LEFT - 14, middle - 4), days.batches[row].label, INK, _font("Semibold", 22), "rm")
    own = [b for b in days.bookings if b.batch == row]
    for b in own:
        _waiting(chart, b, x, middle)
    free = 0.0
    for b in own:
        if b.step.kind == "cure":
            continue
        left = x(b.starts)
        chart.rectangle((left, middle - _BAR / 2, max(x(b.ends), left + 3), middle + _BAR / 2), INK)
        label = _SHORT.get(b.step.kind, b.step.kind)
        label = f"{label} {b.step.coat}" if b.step.coats > 1 else label
        font = _font("", 18)
        if left >= free:
            begins = min(left, WIDTH_PX - 6 - chart.textlength(label, font))
            chart.text((begins, top + 2), label, INK, font)
            free = left + chart.textlength(label, font) + 9


def _waiting(chart: ImageDraw.ImageDraw, b: Booking, x: Pixels, middle: float) -> None:
    low, high = middle - _BAR / 2, middle + _BAR / 2
    if b.step.kind == "cure":
        _hatched(chart, (x(b.starts), low + 4, x(b.next_from), high - 4))
        return
    if b.next_from > b.ends:
        chart.rectangle((x(b.ends), low + 4, x(b.next_from), high - 4), _WAIT)
    if b.off_rack is not None and b.off_rack > b.ends:
        chart.rectangle((x(b.ends), low + 4, x(b.off_rack), high - 4), _WET)
    if b.next_until is not None:
        left, right, foot = x(b.next_from), x(b.next_until), high + 8
        chart.line([(left, high + 2), (left, foot), (right, foot), (right, high + 2)], ACCENT, 2)


def _hatched(chart: ImageDraw.ImageDraw, box: tuple[float, float, float, float]) -> None:
    left, top, right, foot = box
    if right - left < 2:
        return
    rise, at = foot - top, left - (foot - top)
    while at < right:
        start, stop = max(at, left), min(at + rise, right)
        chart.line((start, foot - (start - at), stop, foot - (stop - at)), MUTED, 1)
        at += 9
    chart.rectangle(box, outline=MUTED)


def _rack(chart: ImageDraw.ImageDraw, days: Days, x: Pixels, top: int) -> None:
    """Cups on the rack at every moment, as a stepped area, with the rack's size as a line."""
    foot, high = top + 62, 46.0
    chart.text((_LEFT - 14, foot - 24), "On the rack", INK, _font("Semibold", 22), "rm")
    chart.text((_LEFT - 14, foot - 2), f"of {days.rack_cups}", MUTED, _font("", 18), "rm")
    full = foot - high
    chart.line((_LEFT, full, WIDTH_PX - _RIGHT, full), MUTED, 1)
    for start, stop, cups in _on_rack(days):
        level = foot - high * cups / days.rack_cups
        chart.rectangle((x(start), level, x(stop), foot), _WET)
        if x(stop) - x(start) > 16:
            chart.text(((x(start) + x(stop)) / 2, foot - 3), str(cups), INK, _font("", 18), "ms")
    chart.line((_LEFT, foot, WIDTH_PX - _RIGHT, foot), INK, 2)


def _on_rack(days: Days) -> Iterator[tuple[datetime, datetime, int]]:
    """(from, to, cups) wherever there are cups."""
    spans = [(b.starts, b.off_rack, b.batch) for b in days.bookings if b.off_rack is not None]
    edges = sorted({moment for start, stop, _ in spans for moment in (start, stop)})
    for start, stop in pairwise(edges):
        there = {batch for begins, ends, batch in spans if begins <= start < ends}
        if there:
            yield start, stop, sum(days.batches[batch].cups for batch in there)


def _legend(chart: ImageDraw.ImageDraw, top: int) -> None:
    at, font = _LEFT + 0.0, _font("", 20)
    for label, colour in (("at the bench", INK), ("on the rack", _WET), ("drying", _WAIT)):
        chart.rectangle((at, top, at + 34, top + 18), colour)
        chart.text((at + 44, top - 4), label, INK, font)
        at += 44 + chart.textlength(label, font) + 36
    _hatched(chart, (at, top, at + 34, top + 18))
    chart.text((at + 44, top - 4), "curing", INK, font)
    at += 44 + chart.textlength("curing", font) + 36
    bracket = [(at, top + 4), (at, top + 12), (at + 34, top + 12), (at + 34, top + 4)]
    chart.line(bracket, ACCENT, 2)
    chart.text((at + 44, top - 4), "recoat window", INK, font)
    at += 44 + chart.textlength("recoat window", font) + 36
    chart.rectangle((at, top, at + 34, top + 18), _CLOSED, HAIRLINE)
    chart.text((at + 44, top - 4), "workshop closed", INK, font)
