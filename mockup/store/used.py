"""What was really used against what was planned: a factor for each material, with its spread.

Of every order that was handed over with its use told, x = ln(used / planned before loss). The
factor is exp(x̄), the geometric mean; its deviation is s of x with n − 1. The next order takes
between exp(x̄ ± t s √(1 + 1/n)) nine times in ten, t being Student's for n − 1 degrees of freedom
at 95 %: a log-normal quantity's prediction interval (Hahn & Meeker 1991, Statistical Intervals,
sec. 4.7). It is a proposal: nothing takes it but the maker.
"""

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import select

from mockup.store.connect import Connector
from mockup.store.exact import amount_of
from mockup.store.material_records import Material
from mockup.store.moves import held_by
from mockup.store.schema import orders

__all__ = ["Factor", "Sample", "Used", "factor_of"]


@dataclass(frozen=True, slots=True)
class Sample:
    """One order's use of one material against its plan, which is before loss."""

    order_id: int
    planned_net: Fraction
    used: Fraction


@dataclass(frozen=True, slots=True)
class Factor:
    """How many times what is planned before loss is used.

    `deviation` is of the logarithm; it, `low` and `high` are None for one order alone.
    """

    mean: float
    deviation: float | None
    count: int
    low: float | None
    high: float | None

    @property
    def loss_share(self) -> float:
        """The loss that plans for it, to three decimals; never below 0."""
        return max(0.0, round(self.mean - 1, 3))


@dataclass(frozen=True, slots=True)
class Used:
    """What orders taught of materials."""

    at: Connector

    def of_material(self, material: Material) -> tuple[Sample, ...]:
        """Orders that were handed over and whose use of it was told, the oldest first."""
        return self._samples(material.id).get(material.id, ())

    def factor(self, material: Material) -> Factor | None:
        """What they amount to; None if there is none yet."""
        return factor_of(self.of_material(material))

    def factors(self) -> dict[int, Factor]:
        """What there is to every material, by its number."""
        found = ((number, factor_of(told)) for number, told in self._samples().items())
        return {number: factor for number, factor in found if factor is not None}

    def _samples(self, material: int | None = None) -> dict[int, tuple[Sample, ...]]:
        handed_over = select(orders.c.id).where(orders.c.closed_as == "handed over")
        with self.at.reading() as connection:
            done = set(connection.scalars(handed_over))
            held = held_by(connection, material=material)
        found: dict[int, tuple[Sample, ...]] = {}
        for (number, order), one in sorted(held.items()):
            if order in done and one.used > 0 and one.planned_net:
                sample = Sample(order, amount_of(one.planned_net), amount_of(one.used))
                found[number] = (*found.get(number, ()), sample)
        return found


def factor_of(samples: Sequence[Sample]) -> Factor | None:
    """The factor of some orders; None of none."""
    if not samples:
        return None
    logs = [math.log(sample.used / sample.planned_net) for sample in samples]
    mean, count = statistics.fmean(logs), len(logs)
    if count == 1:
        return Factor(math.exp(mean), None, 1, None, None)
    from scipy.special import stdtrit

    deviation = statistics.stdev(logs)
    reach = float(stdtrit(count - 1, 0.95)) * deviation * math.sqrt(1 + 1 / count)
    return Factor(math.exp(mean), deviation, count, math.exp(mean - reach), math.exp(mean + reach))
