"""A wrap: sheet artwork round the cup, its true size and its seam."""

from collections.abc import Mapping
from typing import Any

import streamlit as st

from mockup.design.document import Design
from mockup.design.edit import with_asset, with_layer, with_part
from mockup.design.layers import Place, WrapLayer
from mockup.faces.desk.forms.fields import Fields
from mockup.faces.desk.parts.seam import show_seam
from mockup.faces.desk.session import Desk
from mockup.faces.desk.words import length
from mockup.skin.artwork import artwork_size_mm

__all__ = ["show_wrap"]

ARTWORK = ["png", "jpg", "jpeg", "svg", "tif", "tiff", "webp"]
_FITS = {"round": "Once round", "tile": "Repeated", "placed": "One piece"}
_SHEETS = {"film": "Film", "paper": "Paper", "fabric": "Fabric"}


def show_wrap(fields: Fields, layer: WrapLayer, index: int) -> None:
    """Artwork, size, place, seam, sheet."""
    desk = fields.desk
    upload(
        desk,
        fields.name,
        "Artwork",
        ARTWORK,
        layer.artwork,
        lambda design, name: with_layer(design, index, artwork=name),
        tells="Picture or drawing that is printed: PNG, JPEG, SVG, TIFF or WebP.",
    )
    fields.choice(
        "fit",
        "How it goes round",
        _FITS,
        convert=lambda fit: _refit(desk, layer, fit),
        tells="Once round meets itself at the seam; repeated keeps its own size; one piece "
        "is placed like a label.",
    )
    _size(fields, layer, index)
    _edges(fields)
    _sheet(fields, layer)
    if layer.fit != "placed":
        _seam(fields, layer, index)


def _edges(fields: Fields) -> None:
    left, right = st.columns(2)
    with left:
        fields.length("from_mm", "Lower edge", tells="Of the sheet, up the wall from its foot.")
    with right:
        fields.length(
            "to_mm", "Upper edge", hint="rim", tells="Of the sheet; empty is up to the rim."
        )


def _sheet(fields: Fields, layer: WrapLayer) -> None:
    fields.choice(
        "sheet",
        "Sheet",
        _SHEETS,
        tells="Film lies smooth; paper and fabric show their grain and drink resin unless sealed.",
    )
    if layer.sheet != "film":
        fields.tick(
            "sealed",
            "Sealed before the resin",
            tells="Unsealed sheet soaks and darkens in blotches.",
        )


def upload(
    desk: Desk, name: str, label: str, kinds: list[str], now: str | None, put: Any, *, tells: str
) -> None:
    """A file for the design: taken in as soon as it is there."""
    count = st.session_state.setdefault(f"{name}.uploads", 0)
    key = f"{name}.upload{count}"

    def take() -> None:
        given = st.session_state[key]
        if given is None or st.session_state[f"{name}.uploads"] != count:
            return

        def edit(design: Design) -> Design:
            held, asset = with_asset(design, given.name, given.getvalue())
            changed: Design = put(held, asset)
            return changed

        if desk.edit(edit, control=key, value=None):
            st.session_state[f"{name}.uploads"] = count + 1

    st.file_uploader(label, type=kinds, key=key, on_change=take, help=tells)
    if now is not None:
        st.caption(f"Now {now.removeprefix('assets/')}")
    if desk.refusal is not None and desk.refusal.control == key:
        st.error(desk.refusal.words)


def _refit(desk: Desk, layer: WrapLayer, fit: str) -> Mapping[str, Any]:
    """What another way round needs besides."""
    if fit == "round":
        return {"fit": fit}
    width, _ = _natural(desk, layer)
    changes: dict[str, Any] = {"fit": fit, "width_mm": layer.width_mm or round(min(width, 200), 1)}
    if fit == "placed":
        top = layer.to_mm if layer.to_mm is not None else 100
        place = layer.place or {"height_mm": (layer.from_mm + top) / 2, "angle_deg": 0.0}
        changes["place"] = place
    return changes


def _natural(desk: Desk, layer: WrapLayer) -> tuple[float, float]:
    assert desk.design is not None
    asset = desk.design.asset(layer.artwork, where="artwork")
    return artwork_size_mm(asset, where="artwork")


def _size(fields: Fields, layer: WrapLayer, index: int) -> None:
    desk = fields.desk
    width, height = _natural(desk, layer)
    if layer.fit == "round":
        st.caption(
            "Its width is the way round the cup; its height follows from its proportions "
            f"({width / height:.2f} to 1)."
        )
        fields.number(
            "rotation_deg", "Turned, °", step=90, tells="The artwork on its sheet, anticlockwise."
        )
        _shift(fields)
        return
    left, right = st.columns(2)
    with left:
        fields.length("width_mm", "True width", tells="Of one tile or piece as it is printed.")
    with right:
        shown = (layer.width_mm or width) * height / width
        fields.length(
            "height_mm",
            "True height",
            hint=length(shown, desk.unit),
            tells="Empty keeps the artwork's proportions.",
        )
    fields.number("rotation_deg", "Turned, °", step=5, tells="Anticlockwise on the sheet.")
    if layer.fit == "placed" and layer.place is not None:
        _place(fields, layer.place, index)
    else:
        _shift(fields)


def _shift(fields: Fields) -> None:
    fields.pair(
        "offset_mm",
        ("Shift to the right", "Shift up"),
        tells="Of the pattern under the seam, so that it breaks where it shows least.",
    )


def _place(fields: Fields, at: Place, index: int) -> None:
    place = Fields(
        fields.desk,
        f"{fields.name}.place",
        at,
        lambda **c: lambda d: with_part(d, index, "place", None, **c),
    )
    left, right = st.columns(2)
    with left:
        place.length(
            "height_mm",
            "Height of its middle",
            tells="Up the wall from its foot. Or click on the cup or the flat.",
        )
    with right:
        place.number(
            "angle_deg",
            "Round, °",
            tells="Of its middle; 0 is the front, 180 the back, more to the right.",
        )


def _seam(fields: Fields, layer: WrapLayer, index: int) -> None:
    st.markdown("**Seam**", help="Where the sheet's two ends meet.")
    left, right = st.columns(2)
    with left:
        fields.number(
            "seam_deg",
            "Round, °",
            step=5,
            tells="180 is the back; lay it where a hand or a lid's spout hides it.",
        )
    with right:
        fields.length(
            "overlap_mm",
            "Overlap",
            tells="How far one end lies over the other; the cut sheet has it.",
        )
    show_seam(fields.desk, index)
