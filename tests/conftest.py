"""No test asks or changes the maker's own store."""

import pytest


@pytest.fixture(autouse=True)
def _no_store_of_the_makers(tmp_path_factory, monkeypatch):
    nowhere = tmp_path_factory.getbasetemp() / "none" / "orders.sqlite"
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{nowhere}")
