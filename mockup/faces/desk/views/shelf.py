"""The shelf: the maker's materials with their stock, and the rates and times of the workshop."""

import streamlit as st

from mockup.errors import MockupError
from mockup.faces.desk.session import shared_store
from mockup.faces.desk.shelf.listed import show_list
from mockup.faces.desk.shelf.one import show_material
from mockup.faces.desk.shelf.rates import show_file, show_rates, show_times, show_typical
from mockup.faces.desk.shelf.words import PICKED
from mockup.pipeline.materials import read_own

__all__ = ["show"]


def show() -> None:
    """Draw the page."""
    asked = st.query_params.get("material", "")
    if PICKED not in st.session_state and asked.isdigit():
        st.session_state[PICKED] = int(asked)
    picked = st.session_state.get(PICKED)
    if picked is not None:
        try:
            material = shared_store().materials.get(picked)
        except MockupError:
            st.session_state[PICKED] = None
        else:
            st.query_params["material"] = str(picked)
            show_material(material)
            return
    st.query_params.pop("material", None)
    _whole()


def _whole() -> None:
    st.title("Shelf")
    own = read_own(shared_store())
    shelf = own.shelf()
    materials, typical, rates, times = st.tabs(["Materials", "Typical", "Rates", "Times"])
    with materials:
        show_list(own, shelf)
    with typical:
        show_typical(own, shelf)
    with rates:
        show_rates(shelf)
        show_file()
    with times:
        show_times(shelf)


if __name__ == "__main__":
    show()
