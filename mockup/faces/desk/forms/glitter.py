"""Glitter: its cut, its mix of colours, and where it lies how densely."""

from collections.abc import Callable
from typing import Any

import streamlit as st

from mockup.design.document import Design
from mockup.design.edit import with_layer, with_part
from mockup.design.layers import Band, Coverage, Fade, GlitterLayer, MixPart, Patch, Scatter
from mockup.faces.desk.forms.fields import Fields
from mockup.faces.desk.forms.swatch import show_swatch
from mockup.faces.desk.held import showing, unless_echo
from mockup.faces.desk.session import Desk

__all__ = ["show_glitter"]

# Cuts that are sold, by inches across flats
_CUTS = {
    ".004": 0.1,
    ".008": 0.2,
    ".015": 0.38,
    ".025": 0.64,
    ".040": 1.0,
    ".062": 1.6,
    ".094": 2.4,
}
_SHAPES = {"fade": "Fade", "band": "Band", "patch": "Patch", "scatter": "Scatter"}
_TELLS = {
    "fade": "From one density to another between two heights; beyond them it goes on as it ends.",
    "band": "Even between two heights.",
    "patch": "Round, soft at its edge.",
    "scatter": "The same everywhere.",
}


def show_glitter(fields: Fields, layer: GlitterLayer, index: int) -> None:
    """Cut, mix, coverage, how it fell."""
    _cut(fields, layer)
    _mix(fields, layer, index)
    _coverage(fields, layer, index)
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        fields.number(
            "tilt_deg",
            "Tilt, °",
            step=0.5,
            places=1,
            tells="How unevenly flakes lie: 3 pressed flat, 10 shaken on; more sparkles "
            "more widely.",
        )
    right.button(
        "Shake anew",
        key=f"{fields.name}.shake",
        on_click=fields.desk.edit,
        args=(fields.put(seed=(layer.seed + 1) % 10_000),),
        width="stretch",
        help="Another throw of the same glitter: where flakes fall is chance, on the bench too.",
    )


def _cut(fields: Fields, layer: GlitterLayer) -> None:
    desk, control = fields.desk, f"{fields.name}.cut"
    now = layer.flake_width_mm
    sold = next((name for name, mm in _CUTS.items() if abs(mm - now) < 0.015), None)
    options = [*_CUTS, "own"]
    key = showing(control, sold or "own")

    def words(name: str) -> str:
        if name == "own":
            return f"{now:.2f} mm" if sold is None else "Another"
        return f"{name} in · {_CUTS[name]:g} mm"

    def take(name: str) -> None:
        mm = _CUTS.get(name, round(now + 0.05, 2))
        desk.edit(fields.put(cut_mm=mm, cut_in=None), control=control)

    st.selectbox(
        "Cut",
        options,
        key=key,
        format_func=words,
        on_change=unless_echo(control, take),
        help="A flake's width across flats, as the jar has it in inches. Large cuts glint, fine "
        "ones shimmer.",
    )
    if sold is None and layer.cut_mm is not None:
        fields.length(
            "cut_mm", "Cut, measured", step=0.05, places=2, tells="Across flats, by a loupe."
        )


def _mix(fields: Fields, layer: GlitterLayer, index: int) -> None:
    desk = fields.desk
    st.markdown("**Mix**", help="Jars that are mixed, by parts of their flakes.")
    for nth, part in enumerate(layer.mix):
        own = Fields(desk, f"{fields.name}.mix{nth}", part, _part_put(index, "mix", nth))
        left, right = st.columns([3.2, 1.1], vertical_alignment="bottom")
        with left:
            show_swatch(own, "swatch", f"Jar {nth + 1}", tells="Which flakes.")
        with right:
            own.number("share", "Parts", step=1.0, places=1, tells="Of the whole mix.")
        if len(layer.mix) > 1:
            _remove(desk, index, "mix", nth, f"Leave out jar {nth + 1}")
    if len(layer.mix) < 6:
        last = layer.mix[-1]
        st.button(
            "Add a jar",
            key=f"{fields.name}.mix.add",
            on_click=desk.edit,
            args=(fields.put(mix=(*layer.mix, MixPart(swatch=last.swatch))),),
            type="tertiary",
            help="One more colour of the same cut into the mix.",
        )


