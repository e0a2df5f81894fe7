"""No test asks or changes the maker's own store; no example is timed, for machines are busy."""

import pytest
from hypothesis import settings

settings.register_profile("untimed", settings(), deadline=None)
settings.load_profile("untimed")


@pytest.fixture(autouse=True)
def _no_store_of_the_makers(tmp_path_factory, monkeypatch):
    nowhere = tmp_path_factory.getbasetemp() / "none" / "orders.sqlite"
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{nowhere}")
