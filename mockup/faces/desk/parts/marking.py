"""Marking where things lie in a photo: frames over it, set in per cent of its sides."""

from collections.abc import Callable, Mapping
from html import escape
from typing import Any

import streamlit as st

from mockup.faces.desk.held import showing, unless_echo

__all__ = ["CARD", "Box", "asked", "by_hand", "corners", "edges", "marked", "with_marks"]

Box = tuple[tuple[int, int], tuple[int, int]]
"""Left and right, top and bottom, in per cent of the picture."""

CARD: Box = ((10, 40), (15, 40))
_ALONE, _MARKED = "found by itself", "marked by me"


def by_hand(name: str, what: str) -> bool:
    """Ask whether the maker marks it, as where it is not found by itself."""
    how = asked(
        st.segmented_control, f"{name}.{what}.how", _ALONE, f"The {what} is",
        options=[_ALONE, _MARKED], required=True,
        help="Mark it where the photo holds several even or grey things.",
    )  # fmt: skip
    return bool(how == _MARKED)


def marked(name: str, what: str, first: Box) -> Box:
    """Ask where it lies; `first` until it is told."""
    across, down = st.columns(2)
    return (
        asked(
            across.slider, f"{name}.{what}.x", first[0], f"{what.capitalize()}, left to right, %",
            min_value=0, max_value=100,
        ),
        asked(
            down.slider, f"{name}.{what}.y", first[1], f"{what.capitalize()}, top to bottom, %",
            min_value=0, max_value=100,
        ),
    )  # fmt: skip


def with_marks(picture: str, label: str, marks: Mapping[str, Box]) -> str:
    """The photo with a frame round each mark."""
    frames = "".join(
        f'<i style="left:{x[0]}%;top:{y[0]}%;width:{x[1] - x[0]}%;height:{y[1] - y[0]}%">'
        f"<b>{escape(what)}</b></i>"
        for what, (x, y) in marks.items()
    )
    return f'<div class="marked"><img src="{picture}" alt="{escape(label)}">{frames}</div>'


def edges(box: Box) -> str:
    """As `mockup.photo.told` reads a place."""
    (left, right), (top, bottom) = box
    return f"{left}%,{top}%,{right}%,{bottom}%"


def corners(box: Box) -> str:
    """As `mockup.photo.told` reads a card's corners."""
    (left, right), (top, bottom) = box
    return f"{left}%,{top}%,{right}%,{top}%,{right}%,{bottom}%,{left}%,{bottom}%"


def asked(draw: Callable[..., Any], name: str, first: Any, label: str, **words: Any) -> Any:
    """A control that keeps what the maker told it, for as long as the tab is open."""
    told: dict[str, Any] = st.session_state.setdefault("photo.told", {})
    value = told.get(name, first)
    key = showing(f"told.{name}", value)
    draw(label, key=key, on_change=unless_echo(f"told.{name}", lambda v: told.update({name: v})),
         **words)  # fmt: skip
    return value
