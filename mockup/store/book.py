"""The order book: customers, orders, and where each order stands."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Connection, Select, select

from mockup.errors import StoreError
from mockup.store.connect import Connector
from mockup.store.moves import settle
from mockup.store.plain import plain_text
from mockup.store.records import Closed, Customer, Order, OrderLine
from mockup.store.rows import add_row, change_row, find_row
from mockup.store.schema import customers, orders
from mockup.store.standing import lines_of

__all__ = ["Book", "find_order"]


@dataclass(frozen=True, slots=True)
class Book:
    """Customers and orders."""

    at: Connector

    def add_customer(self, name: str, *, mail: str = "", note: str = "") -> Customer:
        """Note a new customer."""
        values = _customer_values(name, mail, note)
        with self.at.writing() as connection:
            number = add_row(connection, customers, **values, version=1, made_at=datetime.now(UTC))
            return _customer(find_row(connection, customers, number))

    def change_customer(self, customer: Customer, *, name: str, mail: str, note: str) -> Customer:
        """Change a customer.

        Raises
        ------
        StaleRecord
            Another window has changed it since `customer` was read; nothing is saved.
        """
        values = _customer_values(name, mail, note)
        with self.at.writing() as connection:
            change_row(connection, customers, customer, values)
            return _customer(find_row(connection, customers, customer.id))

    def customers(self) -> tuple[Customer, ...]:
        """Everybody, by name."""
        with self.at.reading() as connection:
            rows = connection.execute(select(customers).order_by(customers.c.name, customers.c.id))
            return tuple(_customer(row) for row in rows)

    def add_order(
        self,
        title: str,
        *,
        customer: Customer | None = None,
        cups: int = 1,
        due: date | None = None,
        note: str = "",
    ) -> Order:
        """Put a new order into the book: an enquiry, as yet without a design."""
        values = _order_values(title, customer, cups, due, note)
        with self.at.writing() as connection:
            number = add_row(connection, orders, **values, version=1, made_at=datetime.now(UTC))
            return find_order(connection, number, self.at.where)

    def change_order(
        self,
        order: Order,
        *,
        title: str,
        customer: Customer | None,
        cups: int,
        due: date | None,
        note: str,
    ) -> Order:
        """Change an order.

        Raises
        ------
        StaleRecord
            Another window has changed it since `order` was read; nothing is saved.
        """
        values = _order_values(title, customer, cups, due, note)
        with self.at.writing() as connection:
            change_row(connection, orders, order, values)
            return find_order(connection, order.id, self.at.where)

    def close_order(self, order: Order, how: Closed | None) -> Order:
        """Note that the cups were handed over or called off; None opens the order again.

        What a called off order had reserved is given back. Of one that was handed over, materials
        whose use was not told are taken as used as planned.

        Raises
        ------
        StaleRecord
            Another window has changed it since `order` was read; nothing is saved.
        """
        values = {"closed_as": how, "closed_at": datetime.now(UTC) if how else None}
        with self.at.writing() as connection:
            change_row(connection, orders, order, values)
            if how is not None:
                settle(connection, order.id, how)
            return find_order(connection, order.id, self.at.where)

    def order(self, number: int) -> Order:
        """The order of that number.

        Raises
        ------
        StoreError
            There is none.
        """
        with self.at.reading() as connection:
            return find_order(connection, number, self.at.where)

    def lines(self, *, closed: bool = False) -> tuple[OrderLine, ...]:
        """The book: open orders, the earliest due first; with `closed`, the closed ones too."""
        chosen = _joined().order_by(orders.c.due.is_(None), orders.c.due, orders.c.id)
        if not closed:
            chosen = chosen.where(orders.c.closed_as.is_(None))
        with self.at.reading() as connection:
            found = [_order(row) for row in connection.execute(chosen)]
            return lines_of(connection, found)

    def line(self, number: int) -> OrderLine:
        """One order and where it stands.

        Raises
        ------
        StoreError
            There is none of that number.
        """
        with self.at.reading() as connection:
            return lines_of(connection, [find_order(connection, number, self.at.where)])[0]


def find_order(connection: Connection, number: int, where: str) -> Order:
    """The order of that number.

    Raises
    ------
    StoreError
        There is none.
    """
    found = connection.execute(_joined().where(orders.c.id == number)).one_or_none()
    if found is None:
        raise StoreError(
            f"there is no order {number}", where=where, remedy="Look it up in the order book"
        )
    return _order(found)


def _joined() -> Select[Any]:
    theirs = [column.label(f"their_{column.name}") for column in customers.c]
    return select(orders, *theirs).select_from(orders.outerjoin(customers))


def _order(row: Any) -> Order:
    return Order(
        id=row.id,
        title=row.title,
        customer=_customer(row, "their_") if row.customer_id is not None else None,
        cups=row.cups,
        due=row.due,
        note=row.note,
        version=row.version,
        made_at=row.made_at,
        closed_as=row.closed_as,
        closed_at=row.closed_at,
    )


def _customer(row: Any, prefix: str = "") -> Customer:
    return Customer(**{name: getattr(row, prefix + name) for name in Customer.__slots__})


def _customer_values(name: str, mail: str, note: str) -> dict[str, object]:
    return {
        "name": plain_text(name, "the name", needed=True),
        "mail": plain_text(mail, "the address"),
        "note": plain_text(note, "the note", lines=True),
    }


def _order_values(
    title: str, customer: Customer | None, cups: int, due: date | None, note: str
) -> dict[str, object]:
    if not 1 <= cups <= 100_000:
        raise StoreError(f"{cups} cups cannot be ordered", where="cups", remedy="Give 1 or more")
    return {
        "title": plain_text(title, "the title", needed=True),
        "customer_id": customer and customer.id,
        "cups": cups,
        "due": due,
        "note": plain_text(note, "the note", lines=True),
    }
