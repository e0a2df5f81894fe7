"""One material on the Shelf page: what there is of it, its figures, its look, what was learned."""

import io
from html import escape

import streamlit as st
from PIL import Image, ImageOps

from mockup.design.products import figures_of
from mockup.design.shelf import Shelf
from mockup.errors import MockupError
from mockup.faces.desk.plan_tables import table
from mockup.faces.desk.session import desk, shared_store
from mockup.faces.desk.shelf.look import show_look
from mockup.faces.desk.shelf.moves import show_moves, show_moving
from mockup.faces.desk.shelf.photo import show_measuring
from mockup.faces.desk.shelf.words import (
    PICKED,
    SOURCES,
    amount,
    chip,
    figure_words,
    kind_words,
    told,
    typical_count,
    value_of,
)
from mockup.faces.desk.tray import TRAY
from mockup.faces.desk.words import plain, spoken
from mockup.outputs.plan.cautions import DEFERENCE, STEP_CAUTIONS, product_cautions
from mockup.pipeline.materials import factor_in_words, read_own
from mockup.pipeline.photo_look import kind_of
from mockup.pipeline.shelving import change_material, check_photo, figures_from, learn
from mockup.store.material_records import Material
from mockup.store.used import Factor

__all__ = ["show_material"]

_PICTURE_PX = 480
_STEPS = {  # kind → the step of the work whose cautions are its own
    "paint": "paint", "glitter": "glitter", "epoxy": "coat", "varnish": "varnish",
    "adhesive": "seal", "sealer": "seal", "foil": "decal", "adhesive_sheet": "decal",
    "vinyl": "decal", "wrap_sheet": "wrap",
}  # fmt: skip


def show_material(material: Material) -> None:
    """Draw the page of one material."""
    with st.container(key="material_page"):
        _page(material)


def _page(material: Material) -> None:
    store = shared_store()
    st.button("All materials", on_click=_back, type="tertiary", icon=":material/arrow_back:")
    shelf = read_own(store).shelf()
    _head(material)
    show_moving(material, shelf)
    _taught(material, store.used.factor(material))
    typical, whole = typical_count(material.product)
    with st.expander(f"Figures: {typical} of {whole} typical", key="figures"):
        _figures(material, shelf)
    with st.expander("Look", key="look_of_it"):
        show_look(material)
    kind = kind_of(material.product)
    if kind is not None:
        with st.expander("Measure it from a photo", key="look_from_photo"):
            show_measuring(material, kind)
    with st.expander("Name, use, notes, picture", key="told_of_it"):
        _said(material)
    with st.expander("Stock, move by move", key="moves"):
        show_moves(material)
    step = _STEPS.get(material.product.kind, "")
    told = (*STEP_CAUTIONS.get(step, ()), *product_cautions([material.product], shelf))
    for sentence in (*told, DEFERENCE) if told else ():
        st.caption(sentence)


def _back() -> None:
    st.session_state[PICKED] = None


def _head(material: Material) -> None:
    free = float(material.free)
    uses = " and ".join(material.product.suits) or "any use"
    batch = f" · batch {escape(material.batch)}" if material.batch else ""
    figures = [
        ("On hand", amount(material, float(material.on_hand)), ""),
        ("Reserved", amount(material, float(material.reserved)), ""),
        ("Short" if free < 0 else "Free", amount(material, abs(free)), "lacks" if free < 0 else ""),
    ]
    picture = _picture(material)
    shot = f'<img src="{picture}" alt="Its picture">' if picture else ""
    st.html(
        f'<div class="jar large"><i style="background:{chip(material)}"></i><span>'
        f'<h1>{escape(material.name)}</h1><span class="quiet">'
        f"{kind_words(material.product.kind)}, for {escape(uses)}{batch}</span></span>{shot}</div>"
        '<dl class="there">'
        + "".join(f'<div class="{c}"><dt>{n}</dt><dd>{escape(t)}</dd></div>' for n, t, c in figures)
        + "</dl>"
    )
    if material.note:
        st.caption(plain(material.note))


def _picture(material: Material) -> str | None:
    """Where the page finds its picture; None without one that a browser shows."""
    photo = shared_store().materials.photo_of(material)
    if photo is None:
        return None
    try:
        Image.open(io.BytesIO(photo)).verify()
    except OSError:
        return None

    def small() -> bytes:
        image = ImageOps.exif_transpose(Image.open(io.BytesIO(photo))).convert("RGB")
        image.thumbnail((_PICTURE_PX, _PICTURE_PX))
        file = io.BytesIO()
        image.save(file, "PNG")
        return file.getvalue()

    return TRAY.put_picture(f"material-{material.photo}", small)


