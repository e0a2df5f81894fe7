"""What is round every page: its look, the way from page to page, undo and redo, the unit."""

from importlib.resources import files
from pathlib import Path

import streamlit as st

from mockup.errors import MockupError
from mockup.faces.desk.session import Desk, desk
from mockup.faces.desk.words import plain

__all__ = ["show_desk"]

_PAGES = {  # title → file of views/, and the page's address
    "Order book": ("order_book.py", "orders"),
    "Cup": ("cup.py", "cup"),
    "Options": ("options.py", "options"),
    "Proof": ("proof.py", "proof"),
    "Making": ("making.py", "making"),
    "Shelf": ("shelf.py", "shelf"),
}


def show_desk() -> None:
    """Draw the desk with the page that is asked for."""
    st.set_page_config(page_title="Tumbler mock-up", page_icon="🥤", layout="wide")
    st.html(f"<style>{files(__package__).joinpath('desk.css').read_text('utf-8')}</style>")
    here = desk()
    _reopen(here)
    folder = Path(__file__).parent / "views"
    pages = {
        title: st.Page(folder / file, title=title, url_path=path, default=title == "Order book")
        for title, (file, path) in _PAGES.items()
    }
    page = st.navigation(list(pages.values()), position="hidden")
    if here.turn_to is not None:
        there, here.turn_to = pages[here.turn_to], None
        st.switch_page(there)
    _head(here, pages)
    try:
        page.run()
    except MockupError as error:
        st.error(str(error))


def _reopen(here: Desk) -> None:
    """After a reload, the order that the address names is on the table again."""
    asked = st.query_params.get("order", "")
    if here.draft is None and asked.isdigit():
        try:
            here.open(int(asked))
        except MockupError as error:
            here.notes.append(str(error))
    if here.order is not None:
        st.query_params["order"] = str(here.order)


def _head(here: Desk, pages: dict[str, st.Page]) -> None:
    with st.container(key="head", horizontal=True, vertical_alignment="center"):
        title = here.design.document.title if here.design is not None else ""
        st.html('<p class="brand">Tumbler mock-up</p>')
        with st.container(key="ways", horizontal=True):
            for page in pages.values():
                st.page_link(page)
        with st.container(key="order", horizontal=True, vertical_alignment="center"):
            if title:
                st.markdown(f"**{plain(title)}**")
            _steps(here)
            _unit(here)
    if here.notes:
        with st.container(key="notes"):  # in sight wherever the page is scrolled to
            for note in here.notes:
                st.warning(note)
    here.notes.clear()
    if here.stale is not None:
        _both_changed(here)


def _steps(here: Desk) -> None:
    """Undo and redo, and when the order was saved last."""
    if here.draft is None:
        return
    st.button(
        "Undo",
        on_click=here.undo,
        disabled=not here.draft.can_undo,
        shortcut="Ctrl+Z",
        help="Takes back the last change of this order, also after a restart.",
    )
    st.button(
        "Redo",
        on_click=here.redo,
        disabled=not here.draft.can_redo,
        shortcut="Ctrl+Shift+Z",
        help="Does again what was taken back last.",
    )
    at = here.draft.saved_at.astimezone()
    step = here.draft.step
    st.html(f'<p class="saved" role="status" data-step="{step}">Saved {at:%H:%M:%S}</p>')


def _unit(here: Desk) -> None:
    st.session_state["unit"] = here.unit

    def take() -> None:
        here.unit = st.session_state["unit"] or here.unit

    st.segmented_control(
        "Lengths in",
        ["mm", "in"],
        key="unit",
        on_change=take,
        label_visibility="collapsed",
        help="Lengths in millimetres or inches; the order keeps millimetres.",
    )


def _both_changed(here: Desk) -> None:
    st.warning("This order was changed in another window as well. Both states are kept.")
    with st.container(horizontal=True):
        st.button("Go on with the other window's", on_click=here.take_theirs)
        st.button("Go on with mine", on_click=here.take_mine)
