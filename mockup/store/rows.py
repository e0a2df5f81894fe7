"""Rows of one table: added, found, changed by whoever saw them last."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Table, insert, select, update

from mockup.store.material_records import Material
from mockup.store.records import Customer, Order, StaleRecord

__all__ = ["add_row", "change_row", "find_row"]


def add_row(connection: Connection, table: Table, **values: Any) -> int:
    """Add a row; gives its number."""
    key = connection.execute(insert(table).values(**values)).inserted_primary_key
    assert key is not None
    return int(key[0])


def find_row(connection: Connection, table: Table, number: int) -> Any:
    """The row of that number, which is there."""
    return connection.execute(select(table).where(table.c.id == number)).one()


def change_row(
    connection: Connection,
    table: Table,
    record: Customer | Material | Order,
    values: Mapping[str, Any],
) -> None:
    """Change the row of `record`, unless it is no longer as `record` saw it.

    Raises
    ------
    StaleRecord
        Another window or command has changed it.
    """
    same = (table.c.id == record.id) & (table.c.version == record.version)
    new = update(table).where(same).values(**values, version=record.version + 1)
    if connection.execute(new).rowcount != 1:
        raise StaleRecord(
            "it was changed meanwhile by another window or command",
            where=f"{type(record).__name__.lower()} {record.id}",
            remedy="Look at it as it is now, then change it again",
        )
