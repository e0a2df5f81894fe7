"""Rows of stock moves and what they add up to; for whoever holds the writer's transaction."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection, func, select

from mockup.store.exact import amount_of
from mockup.store.material_records import Claim, MoveKind
from mockup.store.plain import plain_text
from mockup.store.records import Closed
from mockup.store.rows import add_row
from mockup.store.schema import moves

__all__ = ["Held", "add_move", "give_back", "held_by", "on_hand_of", "reserve", "settle"]


@dataclass(slots=True)
class Held:
    """A `Claim` in whole ten-thousandths, as it is added up."""

    planned: int | None = None
    planned_net: int | None = None
    reserved: int = 0
    used: int = 0
    assumed: int = 0

    def claim(self, material: int, order: int) -> Claim:
        """As a record."""
        planned, net = (
            None if parts is None else amount_of(parts)
            for parts in (self.planned, self.planned_net)
        )
        sums = map(amount_of, (self.reserved, self.used, self.assumed))
        return Claim(material, order, planned, net, *sums)


def add_move(
    connection: Connection,
    material: int,
    kind: MoveKind,
    *,
    order: int | None = None,
    on_hand: int = 0,
    reserved: int = 0,
    planned: tuple[int, int] | None = None,
    price_minor: int | None = None,
    note: str = "",
) -> None:
    """Add a move's row. `planned` is what the order's plan takes, and that before loss."""
    add_row(
        connection,
        moves,
        material_id=material,
        order_id=order,
        kind=kind,
        on_hand=on_hand,
        reserved=reserved,
        planned=planned and planned[0],
        planned_net=planned and planned[1],
        price_minor=price_minor,
        note=plain_text(note, "the note"),
        made_at=datetime.now(UTC),
    )


def on_hand_of(connection: Connection, material: int) -> int:
    """What there is of a material."""
    there = select(func.sum(moves.c.on_hand)).where(moves.c.material_id == material)
    return int(connection.scalar(there) or 0)


def held_by(
    connection: Connection, *, order: int | None = None, material: int | None = None
) -> dict[tuple[int, int], Held]:
    """What each order holds of each material: (material, order) → sums."""
    wanted = select(moves).where(moves.c.order_id.is_not(None))
    if order is not None:
        wanted = wanted.where(moves.c.order_id == order)
    if material is not None:
        wanted = wanted.where(moves.c.material_id == material)
    found: dict[tuple[int, int], Held] = {}
    for move in connection.execute(wanted.order_by(moves.c.id)):
        held = found.setdefault((move.material_id, move.order_id), Held())
        held.reserved += move.reserved
        if move.kind == "used":
            held.used -= move.on_hand
        if move.kind == "used as planned":
            held.assumed -= move.on_hand
        if move.planned is not None:
            held.planned, held.planned_net = move.planned, move.planned_net
    return found


def reserve(connection: Connection, order: int, plan: Mapping[int, tuple[int, int]]) -> None:
    """Let an order hold what its plan takes and it has not used, no more and no less.

    Parameters
    ----------
    plan
        Material → what it takes of it, and that before loss.
    """
    before = {m: held for (m, _), held in held_by(connection, order=order).items()}
    for material in sorted({*before, *plan}):
        held, planned = before.get(material, Held()), plan.get(material, (0, 0))
        change = max(0, planned[0] - held.used - held.assumed) - held.reserved
        if change or planned != (held.planned or 0, held.planned_net or 0):
            kind: MoveKind = "given back" if change < 0 else "reserved"
            add_move(connection, material, kind, order=order, reserved=change, planned=planned)


def give_back(connection: Connection, order: int) -> None:
    """Let an order hold nothing."""
    for (material, _), held in held_by(connection, order=order).items():
        if held.reserved:
            add_move(connection, material, "given back", order=order, reserved=-held.reserved)


def settle(connection: Connection, order: int, how: Closed) -> None:
    """What an order still holds when it is closed: cups handed over took what nobody weighed."""
    if how == "handed over":
        for (material, _), held in held_by(connection, order=order).items():
            taken = min(held.reserved, on_hand_of(connection, material))
            if taken > 0 and not held.used:
                add_move(
                    connection, material, "used as planned",
                    order=order, on_hand=-taken, reserved=-taken,
                )  # fmt: skip
    give_back(connection, order)