def _coverage(fields: Fields, layer: GlitterLayer, index: int) -> None:
    desk = fields.desk
    st.markdown(
        "**Where it lies**",
        help="The share of the wall that flakes hide. Where several "
        "lie, what is still bare after one is covered by the next.",
    )
    for nth, shape in enumerate(layer.coverage):
        with st.container(border=True, key=f"{fields.name}.on{nth}".replace(".", "_")):
            _one_shape(desk, fields.name, shape, index, nth)
            if len(layer.coverage) > 1:
                _remove(desk, index, "coverage", nth, f"Leave this {shape.shape} out")
    if len(layer.coverage) < 24:
        st.button(
            "Add a band, fade or patch",
            key=f"{fields.name}.on.add",
            on_click=desk.edit,
            args=(lambda d: with_layer(d, index, coverage=(*layer.coverage, _new(d, "band"))),),
            type="tertiary",
            help="The same glitter in one more place.",
        )


def _one_shape(desk: Desk, name: str, shape: Coverage, index: int, nth: int) -> None:
    own = Fields(desk, f"{name}.on{nth}", shape, _part_put(index, "coverage", nth))
    control = f"{name}.on{nth}.shape"
    key = showing(control, shape.shape)

    def take(new: str) -> None:
        desk.edit(lambda d: _reshaped(d, index, nth, new), control=control)

    st.segmented_control(
        "Laid as",
        list(_SHAPES),
        key=key,
        format_func=lambda one: _SHAPES[one],
        required=True,
        on_change=unless_echo(control, take),
        help=_TELLS[shape.shape],
    )
    _measures(own, shape)


def _measures(own: Fields, shape: Coverage) -> None:
    """Where it lies and how densely."""
    match shape:
        case Fade():
            _heights(own)
            left, right = st.columns(2)
            with left:
                own.share("coverage_from", "At the lower end", tells="Share of the wall hidden.")
            with right:
                own.share("coverage_to", "At the upper end", tells="Share of the wall hidden.")
        case Band():
            _heights(own)
            own.share("coverage", "Density", tells="Share of the wall hidden.")
            own.length("edge_mm", "Soft edge", tells="0 as masked with tape; more fades out.")
        case Patch():
            left, right = st.columns(2)
            with left:
                own.length("height_mm", "Height", tells="Of its middle, up the wall.")
                own.length("radius_mm", "Radius", tells="Full as far as this.")
            with right:
                own.number(
                    "angle_deg",
                    "Round, °",
                    tells="Of its middle; 0 is the front, 180 the back, more to the right.",
                )
                own.length("feather_mm", "Soft edge", tells="How far it fades out beyond.")
            own.share("coverage", "Density", tells="Share of the wall hidden.")
        case Scatter():
            own.share("coverage", "Density", tells="Share of the wall hidden.")


def _heights(own: Fields) -> None:
    left, right = st.columns(2)
    with left:
        own.length("from_mm", "From height", tells="Up the wall from its foot.")
    with right:
        own.length("to_mm", "To height", tells="Up the wall from its foot.")


def _reshaped(design: Design, index: int, nth: int, shape: str) -> Design:
    layer = design.document.layers[index]
    assert isinstance(layer, GlitterLayer)
    parts = list(layer.coverage)
    parts[nth] = _new(design, shape)
    return with_layer(design, index, coverage=tuple(parts))


def _new(design: Design, shape: str) -> Coverage:
    """A shape to start from, of a size that shows on any cup."""
    match shape:
        case "fade":
            return Fade(from_mm=10, to_mm=100, coverage_from=0.9, coverage_to=0)
        case "patch":
            return Patch(height_mm=60, radius_mm=15, coverage=0.8)
        case "scatter":
            return Scatter(coverage=0.1)
    return Band(from_mm=40, to_mm=70, coverage=0.8, edge_mm=2)


def _remove(desk: Desk, index: int, field: str, nth: int, label: str) -> None:
    def edit(design: Design) -> Design:
        parts = list(getattr(design.document.layers[index], field))
        del parts[nth]
        return with_layer(design, index, **{field: tuple(parts)})

    st.button(
        label,
        key=f"layer{index}.{field}{nth}.remove",
        on_click=desk.edit,
        args=(edit,),
        type="tertiary",
        help="Undo brings it back.",
    )


def _part_put(index: int, field: str, nth: int) -> Callable[..., Callable[[Design], Design]]:
    def put(**changes: Any) -> Callable[[Design], Design]:
        return lambda design: with_part(design, index, field, nth, **changes)

    return put
