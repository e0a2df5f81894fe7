"""The proof: what the customer looks at and approves, how it goes out, and what comes back."""

import streamlit as st

from mockup.design.document import Design
from mockup.faces.desk.answers import show_answers, show_changes, show_sending
from mockup.faces.desk.finished_cup import show_finished
from mockup.faces.desk.jobs import follow
from mockup.faces.desk.made import proof_of
from mockup.faces.desk.parts.cup_view import show_cup
from mockup.faces.desk.session import Desk, desk
from mockup.faces.desk.words import file_stem, nothing_open
from mockup.pipeline.compare import fitting

__all__ = ["show"]

_KINDS = {"sheet": "Sheet to print", "page": "Page to turn the cup on"}
_TELLS = {
    "sheet": "Cup, flat at true size, materials, what may differ, a place to sign: as PDF.",
    "page": "One file for a phone or a computer: the cup turns, and the answer becomes a receipt.",
}
_PAPERS = {"a4": "A4", "letter": "US Letter"}


def show() -> None:
    """Draw the page."""
    here = desk()
    if here.design is None or here.order is None:
        nothing_open("its proof")
        return
    with st.container(key="proof_page"):
        left, right = st.columns([3, 2], gap="large")
        with right, st.container(key="proof_sight"):
            show_cup(here, here.made())
        with left:
            st.title("Proof")
            _make(here, here.design)
            show_sending(here)
            show_answers(here)
            show_changes(here)
            show_finished(here)


def _make(here: Desk, design: Design) -> None:
    assert here.order is not None
    kind = st.segmented_control(
        "What the customer gets",
        list(_KINDS),
        format_func=lambda one: _KINDS[one],
        default="sheet",
        required=True,
        key="proof.kind",
        help="Both are tied to exactly this design by its fingerprint.",
    )
    st.caption(_TELLS[str(kind)])
    with st.container(horizontal=True, vertical_alignment="bottom"):
        paper = _paper() if kind == "sheet" else "a4"
        palettes = [design.document.palette] if kind == "sheet" else _choices(design)
        priced = st.checkbox(
            "With the price",
            key="proof.priced",
            help="For as many cups as the order has, by the rates on your shelf.",
        )
    ending = "pdf" if kind == "sheet" else "html"
    made = follow(
        "proof",
        f"{design.fingerprint} {kind} {paper} {priced} {' '.join(palettes)}",
        "Make the proof",
        proof_of(here.order, ending, paper=paper, palettes=palettes, priced=priced),
        tells="Draws the cup from all sides; the design becomes a revision that stays as it is.",
    )
    if made is not None:
        _save(design, ending, *made)
    st.caption(
        f"Fingerprint {design.fingerprint[:12]}…: any change that can be seen or made changes it, "
        "and a signed proof no longer holds."
    )


def _save(design: Design, ending: str, data: bytes, notes: tuple[str, ...]) -> None:
    for note in notes:
        st.info(note)
    st.download_button(
        "Save the proof",
        data,
        file_name=f"{file_stem(design.document.title)}-proof.{ending}",
        mime="application/pdf" if ending == "pdf" else "text/html",
        on_click="ignore",
        help="A file to print, to mail, or to show.",
    )


def _paper() -> str:
    paper = st.segmented_control(
        "Paper",
        list(_PAPERS),
        format_func=lambda one: _PAPERS[one],
        default="a4",
        required=True,
        key="proof.paper",
        help="What the customer's printer holds.",
    )
    return str(paper)


def _choices(design: Design) -> list[str]:
    fit, _ = fitting(design, ())
    chosen: list[str] = st.multiselect(
        "Palettes to choose from",
        fit,
        default=[design.document.palette],
        max_selections=4,
        key="proof.palettes",
        help="The first is at the head of the page; the customer may choose another.",
    )
    return chosen or [design.document.palette]


if __name__ == "__main__":
    show()
