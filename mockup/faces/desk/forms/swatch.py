"""The material of a layer: one of the palette's roles, and what that role is made of."""

from collections.abc import Callable
from typing import Any

import streamlit as st

from mockup.design.document import Design
from mockup.design.edit import changed, with_swatch
from mockup.design.palette import HologramSwatch, MetalSwatch, Swatch
from mockup.faces.desk.forms.fields import Fields
from mockup.faces.desk.held import showing, unless_echo
from mockup.faces.desk.session import Desk

__all__ = ["paint_roles", "role_words", "show_surface", "show_swatch"]


def paint_roles(design: Design) -> list[str]:
    """Roles of the palette in use that paint or vinyl fills."""
    return [role for role, swatch in design.palette.roles.items() if not swatch.metallic]


def role_words(design: Design, role: str) -> str:
    """What a jar or sheet says, and what it is for."""
    swatch = design.palette.roles.get(role)
    label = swatch.label if swatch is not None else ""
    return f"{label} · {role}" if label else role


def show_swatch(
    fields: Fields, field: str, label: str, *, tells: str, paints_only: bool = False
) -> None:
    """Choose the role, and see and change what it is made of."""
    desk, role = fields.desk, getattr(fields.part, field)
    design = desk.design
    assert design is not None
    roles = paint_roles(design) if paints_only else list(design.palette.roles)
    left, right = st.columns([4, 1.3], vertical_alignment="bottom")
    with left:
        fields.pick(field, label, roles, words=lambda one: role_words(design, one), tells=tells)
    with right:
        _colour(desk, f"{fields.name}.{field}", role, design.palette.roles[role])


def _colour(desk: Desk, name: str, role: str, swatch: Swatch) -> None:
    field = _COLOURS.get(swatch.kind)
    if field is None:
        return
    control = f"{name}.{role}.colour"
    key = showing(control, getattr(swatch, field))

    def recolour(srgb: str) -> None:
        desk.edit(swatch_edit(role, **{field: srgb}), control=control)

    st.color_picker(
        "Colour" if swatch.kind == "pigment" else "Tint",
        key=key,
        on_change=unless_echo(control, recolour),
        help="Of this swatch, wherever this order uses it: the dry paint's own colour, or the tint "
        "of the lacquer over the metal.",
    )


def show_surface(fields: Fields, field: str) -> None:
    """How a sheet of metal mirrors: softly or sharply, in lines, in a grating's colours."""
    desk, role = fields.desk, getattr(fields.part, field)
    design = desk.design
    assert design is not None
    swatch = design.palette.roles[role]
    if not swatch.metallic:
        return
    own = Fields(
        desk, f"{fields.name}.{role}.surface", swatch, lambda **new: swatch_edit(role, **new)
    )
    with st.expander("Its surface"):
        own.number(
            "specular_roughness",
            "Softness",
            step=0.02,
            places=2,
            tells="0.1 mirrors like chrome, 0.3 is usual foil, 0.7 is nearly dull. Wherever this "
            "order uses the sheet.",
        )
        match swatch:
            case MetalSwatch():
                _lines(own, swatch)
            case HologramSwatch():
                _grooves(own, swatch)


def _lines(own: Fields, swatch: MetalSwatch) -> None:
    own.number(
        "specular_roughness_anisotropy",
        "Brushed",
        step=0.1,
        places=1,
        tells="0 is alike in all directions; 0.9 has strong lines, as rolled or brushed metal.",
    )
    if swatch.specular_roughness_anisotropy > 0:
        own.choice(
            "brushed",
            "Lines run",
            {"round": "Round the cup", "upright": "Up the wall"},
            tells="As the sheet is laid: turn it before you cut.",
        )


def _grooves(own: Fields, swatch: HologramSwatch) -> None:
    words = {"upright": "Upright", "round": "Round", "crossed": "Crossed", "shards": "Shards"}
    own.choice(
        "grooves",
        "Grooves",
        words,
        tells="Colours spread across the grooves: of upright ones, round the cup. Shards lie each "
        "its own way.",
    )
    if swatch.grooves == "shards":
        own.length("shard_mm", "Width of a shard", step=0.2, tells="From one edge to the next.")


_COLOURS = {"pigment": "srgb", "metal": "tint_srgb", "hologram": "tint_srgb"}


def swatch_edit(role: str, **changes: Any) -> Callable[[Design], Design]:
    """An edit of the swatch of `role`."""

    def edit(design: Design) -> Design:
        old = design.swatch(role, where="palette")
        return with_swatch(design, role, changed(old, f"palette.{role}", changes))

    return edit
