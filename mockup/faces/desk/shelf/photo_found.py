"""What photos told of one material's look: taken by a press, or left."""

import hashlib
from functools import partial
from html import escape

import streamlit as st

from mockup.errors import MockupError
from mockup.faces.desk.plan_tables import table
from mockup.faces.desk.session import desk, shared_store
from mockup.faces.desk.shelf.photo_words import FIGURES, limit_words
from mockup.faces.desk.shelf.words import chip
from mockup.faces.desk.tray import TRAY
from mockup.faces.desk.words import spoken
from mockup.pipeline.photo_look import FoundLook, how_near, take_look
from mockup.store.material_records import Material

__all__ = ["JOB", "show_found", "turn"]

JOB = "photo"
"""What the tab calls the work of measuring."""
_TURN = "photo.turn"  # of measurements ended in this tab: new fields for the next photos


def turn() -> int:
    """Changes when a measurement was taken or left, so that fields for photos are empty again."""
    count: int = st.session_state.setdefault(_TURN, 0)
    return count


def show_found(material: Material, found: FoundLook) -> None:
    """Where it was measured, the colours, how sure they are, and what to do with them."""
    for picture in found.pictures:
        name = f"found/{hashlib.sha256(picture).hexdigest()[:24]}"
        where = TRAY.put_picture(name, partial(bytes, picture))
        st.html(f'<img class="photo" src="{where}" alt="The photo, with what was measured in it">')
    swatches = found.measured.swatches
    before = "before" if material.look else "not known"
    new = "".join(
        f'<div><i style="background:{colour}"></i>{found.called[i]}<br>{_share(found, i)}</div>'
        for i, colour in enumerate(found.chips)
    )
    st.html(
        f'<div class="looks"><div><i style="background:{chip(material)}"></i>{before}</div>'
        f'<span aria-hidden="true">→</span>{new}</div>'
    )
    _sure(found)
    which = 0
    if len(swatches) > 1:
        which = st.selectbox(
            "What stands for the mix", range(len(swatches)), key=f"photo.which.{turn()}",
            format_func=lambda i: f"{found.called[i]}, {_share(found, i)}",
            help="One colour is the material's look; all of them are kept with the measurement.",
        )  # fmt: skip
    with st.container(horizontal=True):
        st.button(
            "Take it as its look", on_click=_take, args=(material, found, which), type="primary",
            help="How it looked before is kept, and so are the photos.",
        )  # fmt: skip
        st.button("Leave it as it was", on_click=_forget, help="Photos and measurement are let go.")


def _share(found: FoundLook, index: int) -> str:
    one = found.measured.swatches[index]
    if len(found.measured.swatches) == 1:
        return "measured"
    return f"{100 * one.share:.0f} ± {100 * one.share_within:.0f} %"


def _sure(found: FoundLook) -> None:
    """Colour and figures with what they may be off, and what limits them."""
    swatches = found.measured.swatches
    worst = max(one.delta_e for one in swatches)
    them = "Each true colour lies" if len(swatches) > 1 else "The true colour lies"
    st.markdown(f"{them} within **ΔE00 {worst:.1f}**, 9 times in 10. That is {how_near(worst)}.")
    rows = []
    for name, (words, factor, digits) in FIGURES.items():
        figure = found.measured.figures.get(name)
        if figure is not None:
            value, within = factor * figure.value, factor * figure.within
            rows.append((words, f"{value:.{digits}f} ± {within:.{digits}f}"))
    if rows:
        table(("Figure", "9 times in 10"), rows, right=(1,))
    limits = "".join(f"<li>{escape(limit_words(word))}</li>" for word in found.measured.words)
    if limits:
        st.markdown("**What limits it**")
        st.html(f"<ul>{limits}</ul>")


def _take(material: Material, found: FoundLook, which: int) -> None:
    try:
        take_look(shared_store(), material, found, which)
    except MockupError as error:
        desk().notes.append(spoken(error))
        return
    _forget()
    st.toast(f"{material.name} looks as it was measured from now on")


def _forget() -> None:
    st.session_state["jobs"].pop(JOB, None)
    st.session_state[_TURN] = turn() + 1