def _taught(material: Material, factor: Factor | None) -> None:
    if factor is None or factor.loss_share == material.product.loss_share:
        return
    st.info(
        f"Real use: {factor_in_words(factor)}. Plans add {100 * material.product.loss_share:g} % "
        f"for loss; by this it would be {100 * factor.loss_share:g} %."
    )

    def take() -> None:
        try:
            learn(shared_store(), material)
        except MockupError as error:
            desk().notes.append(spoken(error))

    st.button(
        f"Plan with {100 * factor.loss_share:g} %",
        on_click=take,
        help="The geometric mean of what orders really used over what was planned before loss.",
    )


def _figures(material: Material, shelf: Shelf) -> None:
    product, names = material.product, figures_of(type(material.product))
    table(
        ("Figure", "Value", "From"),
        [
            (figure_words(n), told(product, n, shelf), product.source_of(n).partition(";")[0])
            for n in names
        ],
        right=(1,),
    )
    key = f"{material.id}.{material.version}"
    st.markdown("**Put a figure right**")
    name = st.selectbox(
        "Figure", names, format_func=figure_words, key=f"right.name.{material.id}",
        help="As the plan's formulas call it.",
    )  # fmt: skip
    value = told(product, name, shelf)
    if name == "pack_price_minor":
        value = value.rpartition(" ")[0].replace(",", "")
    with st.form(f"right.{key}.{name}", border=False):
        left, right = st.columns(2)
        left.text_input("Value", value, key=f"right.value.{key}.{name}", help="none is no figure.")
        right.selectbox(
            "From", SOURCES, key=f"right.by.{key}.{name}", accept_new_options=True,
            help="Said wherever the figure is used.",
        )  # fmt: skip
        st.form_submit_button("Put it right", on_click=_put, args=(material, shelf, name, key))


def _put(material: Material, shelf: Shelf, name: str, key: str) -> None:
    state = st.session_state
    text, source = state[f"right.value.{key}.{name}"], state[f"right.by.{key}.{name}"]
    try:
        if name == "pack_price_minor":
            given = figures_from(material.product, {name: text}, pack=None, price_minor=None)
            given[name] = round(given[name] * 10**shelf.rates.minor_digits)
        elif isinstance(value_of(material.product, name), tuple):
            given = figures_from(
                material.product, {name: text.replace(",", " ")}, pack=None, price_minor=None
            )
        else:
            given = figures_from(material.product, {name: text}, pack=None, price_minor=None)
        change_material(shared_store(), material, given, source=source or SOURCES[-1])
    except MockupError as error:
        desk().notes.append(spoken(error))


def _said(material: Material) -> None:
    picture = _picture(material)
    if picture:
        st.html(f'<img class="photo" src="{picture}" alt="Its picture">')
    key = f"{material.id}.{material.version}"
    with st.form(f"said.{key}", border=False):
        st.text_input("Name", material.name, key=f"said.name.{key}", help="Its label.")
        st.multiselect(
            "For", list(material.product.suits), default=list(material.product.suits),
            key=f"said.suits.{key}", accept_new_options=True,
            help="Roles, swatch labels, blanks or artwork that it is for.",
        )  # fmt: skip
        st.text_input("Batch", material.batch, key=f"said.batch.{key}", help="As it is stamped.")
        st.text_area("Notes", material.note, key=f"said.note.{key}", help="For yourself.")
        st.file_uploader(
            "Another picture", type=["jpg", "jpeg", "png", "heic"], key=f"said.photo.{key}",
            help="A phone offers its camera here.",
        )  # fmt: skip
        st.form_submit_button("Keep it so", on_click=_keep, args=(material, key))
    st.button(
        "Put it back on the shelf" if material.away else "Put it away",
        on_click=_away, args=(material,),
        help="Plans no longer go by it; nothing of it is lost.",
    )  # fmt: skip


def _keep(material: Material, key: str) -> None:
    state = st.session_state
    photo = state[f"said.photo.{key}"]
    try:
        if photo is not None:
            check_photo(photo.getvalue(), where=photo.name)
        change_material(
            shared_store(),
            material,
            {},
            source="",
            name=state[f"said.name.{key}"],
            suits=tuple(state[f"said.suits.{key}"]),
            batch=state[f"said.batch.{key}"],
            note=state[f"said.note.{key}"],
            photo=None if photo is None else photo.getvalue(),
        )
    except MockupError as error:
        desk().notes.append(spoken(error))


def _away(material: Material) -> None:
    try:
        shared_store().materials.change(material, away=not material.away)
    except MockupError as error:
        desk().notes.append(spoken(error))
