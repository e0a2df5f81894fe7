"""One connection's ways: where the store lies, how it is read and written, what can go wrong."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

from mockup.errors import StoreError

__all__ = ["SETTING", "Connector", "connector_for", "default_path", "make_file"]

SETTING = "TUMBLER_MOCKUP_STORE"  # environment variable: an SQLAlchemy URL
WAIT_S = 20.0  # for another window to finish its writing
_WRITERS = 0x74756D62  # names the lock that writers of one PostgreSQL database share


def default_path() -> Path:
    """Where the maker's own store lies: the user's data folder."""
    return user_data_path("tumbler-mockup", appauthor=False) / "orders.sqlite"


@dataclass(frozen=True, slots=True)
class Connector:
    """A database and how messages call it."""

    engine: Engine
    where: str

    @property
    def file(self) -> Path | None:
        """The SQLite file, if it is one."""
        name = self.engine.url.database
        return Path(name) if self.engine.dialect.name == "sqlite" and name else None

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that sees one state of the store throughout the block.

        Raises
        ------
        StoreError
            The database cannot be reached or read.
        """
        options = {} if self.file else {"isolation_level": "REPEATABLE READ"}
        with self._told(), self.engine.connect() as bare:
            connection = bare.execution_options(**options)
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection that alone writes to the store; on leaving, all of it is on disk or none.

        Writers wait for one another from the start, so that what one has read still holds when it
        writes.

        Raises
        ------
        StoreError
            Another writer did not finish, or the database cannot be reached or written to.
        """
        with self._told(), self.engine.connect() as bare:
            connection = bare.execution_options(writes=True)
            with connection.begin():
                yield connection

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            raise _in_words(error, self.where) from error


def connector_for(place: str | Path | None) -> Connector:
    """The database at `place`, not yet looked at.

    Parameters
    ----------
    place
        A file, an SQLAlchemy URL, or None for the setting or else the user's data folder.

    Raises
    ------
    StoreError
        The URL is no URL of SQLite or PostgreSQL, or PostgreSQL's driver is not installed.
    """
    if place is None:
        place = os.environ.get(SETTING) or default_path()
    url = URL.create("sqlite", database=str(place)) if isinstance(place, Path) else _url(place)
    if url.get_backend_name() == "postgresql":
        return Connector(_postgresql(url), url.render_as_string(hide_password=True))
    if url.get_backend_name() != "sqlite" or url.database in (None, "", ":memory:"):
        raise _unfit(url.render_as_string(hide_password=True))
    return Connector(_sqlite(url), str(url.database))


def make_file(connector: Connector) -> None:
    """Make an empty file for a store that is to be one, unless it is there.

    Raises
    ------
    StoreError
        It cannot be made.
    """
    path = connector.file
    if path is None or path.exists():
        return
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch(mode=0o600)  # customers and keys are nobody else's to read
    except OSError as error:
        raise StoreError(
            f"it cannot be made ({error.strerror})",
            where=str(path),
            remedy=f"Name another place in {SETTING}",
        ) from error


def _url(place: str) -> URL:
    try:
        return make_url(place)
    except ArgumentError:
        raise _unfit(place.rpartition("@")[2]) from None  # what stands before may be a password


def _unfit(place: str) -> StoreError:
    return StoreError(
        f"{place!r} is no database of SQLite or PostgreSQL",
        where=SETTING,
        remedy="Write it as sqlite:////folder/orders.sqlite or postgresql://name@host/database",
    )


def _sqlite(url: URL) -> Engine:
    engine = create_engine(url, connect_args={"timeout": WAIT_S})

    @event.listens_for(engine, "connect")
    def prepare(connection, _record):  # type: ignore[no-untyped-def]
        connection.isolation_level = None  # transactions begin where we say so
        for pragma in ("foreign_keys = ON", "synchronous = FULL"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _postgresql(url: URL) -> Engine:
    try:
        engine = create_engine(
            url.set(drivername="postgresql+psycopg"),
            pool_pre_ping=True,
            connect_args={"connect_timeout": 10},
        )
    except (ModuleNotFoundError, NoSuchModuleError):
        raise StoreError(
            "PostgreSQL's driver is not installed",
            where=SETTING,
            remedy='Install it with pip install "tumbler-mockup[postgresql]"',
        ) from None

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        if connection.get_execution_options().get("writes"):
            connection.execute(text(f"SET LOCAL lock_timeout = '{WAIT_S:.0f}s'"))
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_WRITERS})"))

    return engine


_SPOKEN = {  # by words of the driver: what is wrong, and what to do
    "locked": ("another window or command is still writing", "Try again in a moment"),
    "lock timeout": ("another window or command is still writing", "Try again in a moment"),
    "not a database": ("this is not a store", "Name another file, or restore a backup"),
    "malformed": ("the store is damaged", "Restore the last backup"),
    "readonly": ("the store may not be written to", "Give yourself the right to write there"),
    "unable to open": ("the store cannot be opened", "See that it is a file that you may change"),
    "is full": ("there is no room left on the disk", "Free some space and try again"),
    "disk i/o": ("the disk failed to read or write", "See to the disk, then restore a backup"),
    "password": ("the database refuses this name or password", "See to the name and password"),
}


def _in_words(error: DBAPIError, where: str) -> StoreError:
    said = str(error.orig)
    for word, (problem, remedy) in _SPOKEN.items():
        if word in said.lower():
            return StoreError(problem, where=where, remedy=remedy)
    line = said.strip().partition("\n")[0].rstrip(".")
    return StoreError(
        f"the database says: {line}", where=where, remedy="See that it runs and is a store of ours"
    )
