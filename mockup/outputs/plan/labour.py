"""Minutes at the bench by kind of step: the same steps as in the days, paid by the minute.

Drying and curing hours cost room on the rack, not wages, and are not counted here; nor is sanding
that the days put in because a recoat window cannot be kept.
"""

import math
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

from mockup.design.document import Design
from mockup.design.shelf import Minutes, Shelf
from mockup.outputs.plan.money import exact
from mockup.outputs.plan.steps import steps

__all__ = ["Work", "bench_work"]


@dataclass(frozen=True, slots=True)
class Work:
    """Handling of one kind of step, done `times` times on each cup; minutes of the whole order."""

    step: str
    times: int
    minutes: Fraction
    formula: str


def bench_work(design: Design, shelf: Shelf, cups: int) -> tuple[Work, ...]:
    """What is done by hand on `cups` cups, in the order of the first time that it is done.

    Setting up is shared by the cups of a rack.
    """
    counts = Counter(step.kind for step in steps(design, shelf))
    racks = math.ceil(cups / shelf.workshop.rack_cups)
    return tuple(
        work
        for step, times in counts.items()
        if (work := _work(step, times, getattr(shelf.handling, step), cups, racks)).minutes
    )


def _work(step: str, times: int, each: Minutes, cups: int, racks: int) -> Work:
    per_time = exact(each.setup_min) * racks + exact(each.cup_min) * cups
    formula = f"{each.setup_min:g} min × {racks} + {each.cup_min:g} min × {cups}"
    if times > 1:
        formula = f"{times} × ({formula})"
    return Work(step, times, times * per_time, formula)
