"""Stores for tests: each test has one of its own, on SQLite and on a real PostgreSQL."""

import psycopg
import pytest

from mockup.design.read import read_design
from mockup.files import shipped
from mockup.store import open_store
from tests.store.server import running_server


@pytest.fixture(scope="session")
def server():
    """A PostgreSQL server's database, as a URL."""
    with running_server() as folder:
        yield f"postgresql://maker@/postgres?host={folder}"


@pytest.fixture
def empty_database(server):
    """The URL of the server's database, emptied."""
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute("DROP SCHEMA public CASCADE")
        connection.execute("CREATE SCHEMA public")
    return server


@pytest.fixture
def file_store(tmp_path):
    with open_store(tmp_path / "orders.sqlite") as opened:
        yield opened


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request, tmp_path):
    if request.param == "sqlite":
        place = tmp_path / "orders.sqlite"
    else:
        place = request.getfixturevalue("empty_database")
    with open_store(place) as opened:
        yield opened


@pytest.fixture(scope="session")
def regatta():
    return read_design(shipped("textures", "regatta"))
