"""Minutes at the bench, step by step, from the stack of layers and the shelf's handling times.

Drying and curing hours cost room on the rack, not wages, and are not counted here.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from mockup.design.document import Design
from mockup.design.products import Epoxy
from mockup.design.shelf import Minutes, Shelf
from mockup.outputs.plan.choice import (
    adhesive_under,
    clear_coat,
    coats_of,
    paint_for,
    sealer_on,
)
from mockup.outputs.plan.money import exact

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
    counts: dict[str, int] = {}
    for step, times in _steps(design, shelf):
        counts[step] = counts.get(step, 0) + times
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


def _steps(design: Design, shelf: Shelf) -> Iterator[tuple[str, int]]:
    """Each layer's steps; resin is levelled and washed before what follows it."""
    layers = design.document.layers
    yield from (("prepare", 1), ("mask", 1))
    for index, layer in enumerate(layers):
        last = index + 1 == len(layers)
        match layer.kind:
            case "base":
                yield "paint", paint_for(design, shelf, layer).coats
            case "wrap":
                yield "wrap", 1
                sealer = sealer_on(shelf, layer)
                if sealer is not None:
                    yield "seal", sealer.coats
            case "glitter":
                bed = adhesive_under(shelf, "glitter")
                yield "glitter", bed.coats if bed is not None else 1
            case "decal":
                yield "decal", 1
            case "coat":
                product = clear_coat(shelf, layer)
                coats = coats_of(product, layer.thickness_mm)
                if isinstance(product, Epoxy):
                    yield "coat", coats
                    yield from () if last else (("sand", 1), ("wash", 1))
                else:
                    yield "varnish", coats
    yield from (("edges", 1), ("hand_over", 1))
