"""Rates, times and typical products, and the file that they are kept in."""

import streamlit as st

from mockup.design.shelf import Shelf, shelf_path, typical_shelf_text
from mockup.errors import MockupError
from mockup.faces.desk.plan_tables import table
from mockup.faces.desk.session import desk
from mockup.outputs.plan.figures import counted
from mockup.outputs.plan.money import shown
from mockup.pipeline.desk import keep_shelf
from mockup.pipeline.materials import Own

__all__ = ["show_file", "show_rates", "show_times", "show_typical"]


def show_file() -> None:
    """The shelf's file, out and in."""
    own = shelf_path()
    st.markdown(
        "These figures are **your own**."
        if own.exists()
        else "These figures are **typical of the trade**, not yours: save the file, put in what "
        "your books say, and bring it back."
    )
    text = own.read_text("utf-8") if own.exists() else typical_shelf_text()
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.download_button(
            "Save the shelf's file",
            text,
            file_name="shelf.toml",
            mime="application/toml",
            on_click="ignore",
            help="A text file with a remark beside every figure.",
        )
        count = st.session_state.setdefault("shelf.count", 0)
        st.file_uploader(
            "Bring back your shelf",
            type=["toml"],
            key=f"shelf.given{count}",
            on_change=_take,
            help="Takes the place of the one in use once all of it has been found right.",
        )


def _take() -> None:
    count = st.session_state["shelf.count"]
    given = st.session_state[f"shelf.given{count}"]
    if given is None:
        return
    try:
        keep_shelf(given.name, given.getvalue())
        st.session_state["shelf.count"] = count + 1
    except MockupError as error:
        desk().notes.append(str(error))


def _money(shelf: Shelf, minor: int) -> str:
    rates = shelf.rates
    return shown(minor, currency=rates.currency, minor_digits=rates.minor_digits)


def show_typical(own: Own, shelf: Shelf) -> None:
    """Products that plans go by where none of the maker's own suits."""
    st.markdown(
        "What the plan goes by where none of your own materials suits. Data sheets and your "
        "books stand above it."
    )
    names, rows = {material.name for material in own.materials}, []
    for product in shelf.products:
        if product.name in names:
            continue
        suits = ", ".join(product.suits) or "any"
        pack = counted(product.pack, product.unit)
        price = _money(shelf, product.pack_price_minor)
        loss = f"{100 * product.loss_share:g} %"
        kind = product.kind.replace("_", " ")
        rows.append((product.name, kind, suits, pack, price, loss, product.source))
    table(
        ("Product", "Kind", "For", "A pack", "Costs", "Lost", "Where the figures are from"),
        rows,
        right=(3, 4, 5),
    )


def show_rates(shelf: Shelf) -> None:
    """What work costs and what goes on top."""
    rates = shelf.rates
    table(
        ("Rate", "Figure"),
        [
            ("An hour of handling", _money(shelf, rates.hourly_rate_minor)),
            ("Waste, of materials", f"{100 * rates.waste_share:g} %"),
            ("Overhead, a cup", _money(shelf, rates.overhead_per_cup_minor)),
            ("Overhead, of materials, waste and labour", f"{100 * rates.overhead_share:g} %"),
            ("Fees, of what the customer pays", f"{100 * rates.fees_share:g} %"),
            ("Margin, of the price before tax", f"{100 * rates.margin_share:g} %"),
            ("Tax, on the price before tax", f"{100 * rates.tax_share:g} %"),
        ],
        right=(1,),
    )
    st.caption(rates.source)


def show_times(shelf: Shelf) -> None:
    """When the workshop is open, and the minutes of each step."""
    shop = shelf.workshop
    days = ", ".join(day.capitalize() for day in shop.weekdays)
    st.markdown(
        f"Open from {shop.opens_h:g} to {shop.closes_h:g} h on {days}; "
        f"{shop.rack_cups} cups turn at once; {shop.room_c:g} °C in the room."
    )
    rows = []
    for name, info in type(shelf.handling).model_fields.items():
        minutes = getattr(shelf.handling, name)
        if name != "source":
            told = f"{minutes.setup_min:g}", f"{minutes.cup_min:g}"
            rows.append((name.replace("_", " "), *told, info.description or ""))
    table(("Step", "Minutes once", "Minutes a cup", "What it is"), rows, right=(1, 2))
