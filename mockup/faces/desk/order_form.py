"""What the book says of the order on the table, to be put right."""

import streamlit as st

from mockup.errors import MockupError
from mockup.faces.desk.session import Desk, shared_store
from mockup.store.records import Closed, Customer, Order

__all__ = ["known_customer", "show_order"]


def show_order(here: Desk) -> None:
    """Its entry, and how it ends."""
    if here.order is None:
        return
    order = shared_store().book.order(here.order)
    with st.expander(f"Order {order.id} on the table", key="order_entry"):
        _entry(here, order)
        with st.container(horizontal=True):
            if order.closed_as is None:
                _close(here, order, "Handed over", "handed over", "The cups are with the customer.")
                _close(here, order, "Called off", "called off", "Nothing will be made of it.")
            else:
                _close(here, order, "Open it again", None, "It comes back among the open orders.")


def _entry(here: Desk, order: Order) -> None:
    customer = order.customer
    with st.form(f"order{order.id}.{order.version}", border=False):
        left, right = st.columns(2)
        left.text_input("Order", order.title, key="entry.title", help="As the book lists it.")
        right.text_input(
            "Customer", customer.name if customer else "", key="entry.customer",
            help="Who it is for; may stay empty.",
        )  # fmt: skip
        left.number_input("Cups", 1, 1000, order.cups, key="entry.cups", help="How many alike.")
        right.text_input(
            "Mail address", customer.mail if customer else "", key="entry.mail",
            help="Where proofs go, if they go by mail.",
        )  # fmt: skip
        left.date_input(
            "Due", order.due, key="entry.due", format="YYYY-MM-DD",
            help="When they must be in the customer's hands.",
        )  # fmt: skip
        right.text_input("Note", order.note, key="entry.note", help="For yourself.")
        st.form_submit_button("Put it right", on_click=_change, args=(here, order))


def _change(here: Desk, order: Order) -> None:
    state, book = st.session_state, shared_store().book
    try:
        name = state["entry.customer"].strip()
        customer = known_customer(name) if name else None
        if customer is not None and customer.mail != state["entry.mail"]:
            customer = book.change_customer(
                customer, name=customer.name, mail=state["entry.mail"], note=customer.note
            )
        book.change_order(
            order,
            title=state["entry.title"],
            customer=customer,
            cups=state["entry.cups"],
            due=state["entry.due"],
            note=state["entry.note"],
        )
    except MockupError as error:
        here.notes.append(str(error))


def _close(here: Desk, order: Order, label: str, how: Closed | None, tells: str) -> None:
    def close() -> None:
        try:
            shared_store().book.close_order(order, how)
        except MockupError as error:
            here.notes.append(str(error))

    st.button(label, key=f"close.{how}", on_click=close, help=tells)


def known_customer(name: str) -> Customer:
    """The customer of that name, noted if new."""
    book = shared_store().book
    found = next((c for c in book.customers() if c.name.casefold() == name.casefold()), None)
    return found or book.add_customer(name)
