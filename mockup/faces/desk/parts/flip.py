"""Two pinned options, flipped in one place."""

from collections.abc import Sequence

import streamlit as st

from mockup.faces.desk.parts.assets import script, style

__all__ = ["show_flip"]

_FLIP = st.components.v2.component(
    "flip", html='<div class="flip"></div>', css=style("flip"), js=script("flip")
)


def show_flip(options: Sequence[tuple[str, str]]) -> None:
    """Show one of two (name, path of its picture); a press shows the other."""
    _FLIP(key="flip", data={"options": [{"name": n, "source": s} for n, s in options]})
