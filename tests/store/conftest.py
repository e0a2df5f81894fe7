"""A store of its own for each test."""

import pytest

from mockup.design.read import read_design
from mockup.files import shipped
from mockup.store import open_store


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "orders.sqlite") as opened:
        yield opened


@pytest.fixture(scope="session")
def regatta():
    return read_design(shipped("textures", "regatta"))
