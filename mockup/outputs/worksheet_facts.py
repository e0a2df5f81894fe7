"""What a work sheet states: the picture, the steps of each batch, and what each step takes."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.blank.wall import Blank
from mockup.design.document import Design
from mockup.design.shelf import Shelf
from mockup.outputs.plan.amounts import Amount, Mix, amounts
from mockup.outputs.plan.cautions import cautions
from mockup.outputs.plan.days import Days
from mockup.outputs.plan.needs import needs
from mockup.outputs.plan.steps import Step
from mockup.outputs.revision import NOT_APPROVED, Revision

__all__ = ["BenchAmount", "WorkSheetFacts", "bench_amounts", "worksheet_facts"]

_TAKES = {  # what a step uses of its layer, by the kind of product
    "paint": ("paint",),
    "wrap": ("wrap_sheet", "adhesive"),
    "seal": ("sealer",),
    "glitter": ("adhesive", "glitter"),
    "varnish": ("varnish",),
    "decal": ("foil", "adhesive_sheet", "vinyl"),
}


class BenchAmount(NamedTuple):
    """One line to measure out. `aside` is the same otherwise told, such as by weight."""

    label: str
    amount: float
    unit: str
    aside: str = ""


@dataclass(frozen=True, slots=True)
class WorkSheetFacts:
    """Facts of one order. The same facts give the same sheet, byte for byte.

    Attributes
    ----------
    picture
        (rows, columns, 3) uint8, sRGB: the front.
    amounts
        Of each batch of the days, of each of its steps: what that batch takes.
    cautions
        Whole sentences, the last of which names what goes by typical figures.
    """

    revision: Revision
    palette: str
    picture: NDArray[np.uint8]
    days: Days
    amounts: tuple[tuple[tuple[BenchAmount, ...], ...], ...]
    cautions: tuple[str, ...]


def worksheet_facts(
    design: Design,
    blank: Blank,
    shelf: Shelf,
    days: Days,
    picture: NDArray[np.uint8],
    *,
    standing: str = NOT_APPROVED,
) -> WorkSheetFacts:
    """Gather what the work sheet of a design's days states.

    Parameters
    ----------
    picture
        (rows, columns, 3) uint8, sRGB: the front, as the customer has seen it.
    standing
        Whether this revision is approved, printed in plain sight.

    Raises
    ------
    DesignError, GeometryError
        As `needs` does.
    """
    needed = needs(design, blank, shelf)
    total = sum(batch.cups for batch in days.batches)
    taken, products = [], []
    every: list[Amount] = []
    for batch in days.batches:
        found, mixed = amounts(needed, shelf, batch.cups, of=total)
        every += found
        taken.append(tuple(bench_amounts(step, found, mixed) for step in batch.steps))
        products += [amount.product for amount in found]
    kinds = [booking.step.kind for booking in days.bookings]
    return WorkSheetFacts(
        revision=Revision.of(design, standing),
        palette=design.palette.name,
        picture=picture,
        days=days,
        amounts=tuple(taken),
        cautions=(*cautions(kinds, products, shelf, blank), *_typical(every)),
    )


def _typical(found: Sequence[Amount]) -> tuple[str, ...]:
    names = dict.fromkeys(a.product.name for a in found if "typical" in a.source)
    if not names:
        return ()
    return (f"Amounts of these go by typical figures, not measured ones: {'; '.join(names)}.",)


def bench_amounts(
    step: Step, found: Sequence[Amount], mixed: Sequence[Mix]
) -> tuple[BenchAmount, ...]:
    """What one step of a batch takes, of that batch's amounts and mixes.

    What is laid in several coats is divided evenly; resin is told mix by mix and part by part.
    """
    if step.kind == "prepare":
        return tuple(
            BenchAmount(a.material, a.amount, "" if a.unit == "piece" else a.unit)
            for a in found
            if a.index < 0
        )
    if step.kind == "coat":
        mixes = [m for m in mixed if m.index == step.layer and m.coat == step.coat]
        return tuple(line for mix in mixes for line in _mix_lines(mix, len(mixes), step))
    kinds = _TAKES.get(step.kind, ())
    coats = max(1, step.coats)
    return tuple(
        BenchAmount(a.material, a.amount / coats, a.unit)
        for kind in kinds
        for a in found
        if a.index == step.layer and a.product.kind == kind
    )


def _mix_lines(mix: Mix, several: int, step: Step) -> list[BenchAmount]:
    told = step.product if several == 1 else f"{step.product} for {mix.cups} cups"
    often = "" if mix.times == 1 else f", mixed {mix.times} times"
    return [
        BenchAmount(f"{told}{often}, part {share.part}", share.ml, "mL", f"{share.g:.1f} g")
        for share in mix.parts
    ]
