"""Minutes at the bench follow the stack; setting up is shared by the cups of a rack."""

from fractions import Fraction

import pytest

from mockup.outputs.plan.labour import bench_work
from tests.outputs.plan.orders import BASE, COAT, changed, design_of, glitter, typical

STACK = [BASE, glitter({"shape": "scatter", "coverage": 0.4}), COAT, COAT | {"thickness_mm": 0.8}]


def test_the_steps_are_those_of_the_stack():
    """Two coats of paint; 0.4 and 0.8 mm of resin are three coats; sanded once between layers."""
    work = {w.step: w.times for w in bench_work(design_of(STACK), typical(), 1)}

    assert work == {
        "prepare": 1, "mask": 1, "paint": 2, "glitter": 1, "coat": 3, "sand": 1, "wash": 1,
        "edges": 1, "hand_over": 1,
    }  # fmt: skip


@pytest.mark.parametrize(("cups", "racks"), [(1, 1), (4, 1), (5, 2), (8, 2), (9, 3)])
def test_setting_up_is_once_a_rack_and_handling_once_a_cup(cups, racks):
    """Each coat: 10 min to set up for a rack of four, 8 min a cup."""
    work = {w.step: w.minutes for w in bench_work(design_of(STACK), typical(), cups)}

    assert work["coat"] == 3 * (10 * racks + 8 * cups)


def test_minutes_are_exact():
    shelf = typical()
    tenth = shelf.handling.mask.model_copy(update={"setup_min": 0.1, "cup_min": 0.2})
    shelf = changed(shelf, "handling", mask=tenth)
    work = {w.step: w.minutes for w in bench_work(design_of(STACK), shelf, 3)}

    assert work["mask"] == Fraction(7, 10)


def test_a_step_that_takes_no_time_is_left_out():
    shelf = typical()
    none = shelf.handling.mask.model_copy(update={"setup_min": 0.0, "cup_min": 0.0})

    steps = bench_work(design_of(STACK), changed(shelf, "handling", mask=none), 3)
    assert "mask" not in {w.step for w in steps}
