"""The form of what is picked in the cut: a layer, or the bare cup."""

from collections.abc import Callable
from typing import Any

import streamlit as st

from mockup.design.document import Design
from mockup.design.edit import copied_layer, moved_layer, removed_layer, with_document, with_layer
from mockup.design.layers import (
    LAYER_KINDS,
    BaseLayer,
    CoatLayer,
    DecalLayer,
    GlitterLayer,
    WrapLayer,
    layer_title,
)
from mockup.faces.desk.forms.base import show_base
from mockup.faces.desk.forms.blank import show_blank
from mockup.faces.desk.forms.coat import show_coat
from mockup.faces.desk.forms.decal import show_decal
from mockup.faces.desk.forms.fields import Fields
from mockup.faces.desk.forms.glitter import show_glitter
from mockup.faces.desk.forms.wrap import show_wrap
from mockup.faces.desk.session import Desk
from mockup.faces.desk.words import file_stem, plain
from mockup.outputs.plan.cautions import DEFERENCE, STEP_CAUTIONS
from mockup.pipeline import packed

__all__ = ["show_layer"]

_CAUTIONS = {
    "steel": ("prepare",),
    "base": ("paint",),
    "wrap": ("wrap", "seal"),
    "glitter": ("glitter", "sand"),
    "decal": ("decal",),
    "coat": ("coat", "varnish", "sand"),
}


def show_layer(desk: Desk) -> None:
    """Title, controls, and what to mind at the bench."""
    design, index = desk.design, desk.selected
    assert design is not None
    if index is None:
        st.subheader("The bare cup")
        _order(desk, design)
        show_blank(desk)
        st.download_button(
            "Save as a pack",
            lambda: packed(design),
            file_name=f"{file_stem(design.document.title)}.tumbler",
            mime="application/octet-stream",
            on_click="ignore",
            help="The whole design in one file, artwork and palettes with it, to send or to keep.",
        )
        _cautions("steel")
        return
    layer = design.document.layers[index]
    st.subheader(plain(layer_title(layer)))
    fields = Fields(desk, f"{layer.kind}{index}", layer, _put(index))
    _acts(desk, index, len(design.document.layers))
    fields.text(
        "name",
        "Called",
        hint=LAYER_KINDS[layer.kind],
        tells="Your word for it, in the cut and on the work sheet.",
    )
    match layer:
        case BaseLayer():
            show_base(fields, layer)
        case WrapLayer():
            show_wrap(fields, layer, index)
        case GlitterLayer():
            show_glitter(fields, layer, index)
        case DecalLayer():
            show_decal(fields, layer, index)
        case CoatLayer():
            show_coat(fields, layer)
    _cautions(layer.kind)


def _put(index: int) -> Callable[..., Callable[[Design], Design]]:
    def put(**changes: Any) -> Callable[[Design], Design]:
        return lambda design: with_layer(design, index, **changes)

    return put


def _order(desk: Desk, design: Design) -> None:
    fields = Fields(desk, "order", design.document, lambda **c: lambda d: with_document(d, **c))
    fields.text("title", "What is ordered", tells="Heads the proof and the work sheet.")
    fields.text("note", "Note", lines=True, tells="For yourself and the work sheet.")


def _acts(desk: Desk, index: int, count: int) -> None:
    def go(step: int) -> None:
        if desk.edit(lambda design: moved_layer(design, index, index + step)):
            desk.selected = index + step

    def copy() -> None:
        if desk.edit(lambda design: copied_layer(design, index), control="acts"):
            desk.selected = index + 1

    with st.container(horizontal=True, key="acts"):
        st.button(
            "Outward",
            disabled=index == count - 1,
            on_click=go,
            args=(1,),
            help="Lays this layer over the next one.",
        )
        st.button(
            "Inward",
            disabled=index == 0,
            on_click=go,
            args=(-1,),
            help="Lays this layer under the one below it.",
        )
        st.button("Once more", on_click=copy, help="Lays the same layer again, over this one.")
        st.button(
            "Take off",
            on_click=desk.edit,
            disabled=count == 1,
            args=(lambda design: removed_layer(design, index),),
            help="Leaves this layer out; Undo lays it again.",
        )


def _cautions(kind: str) -> None:
    told = [sentence for step in _CAUTIONS[kind] for sentence in STEP_CAUTIONS[step]]
    with st.expander("Mind at the bench", icon="⚠️"):
        for sentence in told:
            st.markdown(f"- {sentence}")
        st.caption(DEFERENCE)
