"""The price: the quote that the customer sees and the inner sum that it comes from.

With cost K (materials, waste, labour, overhead), fees f of what the customer pays, margin m of the
price before tax and tax t on it, the least price before tax is K / (1 − m − f (1 + t)). The price
of a piece is that, with its tax where prices are shown with it, rounded up to the maker's step.
Then every line is rounded to the minor unit, and what is left over by rounding up is a line of its
own, so that the lines add up to the total exactly.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import count

from mockup.design.shelf import AnyProduct, Rates
from mockup.outputs.plan.amounts import Amount
from mockup.outputs.plan.figures import counted
from mockup.outputs.plan.labour import Work
from mockup.outputs.plan.money import exact, rounded, rounded_up, shown

__all__ = ["Line", "Price", "price"]


@dataclass(frozen=True, slots=True)
class Line:
    """One sum of the inner account, in minor units, and how it was worked out."""

    what: str
    minor: int
    formula: str


@dataclass(frozen=True, slots=True)
class Price:
    """What an order costs, in minor units.

    ``total = net + tax`` and ``net = materials + waste + labour + overhead + fees + margin +
    rounding``, exactly. `total` is `each_minor` × `cups` where prices are shown with tax, else
    `net_minor` is. `rounding` is what rounding up leaves above the margin, never below 0.
    """

    cups: int
    each_minor: int
    net_minor: int
    tax_minor: int
    total_minor: int
    materials: tuple[Line, ...]
    labour: tuple[Line, ...]
    waste: Line
    overhead: Line
    fees: Line
    margin: Line
    rounding: Line

    @property
    def materials_minor(self) -> int:
        """All materials together."""
        return sum(line.minor for line in self.materials)

    @property
    def labour_minor(self) -> int:
        """All handling together."""
        return sum(line.minor for line in self.labour)

    @property
    def cost_minor(self) -> int:
        """What the order costs the maker, before fees, margin and tax."""
        spent = self.materials_minor + self.labour_minor
        return spent + self.waste.minor + self.overhead.minor


def price(amounts: Sequence[Amount], work: Sequence[Work], rates: Rates, cups: int) -> Price:
    """Work out what `cups` cups cost.

    Parameters
    ----------
    amounts, work
        Of the whole order.
    """
    materials, labour = tuple(_materials(amounts, rates)), tuple(_labour(work, rates))
    material, wages = (sum(line.minor for line in lines) for lines in (materials, labour))
    waste = rounded(material * exact(rates.waste_share))
    share = rounded((material + waste + wages) * exact(rates.overhead_share))
    overhead = rates.overhead_per_cup_minor * cups + share
    cost = material + waste + wages + overhead
    each, net, tax, fees = next(_enough(cost, rates, cups))
    left = net - cost - fees
    margin = rounded(net * exact(rates.margin_share))
    return Price(
        cups=cups,
        each_minor=each,
        net_minor=net,
        tax_minor=tax,
        total_minor=net + tax,
        materials=materials,
        labour=labour,
        waste=Line("waste", waste, f"{_share(rates.waste_share)} of materials"),
        overhead=Line(
            "overhead",
            overhead,
            f"{_money(rates.overhead_per_cup_minor, rates)} × {cups} "
            f"+ {_share(rates.overhead_share)} of materials, waste and labour",
        ),
        fees=Line("fees", fees, f"{_share(rates.fees_share)} of what the customer pays"),
        margin=Line("margin", margin, f"{_share(rates.margin_share)} of the price before tax"),
        rounding=Line(
            "rounding", left - margin, f"up to steps of {_money(rates.rounding_step_minor, rates)}"
        ),
    )


def _money(minor: int, rates: Rates) -> str:
    return shown(minor, currency=rates.currency, minor_digits=rates.minor_digits)


def _share(share: float) -> str:
    return f"{float(100 * exact(share)):g}\u00a0%"


def _materials(amounts: Sequence[Amount], rates: Rates) -> list[Line]:
    """One line a material, wherever in the stack it is used."""
    needed: dict[str, tuple[Fraction, Amount]] = {}
    for amount in amounts:
        so_far, _ = needed.get(amount.material, (Fraction(0), amount))
        needed[amount.material] = so_far + exact(amount.amount), amount
    lines = []
    for material, (much, amount) in needed.items():
        pack, paid = exact(amount.product.pack), amount.product.pack_price_minor
        formula = f"{counted(float(much), amount.unit)} × {_money(paid, rates)} "
        formula += f"÷ {counted(float(pack), amount.unit)}"
        formula += f"; price {_source(amount.product)}"
        lines.append(Line(material, rounded(much * paid / pack), formula))
    return lines


def _source(product: AnyProduct) -> str:
    """Where the price of a pack is from, such as ``typical``."""
    return product.source_of("pack_price_minor").partition(";")[0]


def _labour(work: Sequence[Work], rates: Rates) -> list[Line]:
    hourly = rates.hourly_rate_minor
    told = f"at {_money(hourly, rates)} an hour"
    return [
        Line(step.step, rounded(step.minutes * hourly / 60), f"{step.formula} {told}")
        for step in work
    ]


def _enough(cost_minor: int, rates: Rates, cups: int) -> Iterator[tuple[int, int, int, int]]:
    """Prices that leave the margin, from the least one on: each as shown, net, tax, fees of all.

    Rounding to minor units may take a little of the margin at the exact price; then the next step
    is the least.
    """
    tax_share, fees_share = exact(rates.tax_share), exact(rates.fees_share)
    margin_share, step = exact(rates.margin_share), rates.rounding_step_minor
    kept = 1 - margin_share - fees_share * (1 + tax_share)
    each_net = Fraction(cost_minor) / kept / cups
    shown = each_net * (1 + tax_share) if rates.round_with_tax else each_net
    for each in count(rounded_up(shown, step), step):
        if rates.round_with_tax:
            net = rounded(each * cups / (1 + tax_share))
            tax = each * cups - net
        else:
            net, tax = each * cups, rounded(each * cups * tax_share)
        fees = rounded((net + tax) * fees_share)
        if net - cost_minor - fees >= rounded(net * margin_share):
            yield each, net, tax, fees
