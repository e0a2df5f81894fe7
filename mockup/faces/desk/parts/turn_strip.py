"""All angles of the cup at once: a thin strip round the turn."""

import streamlit as st

from mockup.faces.desk.parts.assets import script, style
from mockup.faces.desk.parts.checking import contrast_by_turn
from mockup.faces.desk.parts.flat_view import look_key
from mockup.faces.desk.session import Desk
from mockup.faces.desk.tray import TRAY
from mockup.pipeline import Cup, png, strip_of

__all__ = ["show_strip"]

_STRIP = st.components.v2.component(
    "turn_strip",
    html='<div class="strip"></div>',
    css=style("turn_strip"),
    js=script("late", "turn_strip"),
)


def show_strip(desk: Desk, cup: Cup) -> None:
    """Draw the strip; it turns the cup without asking the server."""
    source = TRAY.put_picture(
        f"strip/{look_key(cup)}", lambda: png(strip_of(cup, width_px=960, height_px=64))
    )
    name, contrast = contrast_by_turn(desk)
    _STRIP(key="turn_strip", data={"source": source, "name": name, "contrast": contrast})
