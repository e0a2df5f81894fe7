"""Laying a new layer over the one that is picked."""

from collections.abc import Callable

import streamlit as st

from mockup.design.document import Design
from mockup.design.edit import inserted_layer, with_asset
from mockup.design.layers import (
    AnyLayer,
    BaseLayer,
    CoatLayer,
    DecalLayer,
    Fade,
    GlitterLayer,
    MixPart,
    Place,
    WrapLayer,
)
from mockup.faces.desk.forms.wrap import ARTWORK
from mockup.faces.desk.session import Desk

__all__ = ["show_lay"]

_KINDS: dict[str, str] = {
    "Base coat": "Paint over all that lies below.",
    "Glitter": "Flakes on wet adhesive or resin.",
    "Lettering": "Words cut from foil or vinyl.",
    "Clear coat": "Epoxy or varnish over all that lies below.",
}
_SHAPES = ["svg", "png", "jpg", "jpeg", "tif", "tiff", "webp"]


def show_lay(desk: Desk) -> None:
    """What can be laid next, over the picked layer."""
    with st.popover(
        "Lay a layer",
        width="stretch",
        key="lay",
        help="Lays it just over the layer that is picked in the cut; with the steel picked, "
        "outermost, but paint on the steel.",
    ):
        for name, tells in _KINDS.items():
            st.button(
                name,
                key=f"lay.{name}",
                help=tells,
                width="stretch",
                on_click=_lay,
                args=(desk, name),
            )
        _from_file(
            desk,
            "Wrap",
            ARTWORK,
            _wrap,
            "Sheet artwork round the cup: choose its picture or drawing.",
        )
        _from_file(
            desk, "Shape", _SHAPES, _shape, "A shape to cut from foil or vinyl: choose its drawing."
        )
    if desk.refusal is not None and desk.refusal.control.startswith("lay."):
        st.error(desk.refusal.words)


def _from_file(
    desk: Desk, name: str, kinds: list[str], make: Callable[[Design, str], AnyLayer], tells: str
) -> None:
    count = st.session_state.setdefault("lay.count", 0)
    key = f"lay.{name}.{count}"

    def take() -> None:
        given = st.session_state[key]
        if given is None or st.session_state["lay.count"] != count:
            return

        def edit(design: Design) -> Design:
            held, asset = with_asset(design, given.name, given.getvalue())
            return inserted_layer(held, _next(desk, name), make(held, asset))

        _laid(desk, edit, _next(desk, name), key)
        st.session_state["lay.count"] = count + 1

    st.file_uploader(name, type=kinds, key=key, on_change=take, help=tells)


def _lay(desk: Desk, name: str) -> None:
    def edit(design: Design) -> Design:
        return inserted_layer(design, _next(desk, name), _new(design, name, desk))

    _laid(desk, edit, _next(desk, name), f"lay.{name}")


def _laid(desk: Desk, edit: Callable[[Design], Design], at: int, control: str) -> None:
    if desk.edit(edit, control=control):
        desk.selected = at


def _next(desk: Desk, kind: str) -> int:
    """Over the picked layer. Paint alone goes straight on the steel: it hides what lies below."""
    if desk.selected is not None:
        return desk.selected + 1
    assert desk.design is not None
    return 0 if kind == "Base coat" else len(desk.design.document.layers)


def _new(design: Design, name: str, desk: Desk) -> AnyLayer:
    """A layer of that kind to start from, in roles that the palette has."""
    middle = desk.made().blank.wall.length_mm / 2
    match name:
        case "Base coat":
            return BaseLayer(swatch=_role(design, "base"))
        case "Glitter":
            fade = Fade(
                from_mm=round(0.1 * middle, 1),
                to_mm=round(1.2 * middle, 1),
                coverage_from=0.9,
                coverage_to=0,
            )
            mix = (MixPart(swatch=_role(design, "glitter-mid")),)
            return GlitterLayer(cut_mm=0.38, mix=mix, coverage=(fade,))
        case "Clear coat":
            return CoatLayer(thickness_mm=0.4)
    place = Place(height_mm=round(middle, 1))
    return DecalLayer(
        swatch=_role(design, "lettering"), text="NAME", letter_height_mm=14, place=place
    )


def _wrap(design: Design, asset: str) -> WrapLayer:
    return WrapLayer(artwork=asset)


def _shape(design: Design, asset: str) -> DecalLayer:
    svg = asset.lower().endswith(".svg")
    return DecalLayer(
        swatch=_role(design, "lettering"),
        svg=asset if svg else None,
        bitmap=None if svg else asset,
        width_mm=40,
        place=Place(height_mm=60),
    )


def _role(design: Design, wanted: str) -> str:
    """The role of that name, else one of its kind, else any."""
    roles = design.palette.roles
    if wanted in roles:
        return wanted
    metal = wanted != "base"
    alike = [role for role, swatch in roles.items() if swatch.metallic == metal]
    return next(iter(alike or roles))
