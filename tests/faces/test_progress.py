"""A bar for people who wait, and nothing for log files."""

import io
import sys
import time

import pytest

from mockup.faces.progress import shown_progress


class Terminal(io.StringIO):
    """A screen that remembers."""

    def isatty(self):
        """As a terminal says."""
        return True


@pytest.fixture
def clock(monkeypatch):
    """A clock that a test winds by hand, in s."""
    now_s = [100.0]
    monkeypatch.setattr(time, "monotonic", lambda: now_s[0])
    return now_s


def _work(clock, steps, step_s):
    with shown_progress() as progress:
        for i in range(1, steps + 1):
            clock[0] += step_s
            progress(i / steps, f"step {i}")


def test_quick_work_shows_nothing(monkeypatch, clock):
    monkeypatch.setattr(sys, "stderr", Terminal())
    _work(clock, steps=4, step_s=0.1)

    assert sys.stderr.getvalue() == ""


def test_slow_work_shows_how_far_it_is_and_at_what(monkeypatch, clock):
    monkeypatch.setattr(sys, "stderr", Terminal())
    _work(clock, steps=4, step_s=0.3)
    shown = sys.stderr.getvalue()

    assert "step 1" not in shown  # within the first half second
    assert "50%  step 2" in shown
    assert "100%  step 4" in shown
    assert shown.endswith("\n")


def test_a_log_file_gets_nothing(monkeypatch, clock):
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    _work(clock, steps=4, step_s=10)

    assert sys.stderr.getvalue() == ""


def test_shares_that_go_back_or_too_far_do_no_harm(monkeypatch, clock):
    monkeypatch.setattr(sys, "stderr", Terminal())
    with shown_progress() as progress:
        clock[0] += 1
        for share in (0.5, 0.2, -1.0, 7.0):
            progress(share, "on")

    assert "100%" in sys.stderr.getvalue()


def test_the_bar_is_closed_when_the_work_fails(monkeypatch, clock):
    monkeypatch.setattr(sys, "stderr", Terminal())
    with pytest.raises(ValueError, match="lost"):
        _fail(clock)

    assert sys.stderr.getvalue().endswith("\n")


def _fail(clock):
    with shown_progress() as progress:
        clock[0] += 1
        progress(0.5, "on")
        raise ValueError("lost")
