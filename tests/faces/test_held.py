"""What the browser sends late does not pass for a change by the maker."""

from types import SimpleNamespace

import pytest

from mockup.faces.desk import held


class Control:
    """A control called "height" of a design that holds `design["height"]`."""

    def __init__(self, monkeypatch):
        self.state, self.design, self.taken = {}, {"height": 100.0}, []
        monkeypatch.setattr(held, "st", SimpleNamespace(session_state=self.state))

    def draw(self):
        """Draw it; gives its key and what is called when the browser reports a change."""
        key = held.showing("height", self.design["height"])
        assert self.state[key] == self.design["height"]
        return key, held.unless_echo("height", self.take)

    def take(self, value):
        """The edit that the control stands for."""
        self.taken.append(value)
        self.design["height"] = value

    def report(self, drawn, value):
        """The browser reports that the control drawn as `drawn` holds `value`."""
        key, call = drawn
        self.state[key] = value
        call()


@pytest.fixture
def control(monkeypatch):
    return Control(monkeypatch)


def test_what_the_maker_sets_is_taken_and_the_control_stays_the_same(control):
    drawn = control.draw()
    control.report(drawn, 110.0)
    again = control.draw()

    assert control.taken == [110.0]
    assert again[0] == drawn[0]


def test_a_change_that_is_taken_back_before_the_page_is_drawn_counts(control):
    """The second press comes while the page is still drawn for the first."""
    drawn = control.draw()
    control.report(drawn, 110.0)
    control.report(drawn, 100.0)

    assert control.taken == [110.0, 100.0]
    assert control.draw()[0] == drawn[0]


def test_a_value_from_before_an_undo_does_not_come_back(control):
    drawn = control.draw()
    control.report(drawn, 110.0)
    late = control.draw()
    control.design["height"] = 100.0  # undone
    newest = control.draw()
    control.report(late, 110.0)

    assert control.taken == [110.0]
    assert control.design["height"] == 100.0
    assert newest[0] != late[0]
    control.report(control.draw(), 120.0)
    assert control.design["height"] == 120.0


def test_a_control_that_is_gone_and_reports_itself_once_more_changes_nothing(control):
    drawn = control.draw()
    control.report(drawn, 100.0)

    assert control.taken == []


def test_a_refused_value_is_shown_again_and_can_be_set_back(control):
    """The form shows what was refused; the maker then types what was there before."""
    key = held.showing("height", 100.0)
    control.state[key] = -5.0
    assert held.showing("height", -5.0) == key
    control.report((key, held.unless_echo("height", control.take)), 100.0)

    assert control.taken == [100.0]
