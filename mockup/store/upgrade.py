"""Brings a store to the newest migration when it is opened, after a copy of what was there."""

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

from sqlalchemy import Connection, inspect, text

from mockup.errors import StoreError
from mockup.store.connect import Connector
from mockup.store.schema import SCHEMA

__all__ = ["bring_up_to_date", "copy_file", "version_of"]

_ALEMBIC = threading.Lock()  # its context is the process's


def bring_up_to_date(connector: Connector) -> Path | None:
    """Make or upgrade the tables; gives the copy of an older store, if there was one.

    Raises
    ------
    StoreError
        The store is of a newer version, or a database of something else.
    """
    with connector.reading() as connection:
        found = version_of(connection, connector.where)
    _write_ahead(connector)
    if found == SCHEMA:
        return None
    with _ALEMBIC, connector.writing() as connection:
        found = version_of(connection, connector.where)  # another window may have been quicker
        if found == SCHEMA:
            return None
        copy = None
        if found is not None and connector.file is not None:
            copy = connector.file.with_suffix(f".before-{SCHEMA}.sqlite")
            copy_file(connector.file, copy)
        _upgrade(connection)
        return copy


def version_of(connection: Connection, where: str) -> str | None:
    """The last migration that the store has had; None: it is empty.

    Raises
    ------
    StoreError
        It is newer than this program, or not a store.
    """
    names = set(inspect(connection).get_table_names())
    if not names:
        return None
    found = None
    if {"alembic_version", "orders", "steps"} <= names:
        found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    if found is None:
        raise StoreError(
            "this database holds something else", where=where, remedy="Name one of its own"
        )
    if found > SCHEMA:
        raise StoreError(
            f"the store was made by a newer version (state {found}, this one knows {SCHEMA})",
            where=where,
            remedy="Update tumbler-mockup; nothing was changed",
        )
    return str(found)


def copy_file(source: Path, target: Path) -> None:
    """Copy a SQLite store as it is at one moment, whoever else has it open.

    Raises
    ------
    StoreError
        The copy cannot be written.
    """
    part = target.with_name(f".{target.name}.part")
    try:
        part.touch(mode=0o600)
        with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(part)) as new:
            old.backup(new)
            new.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
        part.replace(target)
    except (sqlite3.Error, OSError) as error:
        raise StoreError(
            f"no copy could be written ({error})",
            where=str(target),
            remedy="Free some space or name another place",
        ) from error
    finally:
        part.unlink(missing_ok=True)


def _write_ahead(connector: Connector) -> None:
    """Let readers and a writer work at once. A file keeps this; it is not asked of other files."""
    if connector.file is None:
        return
    with closing(connector.engine.raw_connection()) as raw:
        cursor = raw.cursor()
        if cursor.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            cursor.execute("PRAGMA journal_mode = WAL")
        cursor.close()


def _upgrade(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option(
        "script_location", str(Path(__file__).parent / "migrations").replace("%", "%%")
    )
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
