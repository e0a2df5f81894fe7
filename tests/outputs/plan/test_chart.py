"""The bar chart: dark where hands are at work, at the place of the day and nowhere else."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from mockup.outputs.plan.chart import _LEFT, _RIGHT, _ROW, _TOP, _WET, WIDTH_PX, draw_chart
from mockup.outputs.plan.days import batches, schedule
from mockup.outputs.sheet import INK
from tests.outputs.plan.orders import BASE, COAT, design_of, typical

START = datetime(2026, 6, 1, 9)


def _days(cups=1, start=START):
    shelf = typical()
    design = design_of([BASE, COAT | {"thickness_mm": 0.9}])
    return schedule(batches(design, shelf, cups=cups), shelf, start=start)


@pytest.mark.parametrize("cups", [1, 6])
def test_bars_lie_where_the_hours_are(cups):
    """Columns dark in a batch's row are those of its bookings, read off by the days' width."""
    days = _days(cups)
    pixels = np.asarray(draw_chart(days, title="Seat 3"))
    last = max(b.next_from for b in days.bookings) + timedelta(hours=2)
    midnight = days.start.replace(hour=0)
    day_px = (WIDTH_PX - _LEFT - _RIGHT) / ((last - midnight).days + 1)
    for row in range(len(days.batches)):
        line = pixels[_TOP + _ROW * row + 50]  # in the lower part of the bars
        dark = (line == INK).all(axis=1) & (np.arange(WIDTH_PX) > _LEFT)
        wanted = np.zeros(WIDTH_PX, bool)
        for b in days.bookings:
            if b.batch == row and b.step.kind != "cure":
                left, right = (
                    _LEFT + day_px * ((m - midnight) / timedelta(days=1))
                    for m in (b.starts, b.ends)
                )
                wanted[round(left) : max(round(right), round(left) + 3) + 1] = True
        assert (dark == wanted).mean() > 0.99  # each bar right to a pixel at either side
        assert dark.sum() == pytest.approx(wanted.sum(), rel=0.15)


def test_the_rack_is_as_full_as_it_is():
    """Four cups of four reach the rack's line while the first batch's resin is wet."""
    days = _days(4)
    pixels = np.asarray(draw_chart(days, title="Seat 3"))
    top = _TOP + _ROW * len(days.batches) + 62 - 46 + 2
    full = (pixels[top] == _WET).all(axis=1).sum()

    wet = sum(
        (b.off_rack - b.starts).total_seconds() for b in days.bookings if b.off_rack is not None
    )
    last = max(b.next_from for b in days.bookings) + timedelta(hours=2)
    days_wide = (last - days.start.replace(hour=0)).days + 1
    wanted = wet / 86400 * (WIDTH_PX - _LEFT - _RIGHT) / days_wide
    films = sum(b.off_rack is not None for b in days.bookings)
    assert full == pytest.approx(wanted, abs=1.5 * films)


def test_the_same_days_give_the_same_picture():
    first, second = (draw_chart(_days(2), title="Seat 3").tobytes() for _ in range(2))
    assert first == second


def test_another_start_gives_another_picture():
    later = _days(2, START.replace(hour=11))
    assert draw_chart(later, title="x").tobytes() != draw_chart(_days(2), title="x").tobytes()
