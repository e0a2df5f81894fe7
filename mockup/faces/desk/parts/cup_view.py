"""The cup to turn and to click on; a still stands in where it cannot be turned."""

import streamlit as st

from mockup.faces.desk.parts.flat_view import look_key
from mockup.faces.desk.session import Desk
from mockup.faces.desk.studio import STUDIO
from mockup.faces.desk.tray import TRAY
from mockup.pipeline import Cup, Shot

__all__ = ["show_cup"]


def show_cup(desk: Desk, cup: Cup) -> None:
    """Draw the cup."""
    light = cup.design.document.light
    name = f"still/{look_key(cup)}-{light}.png"
    source = TRAY.put(name, "image/png", lambda: STUDIO.still(cup, Shot(480, 640)))
    st.html(f'<img class="still" src="{source}" alt="The cup from its front"/>')
