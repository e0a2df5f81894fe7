"""How the cup is looked at: its light and its palette."""

import streamlit as st

from mockup.design.document import Design
from mockup.design.edit import with_document
from mockup.errors import DesignError
from mockup.faces.desk.held import showing, unless_echo
from mockup.faces.desk.session import Desk
from mockup.render.lights import light_names

__all__ = ["show_look"]


def show_look(desk: Desk) -> None:
    """Light and palette, side by side over the cup."""
    design = desk.design
    assert design is not None
    with st.container(key="look", horizontal=True, vertical_alignment="bottom"):
        _light(desk, design)
        _palette(desk, design)
        st.checkbox(
            "Rulers",
            key="look.rulers",
            help="Millimetres or inches along the wall and round its foot, on the cup.",
        )


def _light(desk: Desk, design: Design) -> None:
    now = design.document.light
    names = light_names() if now in light_names() else [now, *light_names()]
    key = showing("look.light", now)

    def take(new: str) -> None:
        desk.edit(lambda d: with_document(d, light=new), control="look.light")

    st.selectbox(
        "Light",
        names,
        key=key,
        on_change=unless_echo("look.light", take),
        format_func=str.capitalize,
        help="The room that the cup stands in; colours are seen under that room's lamp.",
    )
    _told(desk, "look.light")


def _palette(desk: Desk, design: Design) -> None:
    key = showing("look.palette", design.document.palette)

    def take(new: str) -> None:
        desk.edit(lambda d: with_document(d, palette=new), control="look.palette")

    st.selectbox(
        "Palette",
        _fitting(design),
        key=key,
        on_change=unless_echo("look.palette", take),
        help="Another set of colours for the same design; shapes and places stay.",
    )
    _told(desk, "look.palette")


def _fitting(design: Design) -> list[str]:
    """Palettes that have every role that the layers ask for."""
    found = []
    for name in sorted(design.palettes):
        try:
            design.with_palette(name)
        except DesignError:
            continue
        found.append(name)
    return found


def _told(desk: Desk, control: str) -> None:
    if desk.refusal is not None and desk.refusal.control == control:
        st.error(desk.refusal.words)
