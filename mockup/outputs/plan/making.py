"""The plan of one order: flat, amounts, price and stock together, and the same as plain JSON."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from mockup.blank.flat import sector
from mockup.blank.wall import Blank
from mockup.design.document import Design
from mockup.design.products import figures_of
from mockup.design.shelf import Shelf
from mockup.outputs.plan.amounts import Amount, Mix, Share, amounts
from mockup.outputs.plan.cautions import cautions
from mockup.outputs.plan.days import Days, days_as_json
from mockup.outputs.plan.labour import Work, bench_work
from mockup.outputs.plan.money import shown
from mockup.outputs.plan.needs import needs
from mockup.outputs.plan.price import Line, Price, price
from mockup.outputs.plan.stock import (
    Balance,
    Purchase,
    Stock,
    after_orders,
    order_from,
    to_buy,
)
from mockup.outputs.revision import NOT_APPROVED, Revision

__all__ = ["Flat", "Making", "making", "making_as_json"]


@dataclass(frozen=True, slots=True)
class Flat:
    """The unrolled wall. `sector_outer_radius_mm` is None for a straight wall."""

    width_foot_mm: float
    width_rim_mm: float
    slant_mm: float
    area_mm2: float
    sector_deg: float
    sector_outer_radius_mm: float | None


@dataclass(frozen=True, slots=True)
class Making:
    """All that the maker needs.

    Attributes
    ----------
    steps
        The price of other quantities, smallest first.
    balances, purchases
        Of the materials of this order, where a stock was given; else None.
    uncounted
        Materials of which the stock does not tell how much there is.
    hours
        Products that dry, each with where its hours are from.
    proposals
        What real use taught of the materials, a sentence each; nothing here goes by it.
    days, no_days
        The calendar, and a sentence where there is none.
    """

    revision: Revision
    cups: int
    shelf: Shelf
    flat: Flat
    amounts: tuple[Amount, ...]
    mixes: tuple[Mix, ...]
    work: tuple[Work, ...]
    price: Price
    steps: tuple[Price, ...]
    cautions: tuple[str, ...]
    hours: tuple[tuple[str, str], ...]
    proposals: tuple[str, ...] = ()
    balances: tuple[Balance, ...] | None = None
    purchases: tuple[Purchase, ...] | None = None
    uncounted: tuple[str, ...] = ()
    days: Days | None = None
    no_days: str = "no start was given"


def making(
    design: Design,
    blank: Blank,
    shelf: Shelf,
    *,
    cups: int = 1,
    stock: Stock | None = None,
    only_listed: bool = False,
    standing: str = NOT_APPROVED,
) -> Making:
    """Work out the plan of `cups` cups.

    Parameters
    ----------
    only_listed
        Whether nothing is known of materials that the stock does not list; else there are none.
    standing
        Whether this revision is approved.

    Raises
    ------
    DesignError
        The shelf has no product for a layer, the stock counts a material in another unit, or an
        asset cannot be read.
    GeometryError
        A piece leaves the wall or overlaps itself.
    """
    needed = needs(design, blank, shelf)
    many = {n: amounts(needed, shelf, n) for n in sorted({*shelf.rates.quantities, cups})}
    found, mixed = many[cups]
    work = bench_work(design, shelf, cups)
    balances = purchases = None
    uncounted: tuple[str, ...] = ()
    if stock is not None:
        listed = {entry.item for entry in stock.on_hand}
        counted = [a for a in found if not only_listed or a.material in listed]
        uncounted = tuple(dict.fromkeys(a.material for a in found if a not in counted))
        order = order_from(design.document.title, date.max, counted)
        taken = {taking.item for taking in order.takes}
        here = stock.model_copy(
            update={"on_hand": tuple(e for e in stock.on_hand if e.item in taken)}
        )
        balances = after_orders(here, [order])
        purchases = tuple(to_buy(here, [order], shelf))
    return Making(
        revision=Revision.of(design, standing),
        cups=cups,
        shelf=shelf,
        flat=_flat(blank),
        amounts=found,
        mixes=mixed,
        work=work,
        price=price(found, work, shelf.rates, cups),
        steps=tuple(
            price(some, bench_work(design, shelf, n), shelf.rates, n)
            for n, (some, _) in many.items()
        ),
        cautions=cautions(
            [w.step for w in work], [amount.product for amount in found], shelf, blank
        ),
        hours=tuple(_hours(found)),
        balances=balances,
        purchases=purchases,
        uncounted=uncounted,
    )


def _hours(found: Sequence[Amount]) -> Iterator[tuple[str, str]]:
    dry = (a.product for a in found if getattr(a.product, "drying", None) is not None)
    for product in {product.name: product for product in dry}.values():
        hours = (f for f in figures_of(type(product)) if f.startswith("drying."))
        yield product.name, product.source_of(*hours).replace("drying.", "")


def _flat(blank: Blank) -> Flat:
    wall, cut = blank.wall, sector(blank.wall)
    foot, rim = (2 * math.pi * float(wall.radius_at(h)) for h in (0.0, wall.length_mm))
    radius = cut.outer_radius_mm if math.isfinite(cut.outer_radius_mm) else None
    return Flat(foot, rim, wall.length_mm, wall.area_mm2, cut.angle_deg, radius)


def making_as_json(plan: Making) -> dict[str, Any]:
    """Plain values. Money is whole minor units; lengths mm, amounts in the unit beside them."""
    flat = plan.flat
    told: dict[str, Any] = {
        "title": plan.revision.title,
        "revision": plan.revision.short,
        "fingerprint": plan.revision.fingerprint,
        "standing": plan.revision.standing,
        "cups": plan.cups,
        "shelf": plan.shelf.name,
        "flat": {
            "width_foot_mm": round(flat.width_foot_mm, 4),
            "width_rim_mm": round(flat.width_rim_mm, 4),
            "slant_mm": round(flat.slant_mm, 4),
            "area_mm2": round(flat.area_mm2, 3),
            "sector_deg": round(flat.sector_deg, 5),
            "sector_outer_radius_mm": _rounded(flat.sector_outer_radius_mm),
        },
        "amounts": [_amount(amount) for amount in plan.amounts],
        "mixes": [_mix(mix) for mix in plan.mixes],
        "work": [
            {"step": w.step, "times": w.times, "minutes": float(w.minutes), "formula": w.formula}
            for w in plan.work
        ],
        "price": _price(plan.price, plan.shelf)
        | {"quantities": [_quote(step) for step in plan.steps]},
        "days": None if plan.days is None else days_as_json(plan.days),
        "hours": [{"product": product, "source": source} for product, source in plan.hours],
        "proposals": list(plan.proposals),
        "cautions": list(plan.cautions),
    }
    if plan.days is None:
        told["no_days"] = plan.no_days
    if plan.balances is not None and plan.purchases is not None:
        told["stock"] = {
            "after": [_balance(balance) for balance in plan.balances],
            "to_buy": [_purchase(purchase) for purchase in plan.purchases],
            "uncounted": list(plan.uncounted),
        }
    return told


def _rounded(length_mm: float | None) -> float | None:
    return None if length_mm is None else round(length_mm, 4)


def _amount(amount: Amount) -> dict[str, Any]:
    told: dict[str, Any] = {
        "layer": amount.layer,
        "layer_index": amount.index if amount.index >= 0 else None,
        "kind": amount.product.kind,
        "material": amount.material,
        "amount_before_loss": amount.amount_before_loss,
        "amount": amount.amount,
        "unit": amount.unit,
        "formula": amount.formula,
        "factor": amount.factor,
        "source": amount.source,
    }
    if amount.parts:
        told["grams"] = round(sum(part.g for part in amount.parts), 3)
        told["parts"] = _parts(amount.parts)
    return told


def _parts(parts: tuple[Share, ...]) -> list[dict[str, Any]]:
    return [{"part": p.part, "ml": round(p.ml, 3), "g": round(p.g, 3)} for p in parts]


def _mix(mix: Mix) -> dict[str, Any]:
    return {
        "layer": mix.layer,
        "layer_index": mix.index,
        "coat": mix.coat,
        "coats": mix.coats,
        "cups": mix.cups,
        "times": mix.times,
        "ml": round(mix.ml, 3),
        "g": round(mix.g, 3),
        "parts": _parts(mix.parts),
        "raised_to_smallest_batch": mix.raised,
    }


def _quote(price: Price) -> dict[str, int]:
    return {
        "cups": price.cups,
        "each_minor": price.each_minor,
        "net_minor": price.net_minor,
        "tax_minor": price.tax_minor,
        "total_minor": price.total_minor,
    }


def _price(price: Price, shelf: Shelf) -> dict[str, Any]:
    rates = shelf.rates
    total = shown(price.total_minor, currency=rates.currency, minor_digits=rates.minor_digits)
    single = (price.waste, price.overhead, price.fees, price.margin, price.rounding)
    return {
        "currency": rates.currency,
        "minor_digits": rates.minor_digits,
        "quote": {**_quote(price), "total": total},
        "inner": {
            "materials": [_line(line) for line in price.materials],
            "materials_minor": price.materials_minor,
            "labour": [_line(line) for line in price.labour],
            "labour_minor": price.labour_minor,
            **{f"{line.what}_minor": line.minor for line in single},
            "cost_minor": price.cost_minor,
            "formulas": {line.what: line.formula for line in single},
        },
        "source": rates.source,
    }


def _line(line: Line) -> Mapping[str, str | int]:
    return {"what": line.what, "minor": line.minor, "formula": line.formula}


def _balance(balance: Balance) -> dict[str, Any]:
    return {
        "item": balance.item,
        "unit": balance.unit,
        "on_hand": float(balance.on_hand),
        "taken": float(balance.taken),
        "left": float(balance.left),
        "missing": float(balance.missing),
    }


def _purchase(purchase: Purchase) -> dict[str, Any]:
    return {
        "item": purchase.item,
        "unit": purchase.unit,
        "short": float(purchase.short),
        "packs": purchase.packs,
        "price_minor": purchase.price_minor,
    }
