"""The whole store as one file, and back. The file is a SQLite store, whatever holds the original.

So a backup of one desk's store also moves it into a PostgreSQL database that several share.
"""

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Connection, Integer, Table, func, insert, select, text, update

from mockup.errors import StoreError
from mockup.files import keep_apart, whole_file
from mockup.store.connect import Connector
from mockup.store.schema import customers, drafts, materials, orders, tables
from mockup.store.store import Store, open_store
from mockup.store.upgrade import bring_up_to_date, copy_file

__all__ = ["Restored", "restore_store", "write_backup"]

_AT_ONCE = 200  # rows
_LEAP = 1000  # versions by which restored records run ahead of what open windows have seen


@dataclass(frozen=True, slots=True)
class Restored:
    """What was restored. `copy` is what the store held before, if it is a file."""

    orders: int
    copy: Path | None


def write_backup(store: Store, path: Path) -> int:
    """Write the store, as it is at one moment, to the file `path`; gives its orders' number.

    Windows and commands may go on working meanwhile.

    Raises
    ------
    OutputError, StoreError
        The file cannot be written or is the store's own, or the store cannot be read.
    """
    if store.at.file is not None:
        keep_apart(path, store.at.file, "the order book")
    with whole_file(path) as part:
        part.unlink()
        if store.at.file is not None:
            copy_file(store.at.file, part)
        else:
            _write_rows(store, part)
        count = _orders_of(part)
    path.chmod(0o600)  # customers and keys are nobody else's to read
    return count


def restore_store(store: Store, backup: Path) -> Restored:
    """Put what `backup` holds in place of what the store holds.

    A store that is a file is copied first, beside itself. A PostgreSQL database must be empty.

    Raises
    ------
    StoreError
        The file is no backup, is damaged or of a newer version, or the database is not empty.
    """
    _check(backup)
    with TemporaryDirectory() as folder:
        older = Path(folder, "backup.sqlite")
        copy_file(backup, older)
        with open_store(older) as source:  # which upgrades the copy
            with source.at.writing() as connection:
                for table in (customers, orders, drafts, materials):
                    connection.execute(update(table).values(version=table.c.version + _LEAP))
            if store.at.file is not None:
                return Restored(_orders_of(older), _restore_file(store.at, older))
            _restore_rows(store, source)
        return Restored(_orders_of(older), None)


def _write_rows(store: Store, path: Path) -> None:
    with open_store(path) as target, store.at.reading() as rows, target.at.writing() as empty:
        _copy_rows(rows, empty)
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it


def _restore_file(at: Connector, backup: Path) -> Path:
    assert at.file is not None
    copy = at.file.with_suffix(".before-restore.sqlite")
    copy_file(at.file, copy)
    with closing(sqlite3.connect(backup)) as new, closing(sqlite3.connect(at.file)) as live:
        new.backup(live)  # one transaction; open windows see either the old or the new
    bring_up_to_date(at)
    return copy


def _restore_rows(store: Store, source: Store) -> None:
    with source.at.reading() as rows, store.at.writing() as target:
        for table in tables.sorted_tables:
            if target.scalar(select(func.count()).select_from(table)):
                raise StoreError(
                    "this database holds a store that is not empty",
                    where=store.where,
                    remedy="Restore into a new database, or by PostgreSQL's own pg_restore",
                )
        _copy_rows(rows, target)
        for table in tables.sorted_tables:
            if "id" in table.c and isinstance(table.c.id.type, Integer):
                _count_on(target, table)


def _copy_rows(source: Connection, target: Connection) -> None:
    for table in tables.sorted_tables:
        found = source.execute(select(table).order_by(*table.primary_key)).mappings()
        for rows in found.partitions(_AT_ONCE):
            target.execute(insert(table), [dict(row) for row in rows])


def _count_on(connection: Connection, table: Table) -> None:
    """Let PostgreSQL's own numbers go on after those that were put in."""
    last = connection.scalar(select(func.max(table.c.id)))
    if last is not None:
        connection.execute(
            text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :last)"),
            {"name": table.name, "last": last},
        )


def _check(backup: Path) -> None:
    if not backup.is_file():
        raise StoreError(
            "there is no such file", where=str(backup), remedy="Name a backup that is there"
        )
    try:
        with closing(sqlite3.connect(backup)) as raw:
            sound = raw.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
            raw.execute("SELECT count(*) FROM orders").fetchone()
    except sqlite3.Error:
        sound = False
    if not sound:
        raise StoreError(
            "this is no backup, or it is damaged",
            where=str(backup),
            remedy="Name a file that tumbler-mockup backup wrote",
        )


def _orders_of(path: Path) -> int:
    with closing(sqlite3.connect(path)) as raw:
        return int(raw.execute("SELECT count(*) FROM orders").fetchone()[0])
