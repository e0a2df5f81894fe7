"""What there is of the maker's materials: moves that are only ever added, and their sums.

What was bought, used and counted changes what is on hand. An order reserves what its plan takes;
what it uses or gives back is reserved no longer. Every sum is worked out and written by one writer
at a time, so two windows never use or reserve one thing twice.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import Connection, select

from mockup.errors import StoreError
from mockup.store.book import find_order
from mockup.store.connect import Connector
from mockup.store.exact import amount_of, kept
from mockup.store.material_records import Claim, Material, Move
from mockup.store.material_rows import find_material
from mockup.store.moves import Held, add_move, give_back, held_by, on_hand_of, reserve
from mockup.store.schema import moves

__all__ = ["Amount", "Stock"]

Amount = float | Fraction


@dataclass(frozen=True, slots=True)
class Stock:
    """Moves of stock. Amounts are in the material's unit, kept to ten-thousandths."""

    at: Connector

    def buy(
        self, material: Material, amount: Amount, *, price_minor: int | None = None, note: str = ""
    ) -> Material:
        """Put on the shelf what was bought, at `price_minor` for all of it.

        Raises
        ------
        StoreError
            The amount is not above 0.
        """
        bought = kept(amount, where=_where(material))
        with self.at.writing() as connection:
            add_move(
                connection, material.id, "bought",
                on_hand=bought, price_minor=price_minor, note=note,
            )  # fmt: skip
            return find_material(connection, material.id, self.at.where)

    def count(self, material: Material, amount: Amount, *, note: str = "") -> Material:
        """Say what is on hand, by count or by scale, whatever the sums said.

        Raises
        ------
        StoreError
            The amount is below 0.
        """
        counted = kept(amount, where=_where(material), least=0)
        with self.at.writing() as connection:
            change = counted - on_hand_of(connection, material.id)
            add_move(connection, material.id, "counted", on_hand=change, note=note)
            return find_material(connection, material.id, self.at.where)

    def use(
        self, material: Material, amount: Amount, *, order: int | None = None, note: str = ""
    ) -> Material:
        """Take off the shelf what was used, for an order or for none.

        What the order had reserved of it is reserved no longer, as far as it was used. What was
        taken as planned, because nobody had told its use, is put back first.

        Raises
        ------
        StoreError
            There is not so much on hand, or no such order.
        """
        with self.at.writing() as connection:
            self._use(connection, material, amount, order, note)
            return find_material(connection, material.id, self.at.where)

    def use_for(self, order: int, amounts: Sequence[tuple[Material, Amount]]) -> None:
        """Take off the shelf what an order used of several materials: all of it, or nothing.

        Raises
        ------
        StoreError
            As `use`.
        """
        with self.at.writing() as connection:
            for material, amount in amounts:
                self._use(connection, material, amount, order, "")

    def _use(
        self,
        connection: Connection,
        material: Material,
        amount: Amount,
        order: int | None,
        note: str,
    ) -> None:
        used, held = kept(amount, where=_where(material)), Held()
        if order is not None:
            find_order(connection, order, self.at.where)
            found = held_by(connection, order=order, material=material.id)
            held = found.get((material.id, order), held)
        there = on_hand_of(connection, material.id)
        _refuse_more_than(there + held.assumed, used, material)
        if held.assumed:
            add_move(connection, material.id, "used as planned", order=order, on_hand=held.assumed)
        freed = min(used, held.reserved)
        add_move(
            connection, material.id, "used", order=order, on_hand=-used, reserved=-freed, note=note
        )

    def reserve(self, order: int, takes: Mapping[int, Amount]) -> tuple[Claim, ...]:
        """Let an order hold what its plan takes and it has not used yet, no more and no less.

        More may be reserved than is on hand: then the material's `free` tells how much is short.
        To reserve the same again changes nothing.

        Parameters
        ----------
        takes
            Number of the material → what the plan takes of it, loss included.

        Raises
        ------
        StoreError
            There is no such order or material, or the order is closed.
        """
        with self.at.writing() as connection:
            found = find_order(connection, order, self.at.where)
            if found.closed_as is not None:
                raise StoreError(
                    f"order {order} was {found.closed_as}",
                    where=f"order {order}",
                    remedy="Open it again before you reserve for it",
                )
            plan = {}
            for number, amount in takes.items():
                material = find_material(connection, number, self.at.where)
                whole = kept(amount, where=_where(material), least=0)
                plan[number] = whole, round(whole / (1 + material.product.loss_share))
            reserve(connection, order, plan)
            return _claims(held_by(connection, order=order))

    def give_back(self, order: int) -> None:
        """Let an order hold nothing any more."""
        with self.at.writing() as connection:
            find_order(connection, order, self.at.where)
            give_back(connection, order)

    def of_order(self, order: int) -> tuple[Claim, ...]:
        """What an order holds and has used, material by material."""
        with self.at.reading() as connection:
            return _claims(held_by(connection, order=order))

    def of_material(self, material: Material) -> tuple[Claim, ...]:
        """What orders hold and have used of a material, order by order."""
        with self.at.reading() as connection:
            return _claims(held_by(connection, material=material.id))

    def moves(self, material: Material) -> tuple[Move, ...]:
        """Every move of a material, the newest first."""
        wanted = select(moves).where(moves.c.material_id == material.id)
        with self.at.reading() as connection:
            rows = connection.execute(wanted.order_by(moves.c.id.desc())).all()
        return tuple(
            Move(
                id=row.id,
                material_id=row.material_id,
                order_id=row.order_id,
                kind=row.kind,
                on_hand=amount_of(row.on_hand),
                reserved=amount_of(row.reserved),
                planned=None if row.planned is None else amount_of(row.planned),
                price_minor=row.price_minor,
                note=row.note,
                made_at=row.made_at,
            )
            for row in rows
        )


def _claims(held: Mapping[tuple[int, int], Held]) -> tuple[Claim, ...]:
    return tuple(one.claim(material, order) for (material, order), one in sorted(held.items()))


def _where(material: Material) -> str:
    return f"material {material.name!r}"


def _refuse_more_than(there: int, used: int, material: Material) -> None:
    if used > there:
        raise StoreError(
            f"{float(amount_of(used)):g} {material.unit} cannot be taken of the "
            f"{float(amount_of(there)):g} {material.unit} on hand",
            where=_where(material),
            remedy="Say first what was bought, or count what is there",
        )
