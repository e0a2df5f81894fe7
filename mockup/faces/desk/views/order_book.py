"""The order book: what is on order, where it stands, and how a new order begins."""

from datetime import date
from html import escape

import streamlit as st

from mockup.blank.library import blank_names
from mockup.design.document import Design
from mockup.errors import MockupError
from mockup.faces.desk.order_form import known_customer, show_order
from mockup.faces.desk.session import desk, shared_store
from mockup.faces.desk.words import ago, spoken
from mockup.pipeline import demo_design, new_design, unpacked
from mockup.store.records import OrderLine

__all__ = ["show"]


def show() -> None:
    """Draw the page."""
    st.title("Order book")
    lines = shared_store().book.lines(closed=st.session_state.get("closed_too", False))
    if lines:
        _list(lines)
    else:
        st.html('<p class="empty">No orders yet. Begin one below, or look at the demo.</p>')
    st.toggle(
        "Closed orders too",
        key="closed_too",
        help="Also lists what was handed over or called off.",
    )
    show_order(desk())
    _begin()


def _list(lines: tuple[OrderLine, ...]) -> None:
    with st.container(key="book"):
        heads = ("No.", "Order", "Customer", "Cups", "Due", "Stands at")
        st.html(f'<div class="line heads">{"".join(f"<span>{h}</span>" for h in heads)}</div>')
        for line in lines:
            _row(line)


def _row(line: OrderLine) -> None:
    order, standing = line.order, line.standing
    waits = "" if standing.waits_for == "nobody" else f", waits for {_whom(standing.waits_for)}"
    cells = {
        "no": str(order.id),
        "what": order.title,
        "whom": order.customer.name if order.customer else "",
        "cups": f"{order.cups} cup{'s' if order.cups > 1 else ''}",
        "due": f"due {order.due:%d %b %Y}" if order.due else "",
        "stands": f"{standing.state}{waits} · {ago(standing.since)}",
    }
    with st.container(horizontal=True, vertical_alignment="center", key=f"line{order.id}"):
        spans = "".join(f'<span class="{k}">{escape(text)}</span>' for k, text in cells.items())
        st.html(f'<div class="line">{spans}</div>')
        st.button(
            "Open",
            key=f"open{order.id}",
            on_click=_open,
            args=(order.id,),
            help=f"Lays order {order.id} on the table: its cup, proof and making.",
        )


def _whom(who: str) -> str:
    return "you" if who == "maker" else "the customer"


def _open(order: int) -> None:
    here = desk()
    try:
        here.open(order)
    except MockupError as error:
        here.notes.append(str(error))
        return
    if here.draft is None:
        here.begin(order, new_design(shared_store().book.order(order).title, blank_names()[0]))
    here.turn_to = "Cup"


def _begin() -> None:
    st.subheader("Begin an order")
    new, pack, demo = st.columns([5, 3, 3], gap="large")
    with new:
        _new_order()
    with pack:
        st.markdown("**From a pack**")
        given = st.file_uploader(
            "A .tumbler file",
            type=["tumbler"],
            key="pack_given",
            help="Takes in a design that was packed at another desk, artwork and palettes with it.",
        )
        st.button(
            "Bring it in",
            disabled=given is None,
            on_click=_bring_in,
            help="Makes a new order of the pack; the pack itself stays as it is.",
        )
    with demo:
        st.markdown("**The regatta cup**")
        st.markdown("A finished design of a made-up rowing club, to look round in.")
        st.button(
            "Open the demo",
            on_click=_demo,
            help="Puts the demo into your order book as an order of its own.",
        )


def _new_order() -> None:
    with st.form("new_order", border=False):
        st.markdown("**From a bare cup**")
        st.text_input(
            "What is ordered",
            key="new_title",
            placeholder="Seaglass Eight, seat 3",
            help="What you and the customer call it; it heads the proof.",
        )
        left, right = st.columns(2)
        left.text_input("Customer", key="new_customer", help="Who it is for; may stay empty.")
        right.selectbox(
            "Blank",
            blank_names(),
            key="new_blank",
            help="The bare cup to start from; typical sizes, which you put right by measuring.",
        )
        left.number_input("Cups", 1, 1000, key="new_cups", help="How many alike are made.")
        right.date_input(
            "Due",
            value=None,
            key="new_due",
            min_value=date.today(),
            format="YYYY-MM-DD",
            help="When they must be in the customer's hands; may stay empty.",
        )
        st.form_submit_button("Begin", type="primary", on_click=_new)


def _new() -> None:
    state, here = st.session_state, desk()
    if not state["new_title"].strip():
        here.notes.append("“What is ordered” is empty. Give the order a name.")
        return
    try:
        design = new_design(state["new_title"].strip(), state["new_blank"])
    except MockupError as error:
        here.notes.append(f"“What is ordered”: {spoken(error)}")
        return
    try:
        _begun(
            design,
            customer=state["new_customer"].strip(),
            cups=state["new_cups"],
            due=state["new_due"],
        )
    except MockupError as error:
        here.notes.append(spoken(error))


def _bring_in() -> None:
    given = st.session_state["pack_given"]
    try:
        _begun(unpacked(given.name, given.getvalue()))
    except MockupError as error:
        desk().notes.append(str(error))


def _demo() -> None:
    _begun(demo_design())


def _begun(design: Design, *, customer: str = "", cups: int = 1, due: date | None = None) -> None:
    """Put an order into the book with this design, and lay it on the table."""
    book, here = shared_store().book, desk()
    order = book.add_order(
        design.document.title,
        customer=known_customer(customer) if customer else None,
        cups=cups,
        due=due,
    )
    here.begin(order.id, design)
    here.turn_to = "Cup"


if __name__ == "__main__":
    show()
