"""Stock: what is on hand, what orders take of it, and what to buy for those of the coming weeks.

Pure functions over a small strict TOML document. Amounts are added up as exact fractions, and none
ever falls below zero in silence: what is not there is counted as missing.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Literal

from pydantic import Field, model_validator

from mockup.design.fields import Name, Part
from mockup.design.products import AnyProduct
from mockup.design.shelf import Shelf
from mockup.design.strict import read_document
from mockup.errors import DesignError
from mockup.outputs.plan.amounts import Amount
from mockup.outputs.plan.money import exact

__all__ = [
    "Balance",
    "OnHand",
    "Order",
    "Purchase",
    "Stock",
    "Taking",
    "after_orders",
    "order_from",
    "read_stock",
    "to_buy",
]


class OnHand(Part):
    """One material on the shelf."""

    item: Name = Field(description="As the plan names the material.")
    amount: float = Field(ge=0, le=10**9)
    unit: Literal["mL", "g", "cm²", "cm2", "piece"]
    keep: float = Field(0.0, ge=0, le=10**9, description="Buy before it falls below this.")

    @property
    def counted_in(self) -> str:
        """The unit as amounts spell it."""
        return "cm²" if self.unit == "cm2" else self.unit


class Stock(Part):
    """What stock.toml holds. ``format = 1``."""

    format: Literal[1]
    note: str = Field("", max_length=2000)
    on_hand: tuple[OnHand, ...] = Field(max_length=2000)

    @model_validator(mode="after")
    def _once_each(self) -> "Stock":
        items = [entry.item for entry in self.on_hand]
        twice = next((item for item in items if items.count(item) > 1), None)
        if twice is not None:
            raise ValueError(f"{twice!r} is listed twice; add its amounts up in one entry")
        return self


@dataclass(frozen=True, slots=True)
class Taking:
    """What one order takes of one material."""

    item: str
    unit: str
    amount: Fraction
    product: AnyProduct


@dataclass(frozen=True, slots=True)
class Order:
    """What is promised to be made by `due`."""

    name: str
    due: date
    takes: tuple[Taking, ...]


@dataclass(frozen=True, slots=True)
class Balance:
    """One material after all orders: ``on_hand + missing = taken + left``; left or missing is 0."""

    item: str
    unit: str
    on_hand: Fraction
    taken: Fraction
    left: Fraction
    missing: Fraction


@dataclass(frozen=True, slots=True)
class Purchase:
    """Whole packs of one material, the least that is enough.

    `first_short` names the first order, by its due date, that cannot be made without; None if the
    stock only falls below what is to be kept.
    """

    item: str
    unit: str
    short: Fraction
    packs: int
    price_minor: int
    first_short: Order | None


def order_from(name: str, due: date, amounts: Iterable[Amount]) -> Order:
    """An order that takes these amounts, added up by material."""
    takes: dict[str, Taking] = {}
    for amount in amounts:
        before = takes.get(amount.material)
        so_far = before.amount if before else Fraction(0)
        takes[amount.material] = Taking(
            amount.material, amount.unit, so_far + exact(amount.amount), amount.product
        )
    return Order(name, due, tuple(takes.values()))


def after_orders(stock: Stock, orders: Sequence[Order]) -> tuple[Balance, ...]:
    """Every material that is on hand or taken, sorted by name, after all `orders`.

    Raises
    ------
    DesignError
        Stock and an order count a material in different units.
    """
    held = {entry.item: entry for entry in stock.on_hand}
    taken: dict[str, tuple[str, Fraction]] = {
        entry.item: (entry.counted_in, Fraction(0)) for entry in stock.on_hand
    }
    for order in orders:
        for taking in order.takes:
            unit, so_far = taken.get(taking.item, (taking.unit, Fraction(0)))
            if unit != taking.unit:
                raise DesignError(
                    f"{taking.item!r} is counted in {unit} and taken in {taking.unit}",
                    where=f"stock, order {order.name!r}",
                    remedy=f"Count it in {taking.unit}",
                )
            taken[taking.item] = unit, so_far + taking.amount
    balances = []
    for item, (unit, much) in sorted(taken.items()):
        there = exact(held[item].amount) if item in held else Fraction(0)
        left = there - much
        balances.append(
            Balance(item, unit, there, much, max(left, Fraction(0)), max(-left, Fraction(0)))
        )
    return tuple(balances)


def to_buy(
    stock: Stock, orders: Sequence[Order], shelf: Shelf, *, until: date | None = None
) -> list[Purchase]:
    """What is short for the orders that are due by `until`, in whole packs, soonest needed first.

    Raises
    ------
    DesignError
        Stock and an order count a material in different units, or what is short is no product of
        the shelf, so that nobody knows how it is packed.
    """
    coming = sorted((o for o in orders if until is None or o.due <= until), key=lambda o: o.due)
    keep = {entry.item: exact(entry.keep) for entry in stock.on_hand}
    bought = []
    for balance in after_orders(stock, coming):
        spare = balance.left - keep.get(balance.item, Fraction(0))
        short = balance.missing - min(spare, Fraction(0))
        if short == 0:
            continue
        product = _product(balance.item, coming, shelf)
        packs = int(-(-short // exact(product.pack)))
        first = _first_short(coming, balance.item, balance.on_hand)
        price = packs * product.pack_price_minor
        bought.append(Purchase(balance.item, balance.unit, short, packs, price, first))
    return sorted(bought, key=lambda p: (p.first_short.due if p.first_short else date.max, p.item))


def _product(item: str, orders: Iterable[Order], shelf: Shelf) -> AnyProduct:
    """What is bought as `item`: as an order has it, or else by its name on the shelf."""
    for taking in _takings(orders, item):
        return taking.product
    for product in shelf.products:
        if item == product.name or item.startswith(f"{product.name}, "):
            return product
    raise DesignError(
        f"{item!r} is short and no product of the shelf",
        where="stock",
        remedy="Name it as the plan does, or add it to the shelf",
    )


def _takings(orders: Iterable[Order], item: str) -> Iterator[Taking]:
    return (taking for order in orders for taking in order.takes if taking.item == item)


def _first_short(orders: Sequence[Order], item: str, there: Fraction) -> Order | None:
    for order in orders:
        for taking in _takings([order], item):
            there -= taking.amount
        if there < 0:
            return order
    return None


def read_stock(path: Path) -> Stock:
    """The stock at `path`.

    Raises
    ------
    DesignError
        The file cannot be read, or a key or value in it is wrong.
    """
    return read_document(Stock, path, what="stock")
