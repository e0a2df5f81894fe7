"""How one material looks: its swatch, by eye or as it was measured, and into the design."""

from html import escape
from typing import Any

import streamlit as st

from mockup.design.edit import with_swatch
from mockup.design.palette import METALS, MetalSwatch, PigmentSwatch, Swatch
from mockup.errors import MockupError
from mockup.faces.desk.forms.swatch import role_words
from mockup.faces.desk.held import showing, unless_echo
from mockup.faces.desk.session import desk, shared_store
from mockup.faces.desk.shelf.words import chip
from mockup.faces.desk.words import spoken
from mockup.store.material_records import Material

__all__ = ["show_look"]

_METALLIC = frozenset({"foil", "glitter"})
_NEW = "#888888"


def show_look(material: Material) -> None:
    """Its swatch, and ways to change and to use it."""
    look = material.look
    if look is None:
        st.markdown("Nobody has told yet how it looks.")
    else:
        how = "Measured" if look.measured else "Chosen by eye"
        st.html(
            f'<div class="jar"><i style="background:{chip(material)}"></i><span>'
            f"<b>{how}</b>, {look.made_at.astimezone():%d %b %Y}"
            f'<span class="quiet">{escape(look.swatch.kind)} · {escape(look.swatch.source)}</span>'
            "</span></div>"
        )
    _by_eye(material)
    if look is not None:
        _use(material, look.swatch)


def _by_eye(material: Material) -> None:
    """A colour, and of foil and glitter what metal it tints."""
    now = material.look.swatch if material.look else None
    metal = now.metal if isinstance(now, MetalSwatch) else None
    colour = now.tint_srgb if isinstance(now, MetalSwatch) else getattr(now, "srgb", _NEW)
    left, right = st.columns(2, vertical_alignment="bottom")
    if material.product.kind in _METALLIC:
        control = f"look.metal.{material.id}"
        with left:
            st.selectbox(
                "Metal", [None, *METALS], key=showing(control, metal),
                format_func=lambda one: one or "none, a pigment",
                on_change=unless_echo(control, lambda m: _show(material, m, colour)),
                help="Under its tint; none is coloured like paint.",
            )  # fmt: skip
    control = f"look.colour.{material.id}"
    with right:
        st.color_picker(
            "Tint, by eye" if metal else "Colour, by eye", key=showing(control, colour),
            on_change=unless_echo(control, lambda srgb: _show(material, metal, srgb)),
            help="How it looked before is kept.",
        )  # fmt: skip


def _show(material: Material, metal: Any, srgb: str) -> None:
    label, source = material.name, "chosen by eye"
    swatch: Swatch = (
        MetalSwatch(label=label, metal=metal, tint_srgb=srgb, source=source)
        if metal
        else PigmentSwatch(label=label, srgb=srgb, source=source)
    )
    try:
        shared_store().materials.show(material, swatch)
    except MockupError as error:
        desk().notes.append(spoken(error))


def _use(material: Material, swatch: Swatch) -> None:
    """Put it into the design on the table, in a role's place."""
    here = desk()
    if here.design is None:
        return
    design = here.design
    st.markdown("**In the design on the table**")
    left, right = st.columns([3, 2], vertical_alignment="bottom")
    role = left.selectbox(
        "In place of", list(design.palette.roles), key="look.role",
        format_func=lambda one: role_words(design, one),
        help="The role's swatch becomes this one, in this design alone.",
    )  # fmt: skip

    def use() -> None:
        labelled = swatch.model_copy(update={"label": material.name})
        here.edit(lambda design: with_swatch(design, role, labelled))
        if here.refusal is not None:
            here.notes.append(here.refusal.words)

    right.button("Use it there", on_click=use, help="Undo takes it back.")
