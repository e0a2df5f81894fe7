"""The material of a layer: one of the palette's roles, and what that role is made of."""

from collections.abc import Callable
from typing import Any

import streamlit as st

from mockup.design.document import Design
from mockup.design.edit import changed, with_swatch
from mockup.design.palette import Swatch
from mockup.faces.desk.forms.fields import Fields
from mockup.faces.desk.held import showing, unless_echo
from mockup.faces.desk.session import Desk

__all__ = ["paint_roles", "role_words", "show_swatch"]


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


_COLOURS = {"pigment": "srgb", "metal": "tint_srgb", "hologram": "tint_srgb"}


def swatch_edit(role: str, **changes: Any) -> Callable[[Design], Design]:
    """An edit of the swatch of `role`."""

    def edit(design: Design) -> Design:
        old = design.swatch(role, where="palette")
        return with_swatch(design, role, changed(old, f"palette.{role}", changes))

    return edit
