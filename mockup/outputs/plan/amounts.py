"""What an order of so many cups takes from the shelf, with loss, mixes of resin and sundries."""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from mockup.design.products import Epoxy, Sundry
from mockup.design.shelf import AnyProduct, Shelf
from mockup.outputs.cut.goods import Goods, Run
from mockup.outputs.plan.figures import counted
from mockup.outputs.plan.needs import Need

__all__ = ["DECIMALS", "Amount", "Mix", "Share", "amounts", "cups_per_mix", "mixes", "split"]

DECIMALS = 4  # amounts are stated, priced and taken from stock to so many decimals
_ALMOST = 1e-9


@dataclass(frozen=True, slots=True)
class Share:
    """One part of a mix, by volume and by weight."""

    part: str
    ml: float
    g: float


@dataclass(frozen=True, slots=True)
class Mix:
    """One cup of resin as it is measured out. `coat` of `coats`, mixed `times` times like this.

    `cups` are coated with it; a mix for one cup that is larger than the largest batch is divided,
    and each of its portions is a mix for that cup.
    """

    layer: str
    index: int
    coat: int
    coats: int
    cups: int
    times: int
    ml: float
    parts: tuple[Share, Share]
    raised: bool  # to the smallest batch that mixes reliably

    @property
    def g(self) -> float:
        """Mass of the mix."""
        return sum(part.g for part in self.parts)


@dataclass(frozen=True, slots=True)
class Amount:
    """One material of one layer for the whole order.

    `factor` is what can be changed on the shelf and `source` where it comes from; `parts` are
    those of a resin, which together are the amount.
    """

    layer: str
    index: int
    product: AnyProduct
    material: str
    amount_before_loss: float
    amount: float
    unit: str
    formula: str
    factor: str
    source: str
    parts: tuple[Share, ...] = ()


def amounts(
    needed: Sequence[Need], shelf: Shelf, cups: int, *, of: int | None = None
) -> tuple[tuple[Amount, ...], tuple[Mix, ...]]:
    """Amounts of `cups` cups from the needs of one, and the mixes of resin.

    Parameters
    ----------
    of
        Cups of the order that these are a part of; sheets are cut for all of it at once.

    Returns
    -------
    Amounts in the order of the needs, sundries last, and the mixes in the order of the coats.
    """
    found, mixed = [], []
    packed = {
        lot: lot.runs(of or cups) for lot in {n.goods: None for n in needed} if lot is not None
    }
    for need in needed:
        if isinstance(need.product, Epoxy):
            made = mixes(need, need.product, shelf, cups)
            mixed += made
            found.append(_resin(need, need.product, made, cups))
        elif need.goods is not None:
            found.append(_packed(need, need.goods, packed[need.goods], cups / (of or cups)))
        else:
            found.append(_plain(need, cups))
    count = sum(mix.times for mix in mixed)
    found += _sundries(shelf, cups, count)
    return tuple(found), tuple(mixed)


def split(product: Epoxy, volume_ml: float) -> tuple[Share, Share]:
    """The two parts of `volume_ml` of mix. Their volumes are taken to add up."""
    a, b = product.ratio_a, product.ratio_b
    dense_a = product.density_a_g_per_ml or product.density_g_per_ml
    dense_b = product.density_b_g_per_ml or product.density_g_per_ml
    if product.ratio_by == "weight":
        a, b = a / dense_a, b / dense_b
    volume_a = volume_ml * a / (a + b)
    volume_b = volume_ml - volume_a
    return (
        Share("A", volume_a, volume_a * dense_a),
        Share("B", volume_b, volume_b * dense_b),
    )


def cups_per_mix(product: Epoxy, shelf: Shelf, coat_ml: float) -> int:
    """How many cups one mix is made for, at least 1.

    As many as stand on the rack, as are coated before it gels, and as a batch that keeps cool is
    enough for.
    """
    each = coat_ml * (1 + product.loss_share)
    most = [shelf.workshop.rack_cups, math.floor(product.largest_batch_ml / each + _ALMOST)]
    if shelf.handling.coat.cup_min > 0:
        most.append(math.floor(product.working_time_min / shelf.handling.coat.cup_min))
    return max(1, min(most))


def mixes(need: Need, product: Epoxy, shelf: Shelf, cups: int) -> list[Mix]:
    """Every mix of one layer: for each rack of cups as few as can be."""
    coat_ml = need.amount / need.coats
    runs = _runs(cups, shelf.workshop.rack_cups, cups_per_mix(product, shelf, coat_ml))
    return [
        _mix(need, product, coat, count, times, count * coat_ml)
        for coat in range(1, need.coats + 1)
        for count, times in runs.items()
    ]


