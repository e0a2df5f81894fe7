"""The list of the maker's materials, a new one, and all of them to and from files."""

from html import escape

import streamlit as st

from mockup.design.material import PARTICULAR
from mockup.design.shelf import Shelf
from mockup.errors import MockupError
from mockup.faces.desk.session import desk, shared_store
from mockup.faces.desk.shelf.words import PICKED, SOURCES, amount, chip, kind_words, kinds_in_words
from mockup.faces.desk.words import spoken
from mockup.pipeline.materials import Own
from mockup.pipeline.shelving import Told, check_photo, enter_material, import_bytes, materials_file
from mockup.store.material_records import Material

__all__ = ["show_list"]

MANY = 8  # materials, from which on a field to find one is worth its room
_COUNT = "shelf.new.count"  # of materials entered by this tab: new controls for the next one


def show_list(own: Own, shelf: Shelf) -> None:
    """Every material with what there is of it; then ways to enter more."""
    found = own.materials
    if not found:
        st.html(
            '<p class="empty">Nothing of your own yet. Enter a jar, sheet or bottle below: plans '
            "and prices go by it from then on.</p>"
        )
    sought = ""
    if len(found) >= MANY:
        sought = st.text_input("Find", key="shelf.find", placeholder="copper", help="By its name.")
    with st.container(key="materials"):
        for material in found:
            if sought.strip().casefold() in material.name.casefold():
                _row(material)
    with st.expander("Enter a material", expanded=not found, key="enter_material"):
        _new(shelf)
    with st.expander("To a file, and from one", key="material_files"):
        _files()
    _away()


def _row(material: Material) -> None:
    free = float(material.free)
    there = amount(material, float(material.on_hand))
    if free < 0:
        there += f' · <b class="lacks">{amount(material, -free)} short</b>'
    elif material.reserved:
        there += f" · {amount(material, free)} free"
    with st.container(horizontal=True, vertical_alignment="center", key=f"material{material.id}"):
        st.html(
            f'<div class="jar"><i style="background:{chip(material)}"></i><span>'
            f'<b>{escape(material.name)}</b><span class="quiet">'
            f"{kind_words(material.product.kind)} · {there}</span></span></div>"
        )
        st.button(
            "Open",
            key=f"look{material.id}",
            on_click=_pick,
            args=(material.id,),
            help=f"What {material.name} is, and what there is of it.",
        )


def _pick(number: int) -> None:
    st.session_state[PICKED] = number


def _new(shelf: Shelf) -> None:
    nth = st.session_state.setdefault(_COUNT, 0)
    kind = st.selectbox(
        "Kind",
        kinds_in_words(),
        format_func=kind_words,
        key=f"new.kind{nth}",
        help="What it is used as; figures that you do not give are typical of the kind.",
    )
    pack = {"glitter": "g", "epoxy": "mL", "paint": "mL", "varnish": "mL", "adhesive": "mL",
            "sealer": "mL", "sundry": "pieces", "blank": "pieces"}.get(kind, "sheets")  # fmt: skip
    with st.form(f"new.form{nth}", border=False):
        st.text_input(
            "What the label says", key=f"new.name{nth}", placeholder="copper flake",
            help="No two of your materials share it.",
        )  # fmt: skip
        left, right = st.columns(2)
        left.number_input(
            f"A pack holds, {pack}", 0.0, 1e6, None, key=f"new.pack{nth}", format="%g",
            help="As the label says; may stay empty.",
        )  # fmt: skip
        right.number_input(
            f"It costs, {shelf.rates.currency}", 0.0, 1e6, None, key=f"new.price{nth}",
            format=f"%.{shelf.rates.minor_digits}f", help="One pack, as you paid it.",
        )  # fmt: skip
        left, right = st.columns(2)
        left.text_input(
            "There is", key=f"new.there{nth}",
            placeholder="1 pack" if pack != "sheets" else "3 sheets",
            help="By the scale or by count: in mL, g, cm² or pieces, or as 2 packs or 3 sheets.",
        )  # fmt: skip
        right.text_input("Batch", key=f"new.batch{nth}", help="As it is stamped.")
        st.multiselect(
            "For", _uses(), key=f"new.suits{nth}", accept_new_options=True,
            placeholder="swatches of the same name" if kind in PARTICULAR else "any use",
            help="Roles or swatch labels of your designs that it is for.",
        )  # fmt: skip
        st.selectbox(
            "These figures are from", SOURCES, index=2, key=f"new.by{nth}",
            accept_new_options=True, help="Said wherever they are used.",
        )  # fmt: skip
        st.file_uploader(
            "Its picture", type=["jpg", "jpeg", "png", "heic"], key=f"new.photo{nth}",
            help="A phone offers its camera here.",
        )  # fmt: skip
        st.form_submit_button("Put it on the shelf", type="primary", on_click=_enter, args=(shelf,))


