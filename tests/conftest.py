"""What all tests share: one Chromium, no store but their own, examples that are not timed."""

import pytest
from hypothesis import settings

from tests.chromium import SOFTWARE_GL, launching

settings.register_profile("untimed", settings(), deadline=None)  # machines are busy
settings.load_profile("untimed")


@pytest.fixture(autouse=True)
def _no_store_of_the_makers(tmp_path_factory, monkeypatch):
    nowhere = tmp_path_factory.getbasetemp() / "none" / "orders.sqlite"
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{nowhere}")


@pytest.fixture(scope="session")
def chromium():
    """A function that starts a Chromium with the given flags."""
    with launching() as launch:
        yield launch


@pytest.fixture(scope="session")
def browser(chromium):
    """A Chromium that draws WebGL 2 in software, as a machine without a GPU does."""
    with chromium(*SOFTWARE_GL) as started:
        yield started
