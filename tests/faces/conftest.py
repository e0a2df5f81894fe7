"""What the tests of the desk's pages share."""

import pytest
import streamlit as st

from mockup.store import open_store


@pytest.fixture
def store(tmp_path, monkeypatch):
    """The store that the desk opens, opened a second time by another window."""
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{tmp_path}/orders.sqlite")
    st.cache_resource.clear()
    with open_store() as opened:
        yield opened
    st.cache_resource.clear()
