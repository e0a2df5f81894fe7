"""Stock of one material: a form for what happened, and every move so far."""

import streamlit as st

from mockup.design.shelf import Shelf
from mockup.errors import MockupError
from mockup.faces.desk.plan_tables import table
from mockup.faces.desk.session import desk, shared_store
from mockup.faces.desk.words import spoken
from mockup.outputs.plan.figures import figure
from mockup.pipeline.shelving import amount_from
from mockup.store.material_records import Material
from mockup.store.records import Order

__all__ = ["show_moves", "show_moving"]

_ACTS = {"used": "Used", "bought": "Bought", "counted": "Counted"}
_BOOKED = "shelf.booked"  # how often this tab has booked: new controls for the next time
NOBODY = 0  # stands for no order


def show_moving(material: Material, shelf: Shelf) -> None:
    """Say what was used, bought or counted."""
    nth = st.session_state.setdefault(_BOOKED, 0)
    act = st.segmented_control(
        "What happened", list(_ACTS), format_func=_ACTS.get, default="used", required=True,
        key="move.act", help="Counted says what is there, whatever the sums said.",
    )  # fmt: skip
    sheets = getattr(material.product, "sheet_cm2", None) is not None
    with st.form(f"move.{material.id}.{act}.{nth}", border=False):
        left, right = st.columns(2)
        unit = "pieces" if material.unit == "piece" else material.unit
        left.text_input(
            f"{'There is' if act == 'counted' else 'How much'}, {unit}",
            key=f"move.amount{nth}",
            placeholder="3 sheets" if sheets else "12.5",
            help=f"In {unit}, or as 2 packs{' or 3 sheets' if sheets else ''}.",
        )  # fmt: skip
        if act == "used":
            here = desk().order or NOBODY
            orders = {order.id: order.title for order in _open_orders()}
            right.selectbox(
                "For", [NOBODY, *orders], key=f"move.order{nth}",
                index=1 + list(orders).index(here) if here in orders else 0,
                format_func=lambda n: f"{n}  {orders[n]}" if n else "no order",
                help="An order's use is held against its plan, and plans learn by it.",
            )  # fmt: skip
        elif act == "bought":
            right.number_input(
                f"Paid, {shelf.rates.currency}", 0.0, 1e7, None, key=f"move.paid{nth}",
                format=f"%.{shelf.rates.minor_digits}f", help="For all of it; may stay empty.",
            )  # fmt: skip
        st.form_submit_button(
            "Book it", type="primary", on_click=_book, args=(material, shelf, act, nth)
        )


def _open_orders() -> list[Order]:
    return [line.order for line in shared_store().book.lines()]


def _book(material: Material, shelf: Shelf, act: str, nth: int) -> None:
    state, stock = st.session_state, shared_store().stock
    try:
        much = amount_from(material.product, state[f"move.amount{nth}"])
        if act == "bought":
            paid = state[f"move.paid{nth}"]
            minor = None if paid is None else round(paid * 10**shelf.rates.minor_digits)
            stock.buy(material, much, price_minor=minor)
        elif act == "used":
            stock.use(material, much, order=state[f"move.order{nth}"] or None)
        else:
            stock.count(material, much)
    except MockupError as error:
        desk().notes.append(spoken(error))
        return
    state[_BOOKED] = nth + 1


def show_moves(material: Material) -> None:
    """Every move, the newest first, and what each order holds."""
    moves = shared_store().stock.moves(material)
    if not moves:
        st.markdown("Nothing yet.")
        return
    table(
        ("What", f"On hand, {material.unit}", "Reserved", "When"),
        [
            (
                " · ".join(p for p in (m.kind, m.order_id and f"order {m.order_id}", m.note) if p),
                f"{float(m.on_hand):+.4g}" if m.on_hand else "",
                f"{float(m.reserved):+.4g}" if m.reserved else "",
                f"{m.made_at.astimezone():%Y-%m-%d %H:%M}",
            )
            for m in moves
        ],
        right=(1, 2),
    )
    claims = [c for c in shared_store().stock.of_material(material) if c.planned]
    if claims:
        st.markdown("**Orders**")
        table(
            ("Order", "Planned", "Reserved", "Used", "As planned"),
            [
                (
                    str(c.order_id),
                    *(
                        figure(float(part)) if part else "–"
                        for part in (c.planned or 0, c.reserved, c.used, c.assumed)
                    ),
                )
                for c in claims
            ],
            right=(0, 1, 2, 3, 4),
        )
