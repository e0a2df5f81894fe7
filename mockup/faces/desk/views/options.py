"""The options page."""

import streamlit as st

__all__ = ["show"]


def show() -> None:
    """Draw the page."""
    st.title("Options")


if __name__ == "__main__":
    show()
