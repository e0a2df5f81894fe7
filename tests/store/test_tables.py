"""The tables, on SQLite and on PostgreSQL: as the program knows them, and only growing."""

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy.exc import DBAPIError

from mockup.store.schema import tables
from tests.store.small import shelve
from tests.store.test_receipts import answer

MAY_CHANGE = {"customers", "orders", "drafts", "materials"}
ONLY_GROW = sorted(set(tables.tables) - MAY_CHANGE)


def test_the_tables_are_those_that_the_migrations_make(store):
    with store.at.reading() as connection:
        assert compare_metadata(MigrationContext.configure(connection), tables) == []


@pytest.fixture
def full(store, regatta):
    """A store with something in every table."""
    order = store.book.add_order("Regatta cups", customer=store.book.add_customer("Wen Harbour"))
    draft = store.drafts.begin(order.id, regatta)
    proof = store.proofs.note_sent(store.proofs.add(store.revisions.freeze(draft)), how="mail")
    assert store.receipts.read(answer(proof))[0].taken
    shelve(store, order.id)
    return store


def ways_to_change(table, dialect):
    """Statements as somebody with a database browser would try them, each of which changes rows."""
    key = "sha256" if table == "blobs" else "order_id" if table == "revisions" else "id"
    last = list(tables.tables[table].c)[-1].name
    yield f"UPDATE {table} SET {last} = {last}"
    yield f"DELETE FROM {table}"
    if dialect == "sqlite":
        yield f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}"
        yield f"UPDATE OR REPLACE {table} SET {key} = {key}"
        return
    yield f"TRUNCATE {table} CASCADE"
    keys = "order_id, number" if table == "revisions" else key
    rows = f"INSERT INTO {table} SELECT * FROM {table}"
    yield f"{rows} ON CONFLICT ({keys}) DO UPDATE SET {last} = EXCLUDED.{last}"


@pytest.mark.parametrize("table", ONLY_GROW)
def test_the_database_itself_refuses_to_change_what_only_grows(full, table):
    def rows():
        with full.at.reading() as connection:
            return connection.exec_driver_sql(f"SELECT * FROM {table}").all()

    before = rows()
    assert before
    for statement in ways_to_change(table, full.at.engine.dialect.name):
        refused = pytest.raises(DBAPIError, match=f"{table} only grows")
        with full.at.engine.connect() as connection, refused:
            connection.exec_driver_sql(statement)
    assert rows() == before


@pytest.mark.parametrize("column", ["id", "signature", "receipt_id"])
def test_nothing_that_is_unique_can_be_used_to_replace_an_approval(full, column):
    """SQLite takes out the row that stands in the way, unless it is refused beforehand."""
    if full.at.engine.dialect.name != "sqlite":
        return  # there is no such statement
    table = "receipts" if column == "signature" else "approvals"
    names = [c.name for c in tables.tables[table].c if c.name != "id" or column == "id"]
    given = ", ".join(names)
    statement = f"INSERT OR REPLACE INTO {table} ({given}) SELECT {given} FROM {table}"

    refused = pytest.raises(DBAPIError, match=f"{table} only grows")
    with full.at.engine.connect() as connection, refused:
        connection.exec_driver_sql(statement)
