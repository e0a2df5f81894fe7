"""The options: the same cup under other palettes, side by side, with what can be said of each."""

import hashlib
from html import escape

import streamlit as st

from mockup.design.document import Design
from mockup.design.edit import with_document
from mockup.faces.desk.jobs import follow
from mockup.faces.desk.made import options_sheet
from mockup.faces.desk.parts.flip import show_flip
from mockup.faces.desk.session import Desk, desk
from mockup.faces.desk.tray import TRAY
from mockup.faces.desk.words import file_stem, nothing_open
from mockup.outputs.options_facts import OptionColumn, OptionsFacts
from mockup.pipeline import png
from mockup.pipeline.compare import fitting

__all__ = ["show"]

_MOST = 6  # side by side, so that each is large enough to judge


def show() -> None:
    """Draw the page."""
    here = desk()
    if here.design is None:
        nothing_open("its options")
        return
    design = here.design
    st.title("Options")
    st.markdown("The same cup under other palettes: one camera, one light, shapes untouched.")
    chosen, with_cost = _asked(here, design)
    found = follow(
        "options",
        f"{design.fingerprint} {with_cost} {' '.join(chosen)}",
        "Draw the options",
        options_sheet(design, chosen, with_cost=with_cost),
        tells="Draws each palette and works out contrast, legibility round the turn and cost.",
    )
    if found is None:
        return
    facts, sheet = found
    st.download_button(
        "Save the options",
        sheet,
        file_name=f"{file_stem(design.document.title)}-options.pdf",
        mime="application/pdf",
        on_click="ignore",
        help="A PDF to show or to mail.",
    )
    sources = {column.name: _picture(column) for column in facts.columns}
    _side_by_side(here, facts, sources)
    _pinned(sources)
    for note in facts.notes:
        st.caption(note)


def _asked(here: Desk, design: Design) -> tuple[list[str], bool]:
    """Which palettes, and whether costs are told."""
    fit, left_out = fitting(design, ())
    chosen: list[str] = st.multiselect(
        "Palettes",
        fit,
        default=list(fit[:3]),
        max_selections=_MOST,
        key=f"options.palettes.{here.order}",
        help=f"Up to {_MOST}; only palettes that have every material of this cup are listed.",
    )
    with_cost: bool = st.checkbox(
        "With costs",
        value=True,
        key="options.cost",
        help="What the materials of each cost you; leave it out of a sheet to hand out.",
    )
    if left_out:
        names = ", ".join(name for name, _ in left_out)
        st.caption(f"Not listed, for they lack a material of this cup: {names}.")
    return chosen, with_cost


def _picture(column: OptionColumn) -> str:
    data = png(column.picture)
    return TRAY.put_picture(f"option/{hashlib.sha256(data).hexdigest()[:24]}", lambda: data)


def _side_by_side(here: Desk, facts: OptionsFacts, sources: dict[str, str]) -> None:
    with st.container(key="options_row", horizontal=True):
        for column in facts.columns:
            with st.container(key=f"option_{file_stem(column.name)}"):
                st.html(_card(column, facts.rows, sources[column.name]))
                st.button(
                    "In use" if column.in_use else "Take this one",
                    key=f"take_{column.name}",
                    disabled=column.in_use,
                    on_click=_take,
                    args=(here, column.name),
                    help="Makes it the palette of this order; Undo brings the other back.",
                )


def _card(column: OptionColumn, rows: tuple[str, ...], source: str) -> str:
    chips = "".join(f'<i style="background:#{bytes(rgb).hex()}"></i>' for rgb in column.chips)
    told = "".join(
        f"<dt>{escape(row.capitalize())}</dt>"
        f"<dd{' class=trouble' if cell.trouble else ''}><b>{escape(cell.figure)}</b> "
        f"{escape(cell.verdict)}<small>{escape(cell.detail)}</small></dd>"
        for row, cell in zip(rows, column.cells, strict=True)
    )
    return (
        f'<article class="option"><img src="{source}" alt="The cup under {escape(column.name)}"/>'
        f'<h4>{escape(column.name)}</h4><p class="chips">{chips}</p>'
        f"<p>{escape(column.note)}</p><dl>{told}</dl></article>"
    )


def _take(here: Desk, name: str) -> None:
    here.edit(lambda design: with_document(design, palette=name))


def _pinned(sources: dict[str, str]) -> None:
    names = list(sources)
    if len(names) < 2:
        return
    st.subheader("Flip between two")
    choose, see = st.columns([1, 2], gap="large")
    with choose:
        first = st.selectbox("First", names, index=0, key="flip.first", help="Shown to begin with.")
        second = st.selectbox(
            "Second", names, index=1, key="flip.second", help="Shown on a press, in the same place."
        )
        st.caption("Press the picture, or Enter on it: what changes is the colours alone.")
    with see, st.container(key="flip_box"):
        show_flip([(name, sources[name]) for name in (first, second)])


if __name__ == "__main__":
    show()
