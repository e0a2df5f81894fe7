"""Page."""

import streamlit as st

__all__ = ["show"]


def show() -> None:
    """The page."""
    st.title("proof")
