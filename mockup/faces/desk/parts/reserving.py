"""What an order takes of the maker's materials: reserved, short, used."""

import streamlit as st

from mockup.errors import MockupError
from mockup.faces.desk.plan_tables import table
from mockup.faces.desk.session import Desk, shared_store
from mockup.faces.desk.shelf.words import amount
from mockup.faces.desk.words import plain, spoken
from mockup.pipeline.materials import Reserved, reserve_for, reserved_by
from mockup.pipeline.shelving import amount_from

__all__ = ["shelf_state", "show_reserving"]


def shelf_state() -> str:
    """Changes whenever a figure or the stock of a material does."""
    materials = shared_store().materials.all()
    return " ".join(f"{m.id}.{m.version}.{m.on_hand}.{m.reserved}" for m in materials)


def show_reserving(here: Desk, cups: int) -> None:
    """Reserve for the order on the table, and say what it really used."""
    store = shared_store()
    if here.order is None or not store.materials.all():
        return
    order = store.book.order(here.order)
    st.subheader("Your materials")
    held = reserved_by(store, order.id)
    if held.claims:
        _table(held)
    else:
        st.markdown("Nothing is reserved for this order yet.")
    if order.closed_as is not None:
        return

    def reserve() -> None:
        try:
            others = reserve_for(store, order.id, cups=cups).others
        except MockupError as error:
            here.notes.append(spoken(error))
            return
        if others:
            st.toast(f"Not of your own, so not reserved: {plain(', '.join(others))}")

    with st.container(horizontal=True):
        st.button(
            "Reserve again" if held.claims else "Reserve what it takes",
            on_click=reserve,
            help="By the design as it is now, for as many cups as are set above.",
        )
        if any(claim.reserved for _, claim in held.claims):
            st.button(
                "Give back",
                on_click=lambda: store.stock.give_back(order.id),
                help="The order holds nothing any more. Calling it off does so too.",
            )
    if held.claims:
        with st.expander("What was really used", key="really_used"):
            _used(here, held, order.id)


def _table(held: Reserved) -> None:
    table(
        ("Material", "Reserved", "Used", "Short"),
        [
            (
                m.name,
                amount(m, float(c.reserved)) if c.reserved else "–",
                amount(m, float(c.used + c.assumed)) if c.used + c.assumed else "–",
                amount(m, float(held.short[m.id])) if m.id in held.short else "",
            )
            for m, c in held.claims
        ],
        right=(1, 2, 3),
    )


def _used(here: Desk, held: Reserved, order: int) -> None:
    st.markdown(
        "By the scale, loss and all: plans learn by it. What you leave empty counts as planned "
        "once the cups are handed over."
    )
    key = f"used.{order}.{sum(c.used for _, c in held.claims)}"
    with st.form(key, border=False):
        for material, claim in held.claims:
            planned = amount(material, float(claim.planned or 0))
            st.text_input(
                material.name, key=f"{key}.{material.id}",
                placeholder=f"planned {planned}",
                help=f"In {material.unit}, or as 2 packs, 3 sheets; on top of what was booked.",
            )  # fmt: skip
        st.form_submit_button("Book it", on_click=_book, args=(here, held, order, key))


def _book(here: Desk, held: Reserved, order: int, key: str) -> None:
    store = shared_store()
    try:
        typed = [
            (material, amount_from(material.product, text))
            for material, _ in held.claims
            if (text := st.session_state[f"{key}.{material.id}"].strip())
        ]
        store.stock.use_for(order, typed)
    except MockupError as error:
        here.notes.append(spoken(error))
