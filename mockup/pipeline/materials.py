"""The maker's own materials in every figure: on the shelf, as stock, reserved for an order.

Where a shelf's file is named it stands alone. Else the maker's materials lie on the maker's own
shelf.toml, or on the typical one, and take the place of its products.
"""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

from mockup.blank.wall import build_blank
from mockup.design.material import on_shelf
from mockup.design.shelf import Shelf, read_shelf
from mockup.errors import StoreError
from mockup.outputs.plan.amounts import Amount, amounts
from mockup.outputs.plan.money import exact
from mockup.outputs.plan.needs import needs
from mockup.outputs.plan.stock import OnHand, Stock
from mockup.store import Store, open_store
from mockup.store.connect import connector_for
from mockup.store.material_records import Claim, Material
from mockup.store.used import Factor

__all__ = [
    "Own",
    "Reserved",
    "factor_in_words",
    "own_store",
    "read_own",
    "reserve_for",
    "reserved_by",
    "shelf_of",
    "stock_of",
    "what_use_taught",
]

_UNREAD = ", without your materials: they cannot be read"


@contextmanager
def own_store() -> Iterator[Store | None]:
    """The maker's own store; None where there is none, and none is made.

    Raises
    ------
    StoreError
        It cannot be read.
    """
    file = connector_for(None).file
    if file is not None and not file.exists():
        yield None
        return
    with open_store() as store:
        yield store


@dataclass(frozen=True, slots=True)
class Own:
    """The maker's materials as they are now.

    `factors` are what use taught, `held` what the order has reserved that is asked about, both by
    the material's number. `unread`: there may be materials, but nobody can tell.
    """

    materials: tuple[Material, ...] = ()
    factors: Mapping[int, Factor] = field(default_factory=dict)
    held: Mapping[int, Fraction] = field(default_factory=dict)
    unread: bool = False

    def shelf(self, *, room_c: float | None = None) -> Shelf:
        """The maker's shelf, or the typical one, with these on it."""
        shelf = on_shelf(read_shelf(), tuple(m.product for m in self.materials))
        if self.unread:
            shelf = shelf.model_copy(update={"name": shelf.name[:40] + _UNREAD})
        return _in_room(shelf, room_c)


def read_own(store: Store | None = None, *, order: int | None = None) -> Own:
    """The materials of a store, or else of the maker's own, and what their use taught."""
    if store is not None:
        materials = store.materials.all()
        claims = store.stock.of_order(order) if order is not None else ()
        held = {claim.material_id: claim.reserved for claim in claims}
        return Own(materials, store.used.factors(), held)
    try:
        with own_store() as own:
            return Own() if own is None else read_own(own, order=order)
    except StoreError:
        return Own(unread=True)


def shelf_of(path: Path | None, *, room_c: float | None = None) -> Shelf:
    """The shelf in a file, or else the maker's own with the maker's own materials on it.

    Raises
    ------
    DesignError
        The file cannot be read, or a key or value in it is wrong.
    """
    if path is None:
        return read_own().shelf(room_c=room_c)
    return _in_room(read_shelf(path), room_c)


def _in_room(shelf: Shelf, room_c: float | None) -> Shelf:
    if room_c is None:
        return shelf
    workshop = shelf.workshop.model_copy(update={"room_c": room_c})
    return shelf.model_copy(update={"workshop": workshop})


def stock_of(own: Own) -> Stock:
    """What no other order has reserved."""
    on_hand = []
    for material in own.materials:
        free = max(Fraction(0), material.free + own.held.get(material.id, Fraction(0)))
        on_hand.append(OnHand(item=material.name, amount=float(free), unit=material.unit))
    return Stock(format=1, note="from your materials", on_hand=tuple(on_hand))


def what_use_taught(own: Own, found: Iterable[Amount]) -> tuple[str, ...]:
    """A sentence for each material of these amounts whose real use asks for another loss."""
    taken = {amount.product.name for amount in found}
    return tuple(
        f"{material.name}: {factor_in_words(factor)}; planned with loss_share = "
        f"{material.product.loss_share:g}, proposed {factor.loss_share:g}"
        for material in own.materials
        for factor in [own.factors.get(material.id)]
        if material.name in taken and factor is not None
        if factor.loss_share != material.product.loss_share
    )


def factor_in_words(factor: Factor) -> str:
    """Such as ``1.31 times what is planned before loss, of 5 orders; the next between …``."""
    many = f"{factor.count} orders" if factor.count > 1 else "1 order"
    told = f"{factor.mean:.3g} times what is planned before loss was used, of {many}"
    if factor.low is None or factor.high is None:
        return f"{told}; its spread is not known yet"
    return f"{told}; the next lies between {factor.low:.3g} and {factor.high:.3g}, 9 times in 10"


@dataclass(frozen=True, slots=True)
class Reserved:
    """What an order holds now: its materials with their claims, and what is no material of yours.

    `short` is what is missing of a material after all orders, by its number.
    """

    claims: tuple[tuple[Material, Claim], ...]
    others: tuple[str, ...]
    short: Mapping[int, Fraction]


def reserve_for(store: Store, order: int, *, cups: int | None = None) -> Reserved:
    """Reserve for an order what the plan of its design, as it is now, takes of the materials.

    Parameters
    ----------
    cups
        How many are made, else the order's.

    Raises
    ------
    StoreError
        There is no such order, it is closed, or it has no design.
    DesignError, GeometryError
        The design cannot be planned.
    """
    wanted = store.book.order(order)
    draft = store.drafts.current(order)
    if draft is None:
        raise StoreError(
            f"order {order} has no design yet", where=store.where, remedy="Enter one first"
        )
    design, own = draft.design(), read_own(store)
    shelf = own.shelf()
    blank = build_blank(design.document.blank, where=f"{design.where}: blank")
    found, _ = amounts(needs(design, blank, shelf), shelf, cups or wanted.cups)
    by_name = {material.name: material.id for material in own.materials}
    takes: dict[int, Fraction] = {}
    for amount in found:
        number = by_name.get(amount.product.name)
        if number is not None:
            takes[number] = takes.get(number, Fraction(0)) + exact(amount.amount)
    store.stock.reserve(order, takes)
    others = dict.fromkeys(a.material for a in found if a.product.name not in by_name)
    return reserved_by(store, order, others=tuple(others))


def reserved_by(store: Store, order: int, *, others: tuple[str, ...] = ()) -> Reserved:
    """What an order holds, with what is short of it."""
    there = {material.id: material for material in store.materials.all(away=True)}
    claims = tuple((there[c.material_id], c) for c in store.stock.of_order(order))
    short = {m.id: -m.free for m, claim in claims if m.free < 0 and claim.reserved}
    return Reserved(claims, others, short)
