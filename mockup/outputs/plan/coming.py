"""The orders of the coming weeks together: what each takes, what is left, what to buy."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from mockup.blank.wall import Blank
from mockup.design.document import Design
from mockup.design.shelf import Shelf
from mockup.design.strict import parse_toml, validate
from mockup.errors import DesignError
from mockup.outputs.plan.amounts import amounts
from mockup.outputs.plan.bookings import day_text
from mockup.outputs.plan.figures import figure, unit_of
from mockup.outputs.plan.money import shown
from mockup.outputs.plan.needs import needs
from mockup.outputs.plan.stock import (
    Balance,
    Order,
    Purchase,
    Stock,
    after_orders,
    order_from,
    to_buy,
)
from mockup.outputs.plan.words import table

__all__ = ["Coming", "coming", "coming_as_json", "coming_in_words", "order_of", "stock_text"]

_HEAD = """\
# What is on hand. Count it, and put the amounts in; the items are named as the plan names them.
# keep = 50 beside an amount has more bought before it falls below 50.

format = 1
"""


@dataclass(frozen=True, slots=True)
class Coming:
    """Several orders against one stock.

    Attributes
    ----------
    orders
        By their due dates; `date.max` for one that has none.
    later
        Those that are due after the day up to which is bought; they take nothing yet.
    """

    orders: tuple[Order, ...]
    later: tuple[Order, ...]
    balances: tuple[Balance, ...]
    purchases: tuple[Purchase, ...]
    shelf: Shelf

    @property
    def total_minor(self) -> int:
        """What all packs to buy cost."""
        return sum(purchase.price_minor for purchase in self.purchases)


def order_of(design: Design, blank: Blank, shelf: Shelf, *, cups: int, due: date | None) -> Order:
    """What `cups` cups of a design take, as its plan says."""
    found, _ = amounts(needs(design, blank, shelf), shelf, cups)
    name = f"{design.document.title}, {cups} cup{'s' if cups > 1 else ''}"
    return order_from(name, due or date.max, found)


def coming(
    orders: Sequence[Order], stock: Stock, shelf: Shelf, *, until: date | None = None
) -> Coming:
    """Add up what `orders` take of the stock, and find what to buy for those due by `until`.

    Raises
    ------
    DesignError
        Stock and an order count a material in different units, or what falls below what is to be
        kept is no product of the shelf.
    """
    by_due = sorted(orders, key=lambda order: order.due)
    now = [order for order in by_due if until is None or order.due <= until]
    later = [order for order in by_due if order not in now]
    bought = to_buy(stock, now, shelf)
    return Coming(tuple(now), tuple(later), after_orders(stock, now), tuple(bought), shelf)


def coming_in_words(plan: Coming) -> str:
    """As a maker reads it in a terminal; orders have numbers, so that lines stay short."""
    numbered = enumerate(plan.orders, start=1)
    parts = [["Orders", *(f"  {n}  {_due(order):14}  {order.name}" for n, order in numbered)]]
    if plan.later:
        parts.append(["Later", *(f"     {_due(order):14}  {order.name}" for order in plan.later)])
    parts.append(["Stock", *_balances(plan)])
    parts.append(["To buy", *_purchases(plan)])
    return "\n\n".join("\n".join(part) for part in parts)


def _due(order: Order) -> str:
    return "no due date" if order.due == date.max else f"by {day_text(order.due)}"


def _balances(plan: Coming) -> Iterable[str]:
    rows: list[tuple[str, ...]] = [("material", "on hand", "taken", "left", "missing", "")]
    for b in plan.balances:
        sums = (b.on_hand, b.taken, b.left, b.missing)
        told = (figure(float(one)) if one else "–" for one in sums)
        rows.append((b.item, *told, unit_of(float(b.left or b.missing), b.unit)))
    return table(rows, right=(1, 2, 3, 4))


def _purchases(plan: Coming) -> Iterable[str]:
    if not plan.purchases:
        return ["  nothing: all of it is on hand"]
    rows = [("material", "short", "", "packs", "price", "first for")]
    for p in plan.purchases:
        first = "to keep"
        if p.first_short is not None:
            first = f"order {plan.orders.index(p.first_short) + 1}, {_due(p.first_short)}"
        short, price = float(p.short), _money(plan, p.price_minor)
        unit = unit_of(short, p.unit)
        rows.append((p.item, figure(short), unit, str(p.packs), price, first))
    rows.append(("together", "", "", "", _money(plan, plan.total_minor), ""))
    return table(rows, right=(1, 3, 4))


def _money(plan: Coming, minor: int) -> str:
    rates = plan.shelf.rates
    return shown(minor, currency=rates.currency, minor_digits=rates.minor_digits)


def coming_as_json(plan: Coming) -> dict[str, Any]:
    """Plain values. Money is whole minor units; amounts in the unit beside them."""
    return {
        "orders": [_order(order) for order in plan.orders],
        "later": [order.name for order in plan.later],
        "after": [
            {
                "item": b.item,
                "unit": b.unit,
                "on_hand": float(b.on_hand),
                "taken": float(b.taken),
                "left": float(b.left),
                "missing": float(b.missing),
            }
            for b in plan.balances
        ],
        "to_buy": [
            {
                "item": p.item,
                "unit": p.unit,
                "short": float(p.short),
                "packs": p.packs,
                "price_minor": p.price_minor,
                "first_short": p.first_short.name if p.first_short else None,
            }
            for p in plan.purchases
        ],
        "total_minor": plan.total_minor,
        "currency": plan.shelf.rates.currency,
        "minor_digits": plan.shelf.rates.minor_digits,
    }


def _order(order: Order) -> dict[str, Any]:
    return {
        "name": order.name,
        "due": None if order.due == date.max else order.due.isoformat(),
        "takes": [{"item": t.item, "amount": float(t.amount), "unit": t.unit} for t in order.takes],
    }


def stock_text(orders: Sequence[Order], before: str, *, where: str) -> str:
    """A stock file to fill in: every material that the orders take, with nothing on hand.

    Parameters
    ----------
    before
        The file as it is; what is in it stays as it stands, and only what it lacks comes after
        it. Empty for a new one.
    where
        Names the file in messages.

    Raises
    ------
    DesignError
        `before` is no stock, or holds its entries so that none can be put after them.
    """
    there = {entry.item for entry in _stock(before, where).on_hand} if before.strip() else set()
    units = {taking.item: taking.unit for order in orders for taking in order.takes}
    text = before.rstrip("\n") + "\n" if before.strip() else _HEAD
    for item in sorted(units.keys() - there, key=str.casefold):
        name = json.dumps(item, ensure_ascii=False)
        text += f'\n[[on_hand]]\nitem = {name}\namount = 0\nunit = "{units[item]}"\n'
    try:
        _stock(text, where)
    except DesignError:
        raise DesignError(
            "no entries can be put after those of this file",
            where=where,
            remedy="Write each of them under a heading [[on_hand]] of its own",
        ) from None
    return text


def _stock(text: str, where: str) -> Stock:
    return validate(Stock, parse_toml(text.encode(), where=where), where=where)
