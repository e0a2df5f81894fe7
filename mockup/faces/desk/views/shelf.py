"""The shelf page."""

import streamlit as st

__all__ = ["show"]


def show() -> None:
    """Draw the page."""
    st.title("Shelf")


if __name__ == "__main__":
    show()
