"""The cup: the stack as a cut through the wall, what can be set of a layer, the cup, its flat."""

import streamlit as st

from mockup.faces.desk.forms.lay import show_lay
from mockup.faces.desk.forms.layer import show_layer
from mockup.faces.desk.forms.look import show_look
from mockup.faces.desk.parts.checking import show_check
from mockup.faces.desk.parts.cup_view import show_cup
from mockup.faces.desk.parts.flat_view import show_flat
from mockup.faces.desk.parts.turn_strip import show_strip
from mockup.faces.desk.parts.wall_cut import show_wall_cut
from mockup.faces.desk.session import desk
from mockup.faces.desk.words import nothing_open

__all__ = ["show"]


def show() -> None:
    """Draw the page."""
    here = desk()
    if here.design is None:
        nothing_open("its cup")
        return
    with st.container(key="cup_page"):
        stack, form, sight = st.columns([2.1, 2.9, 7.6], gap="medium")
        with sight, st.container(key="sight"):
            cup = here.made()
            show_look(here)
            with st.container(key="side_by_side", horizontal=True):
                with st.container(key="cup_box"):
                    show_cup(here, cup)
                    show_strip(here, cup)
                with st.container(key="flat_box"):
                    show_flat(here, cup)
                    show_check(here)
        with stack, st.container(key="stack"):
            show_wall_cut(here)
            show_lay(here)
        with form, st.container(key="form"):
            show_layer(here)


if __name__ == "__main__":
    show()