def _uses() -> list[str]:
    """Roles and labels of the design on the table."""
    design = desk().design
    if design is None:
        return []
    roles = design.palette.roles
    return list(dict.fromkeys([*(s.label for s in roles.values() if s.label), *roles]))


def _enter(shelf: Shelf) -> None:
    state, nth = st.session_state, st.session_state[_COUNT]
    price, photo = state[f"new.price{nth}"], state[f"new.photo{nth}"]
    if not state[f"new.name{nth}"].strip():
        desk().notes.append("“What the label says” is empty. Give the material a name.")
        return
    try:
        if photo is not None:
            check_photo(photo.getvalue(), where=photo.name)
        told = Told(
            name=state[f"new.name{nth}"],
            kind=state[f"new.kind{nth}"],
            figures={},
            source=state[f"new.by{nth}"] or SOURCES[0],
            pack=state[f"new.pack{nth}"] or None,
            price=None if price is None else round(price * 10**shelf.rates.minor_digits),
            suits=tuple(state[f"new.suits{nth}"]),
            batch=state[f"new.batch{nth}"],
            photo=None if photo is None else photo.getvalue(),
            on_hand=state[f"new.there{nth}"],
        )
        material = enter_material(shared_store(), told)
    except MockupError as error:
        desk().notes.append(spoken(error))
        return
    state[_COUNT] = nth + 1
    _pick(material.id)


def _files() -> None:
    store = shared_store()
    st.markdown("All your materials with what is on hand: the same shelf wherever they come in.")
    with st.container(horizontal=True):
        for label, ending, mime in (
            ("Save as a table", ".csv", "text/csv"),
            ("Save with photos", ".zip", "application/zip"),
        ):
            st.download_button(
                label,
                lambda ending=ending: materials_file(store, ending),
                file_name=f"materials{ending}",
                mime=mime,
                on_click="ignore",
                key=f"save{ending}",
                help="For a spreadsheet." if ending == ".csv" else "One file with everything.",
            )
    count = st.session_state.setdefault("shelf.brought", 0)
    st.checkbox(
        "Take the stock from the file too",
        key="shelf.counted",
        help="Else what is on hand of materials that are here stays as it is.",
    )
    st.file_uploader(
        "Bring materials in", type=["csv", "zip"], key=f"shelf.bring{count}", on_change=_bring,
        help="New ones are added, known ones changed; nothing is taken away.",
    )  # fmt: skip


def _bring() -> None:
    state = st.session_state
    given = state[f"shelf.bring{state['shelf.brought']}"]
    if given is None:
        return
    try:
        shelved = import_bytes(
            shared_store(), given.name, given.getvalue(), counted=state["shelf.counted"]
        )
    except MockupError as error:
        desk().notes.append(str(error))
        return
    state["shelf.brought"] += 1
    told = (len(shelved.new), len(shelved.changed), len(shelved.same))
    st.toast("{} new, {} changed, {} as they were".format(*told))


def _away() -> None:
    away = [m for m in shared_store().materials.all(away=True) if m.away]
    if not away:
        return
    with st.expander(f"Put away: {len(away)}", key="materials_away"):
        for material in away:
            _row(material)