def _runs(cups: int, rack: int, most: int) -> dict[int, int]:
    """Cups in a mix, most first, and how often: racks one after the other, mixes evenly shared."""
    times: dict[int, int] = {}
    for on_rack, racks in ((rack, cups // rack), (cups % rack, 1)):
        batches = math.ceil(on_rack / most)
        for batch in range(batches):
            count = on_rack // batches + (batch < on_rack % batches)
            times[count] = times.get(count, 0) + racks
    return dict(sorted(((n, t) for n, t in times.items() if t), reverse=True))


def _mix(need: Need, product: Epoxy, coat: int, cups: int, times: int, net_ml: float) -> Mix:
    """One mix for `cups` cups; what a batch that keeps cool is too small for is mixed in parts."""
    wanted = net_ml * (1 + product.loss_share)
    portions = max(1, math.ceil(wanted / product.largest_batch_ml - _ALMOST))
    ml = max(wanted / portions, product.smallest_batch_ml)
    return Mix(
        layer=need.layer,
        index=need.index,
        coat=coat,
        coats=need.coats,
        cups=cups,
        times=times * portions,
        ml=ml,
        parts=split(product, ml),
        raised=ml > wanted / portions,
    )


def _resin(need: Need, product: Epoxy, made: Sequence[Mix], cups: int) -> Amount:
    before, whole = cups * need.amount, sum(mix.times * mix.ml for mix in made)
    formula = _lossy(need, product.loss_share, cups, before, "mL")
    if any(mix.raised for mix in made):
        formula += f", raised to batches of {product.smallest_batch_ml:g} mL"
    factor = f"{need.factor}, loss_share = {product.loss_share:g}"
    factor += f", smallest_batch_ml = {product.smallest_batch_ml:g}"
    factor += f", ratio_a = {product.ratio_a:g}, ratio_b = {product.ratio_b:g}"
    return _stated(
        need, before, whole, f"{formula} = {_figure(whole, 'mL')}", factor, split(product, whole)
    )


def _plain(need: Need, cups: int) -> Amount:
    loss = need.product.loss_share
    before = cups * need.amount
    whole = before * (1 + loss)
    unit = need.product.unit
    formula = _lossy(need, loss, cups, before, unit)
    if loss:
        formula += f" = {_figure(whole, unit)}"
    factor = f"{need.factor}, loss_share = {loss:g}".removeprefix(", ")
    return _stated(need, before, whole, formula, factor)


def _packed(need: Need, goods: Goods, runs: Sequence[Run], part: float) -> Amount:
    """A layer's part of what is used of the sheets, by the area of its frames."""
    loss, unit = need.product.loss_share, need.product.unit
    own, all_of_it = goods.share_of(need.index)
    before = sum(run.area_mm2 for run in runs) / 100 * (own / all_of_it) * part
    whole = before * (1 + loss)
    formula = f"used of {goods.size}: {' + '.join(_used(run) for run in runs)}"
    if own < all_of_it:
        formula += f", × its frames' part {own / 100:.1f} ÷ {all_of_it / 100:.1f}"
    formula += f" = {_figure(before, unit)}"
    if loss:
        formula += f"; × (1 + {loss:g}) = {_figure(whole, unit)}"
    return _stated(need, before, whole, formula, f"{need.factor}, loss_share = {loss:g}")


def _used(run: Run) -> str:
    """Such as ``2 × 290 × 151 mm (4 cups)``."""
    often = f"{run.times} × " if run.times > 1 else ""
    sheets = " + ".join(f"{s.used_width_mm:.1f} × {s.used_mm:.1f} mm" for s in run.sheets)
    if len(run.sheets) > 1 and often:
        sheets = f"({sheets})"
    return f"{often}{sheets}" + (f" for {run.cups} cups" if run.cups > 1 else "")


def _lossy(need: Need, loss: float, cups: int, before: float, unit: str) -> str:
    many = f" × {cups} cups" if cups > 1 else ""
    lost = f"; × (1 + {loss:g})" if loss else ""
    return f"{need.formula}{many} = {_figure(before, unit)}{lost}"


def _figure(amount: float, unit: str) -> str:
    """As the amount itself is told."""
    return counted(round(amount, DECIMALS), unit)


def _stated(
    need: Need,
    before: float,
    whole: float,
    formula: str,
    factor: str,
    parts: tuple[Share, ...] = (),
) -> Amount:
    return Amount(
        layer=need.layer,
        index=need.index,
        product=need.product,
        material=need.material,
        amount_before_loss=round(before, DECIMALS),
        amount=round(whole, DECIMALS),
        unit=need.product.unit,
        formula=formula,
        factor=factor,
        source=_source(need, factor),
        parts=parts,
    )


def _source(need: Need, factor: str) -> str:
    """Where the figures are from that the amount and its drying go by."""
    sheet = ("sheet_width_mm", "sheet_height_mm") if need.goods is not None else ()
    return need.product.source_of(*re.findall(r"(\w+) = ", factor), *sheet)


def _sundries(shelf: Shelf, cups: int, mixed: int) -> Iterator[Amount]:
    """Whole pieces."""
    for product in shelf.of_kind(Sundry):
        before = product.per_cup * cups + product.per_mix * mixed
        whole = math.ceil(before * (1 + product.loss_share) - _ALMOST)
        if whole == 0:
            continue
        terms = [
            f"{each:g} × {count} {what}"
            for each, count, what in (
                (product.per_cup, cups, "cup" if cups == 1 else "cups"),
                (product.per_mix, mixed, "mix" if mixed == 1 else "mixes"),
            )
            if each and count
        ]
        need = Need("sundries", -1, product, product.name, before, "", "")
        formula = " + ".join(terms) + f" = {counted(whole, 'piece')}"
        factor = f"per_cup = {product.per_cup:g}, per_mix = {product.per_mix:g}"
        yield _stated(need, before, whole, formula, factor)
