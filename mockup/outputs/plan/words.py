"""The plan as a maker reads it in a terminal: one table after another, no colour."""

from collections.abc import Iterable, Iterator, Sequence

from mockup.outputs.plan.amounts import Amount, Mix
from mockup.outputs.plan.days_words import days_in_words
from mockup.outputs.plan.figures import figure, unit_of
from mockup.outputs.plan.making import Flat, Making
from mockup.outputs.plan.money import shown
from mockup.outputs.plan.price import Line

__all__ = ["making_in_words", "table"]


def making_in_words(plan: Making) -> str:
    """All of the plan, lines of text."""
    cups = f"{plan.cups} cup{'s' if plan.cups > 1 else ''}"
    parts = [
        [
            f"{plan.revision.title}: {cups}, by the {plan.shelf.name}",
            f"{plan.revision.standing.upper()} · revision {plan.revision.short}",
        ],
        ["Flat", *_flat(plan.flat)],
        [f"Amounts for {cups}", *_amounts(plan.amounts)],
        ["Resin, mix by mix", *_mixes(plan.mixes)] if plan.mixes else [],
        ["Handling", *_work(plan)],
        ["Days", *(days_in_words(plan.days) if plan.days else [f"  none: {plan.no_days}"])],
        ["Where hours are from", *(f"  {product}: {told}" for product, told in plan.hours)],
        ["Price: inner sum for the maker", *_inner(plan)],
        ["Price: quote for the customer", *_quotes(plan)],
        _stock(plan),
        ["How the amounts were worked out", *_formulas(plan.amounts)],
        ["What use taught (a proposal)", *(f"  {told}" for told in plan.proposals)]
        if plan.proposals
        else [],
        ["Cautions", *(f"  - {sentence}" for sentence in plan.cautions)],
    ]
    return "\n\n".join("\n".join(part) for part in parts if part)


def _flat(flat: Flat) -> Iterator[str]:
    if flat.sector_outer_radius_mm is None:
        yield f"  rectangle {flat.width_foot_mm:.1f} × {flat.slant_mm:.1f} mm"
    else:
        yield (
            f"  sector of {flat.sector_deg:.2f}°, outer radius {flat.sector_outer_radius_mm:.1f} "
            f"mm, slant {flat.slant_mm:.1f} mm"
        )
        yield f"  once round: {flat.width_foot_mm:.1f} mm at the foot"
        yield f"              {flat.width_rim_mm:.1f} mm at the rim"
    yield f"  area {flat.area_mm2:,.1f} mm²"


def _amounts(amounts: Sequence[Amount]) -> Iterable[str]:
    rows = [("layer", "material", "before loss", "amount", "")]
    for amount in amounts:
        before, whole = figure(amount.amount_before_loss), figure(amount.amount)
        unit = unit_of(amount.amount, amount.unit)
        rows.append((amount.layer, amount.material, before, whole, unit))
        rows += [
            ("", f"  part {p.part}", "", f"{p.ml:.2f}", f"mL = {p.g:.2f} g") for p in amount.parts
        ]
    return table(rows, right=(2, 3))


def _mixes(mixes: Sequence[Mix]) -> Iterable[str]:
    rows = [("layer", "coat", "cups", "times", "A", "", "B", "", "together")]
    for mix in mixes:
        a, b = mix.parts
        note = "  (smallest batch)" if mix.raised else ""
        rows.append((
            mix.layer,
            f"{mix.coat} of {mix.coats}",
            str(mix.cups),
            str(mix.times),
            f"{a.ml:.1f} mL",
            f"{a.g:.1f} g",
            f"{b.ml:.1f} mL",
            f"{b.g:.1f} g",
            f"{mix.ml:.1f} mL{note}",
        ))  # fmt: skip
    return table(rows, right=(2, 3, 4, 5, 6, 7))


def _formulas(amounts: Sequence[Amount]) -> Iterator[str]:
    for amount in amounts:
        yield f"  {amount.layer}, {amount.material}: {amount.formula}"
        change = f"change {amount.factor}; " if amount.factor else ""
        yield f"      {change}{amount.source}"


def _work(plan: Making) -> Iterable[str]:
    rows = [("step", "minutes", "")]
    rows += [(w.step.replace("_", " "), figure(float(w.minutes)), w.formula) for w in plan.work]
    total = sum(w.minutes for w in plan.work)
    rows.append(("together", figure(float(total)), f"{float(total) / 60:.1f} h"))
    return table(rows, right=(1,))


def _inner(plan: Making) -> Iterable[str]:
    price = plan.price
    single = (price.waste, price.overhead, price.fees, price.margin, price.rounding)
    rows = [(line.what, _money(plan, line.minor), line.formula) for line in price.materials]
    rows.append(("materials", _money(plan, price.materials_minor), ""))
    hourly = _money(plan, plan.shelf.rates.hourly_rate_minor)
    wages = Line("labour", price.labour_minor, f"{hourly} an hour")
    rows += [(line.what, _money(plan, line.minor), line.formula) for line in (wages, *single)]
    rows.append(("price before tax", _money(plan, price.net_minor), plan.shelf.rates.source))
    return table(rows, right=(1,))


def _quotes(plan: Making) -> Iterable[str]:
    rows: list[tuple[str, ...]] = [("cups", "each", "before tax", "tax", "together")]
    for step in plan.steps:
        sums = (step.each_minor, step.net_minor, step.tax_minor, step.total_minor)
        rows.append((str(step.cups), *(_money(plan, minor) for minor in sums)))
    shows = "with" if plan.shelf.rates.round_with_tax else "before"
    return [*table(rows, right=(0, 1, 2, 3, 4)), f"  each is {shows} tax"]


def _stock(plan: Making) -> list[str]:
    if plan.balances is None or plan.purchases is None:
        return []
    rest = ["  no materials of yours, so not counted:"] if plan.uncounted else []
    rest += [f"    {material}" for material in plan.uncounted]
    if not plan.purchases:
        what = "what is counted" if rest else "all of it"
        return ["Stock", f"  {what} is on hand", *rest]
    rows = [("missing or low", "short", "", "packs", "price")]
    for p in plan.purchases:
        price = _money(plan, p.price_minor)
        short = float(p.short)
        rows.append((p.item, figure(short), unit_of(short, p.unit), str(p.packs), price))
    return ["Stock: to buy", *table(rows, right=(1, 3, 4)), *rest]


def _money(plan: Making, minor: int) -> str:
    rates = plan.shelf.rates
    return shown(minor, currency=rates.currency, minor_digits=rates.minor_digits)


def table(rows: Sequence[Sequence[str]], *, right: tuple[int, ...]) -> list[str]:
    """Columns as wide as their widest cell; those in `right` end flush."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = (
            cell.rjust(width) if i in right else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        lines.append("  " + "  ".join(cells).rstrip())
    return lines
