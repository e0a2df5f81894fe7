"""A decal: lettering or a shape cut from foil or vinyl, its place and what lies under it."""

from collections.abc import Callable
from typing import Any

import streamlit as st

from mockup.design.document import Design
from mockup.design.edit import with_layer, with_part
from mockup.design.layers import Backing, DecalLayer
from mockup.faces.desk.forms.fields import Fields
from mockup.faces.desk.forms.swatch import show_surface, show_swatch
from mockup.faces.desk.forms.wrap import upload
from mockup.faces.desk.held import showing, unless_echo
from mockup.faces.desk.nudge import show_nudge
from mockup.skin.lettering_font import shipped_fonts

__all__ = ["show_decal"]

_DRAWINGS = ["svg", "png", "jpg", "jpeg", "tif", "tiff", "webp"]
_SIZES = {"width_mm": "Width", "height_mm": "Height", "letter_height_mm": "Letter height"}
_LIES = {"level": "Level", "straight": "As cut straight"}


def show_decal(fields: Fields, layer: DecalLayer, index: int) -> None:
    """Shape, size, place, sheet, backing."""
    if layer.text is not None:
        _lettering(fields, layer, index)
    else:
        _shape(fields, layer, index)
    show_swatch(fields, "swatch", "Sheet", tells="The foil or vinyl that it is cut from.")
    show_surface(fields, "swatch")
    _place(fields, layer, index)
    fields.length(
        "outset_mm",
        "Bolder by",
        step=0.05,
        places=2,
        tells="Grows every stroke on either side; thin strokes tear in weeding.",
    )
    _backings(fields, layer, index)


def _lettering(fields: Fields, layer: DecalLayer, index: int) -> None:
    fields.text("text", "Words", lines=True, tells="What is cut, line by line.")
    design = fields.desk.design
    assert design is not None
    own = sorted(name for name in design.assets if name.lower().endswith((".ttf", ".otf")))
    fields.pick(
        "font",
        "Font",
        [*shipped_fonts(), *own],
        words=lambda f: f.removeprefix("assets/"),
        tells="Letters to cut. The fonts that come along are free for any use.",
    )
    with st.expander("A font file of yours"):
        upload(
            fields.desk,
            f"{fields.name}.font",
            "Font file",
            ["ttf", "otf"],
            None,
            lambda d, name: with_layer(d, index, font=name),
            tells="See that its licence lets you cut and sell letters of it.",
        )
    _size(fields, layer, tuple(_SIZES))
    left, right = st.columns(2)
    with left:
        fields.length(
            "letter_spacing_mm",
            "Between letters",
            step=0.1,
            places=2,
            tells="Added to what the font has; wider is easier to weed.",
        )
    with right:
        fields.number(
            "line_spacing", "Line to line", step=0.05, places=2, tells="In letter heights."
        )


def _shape(fields: Fields, layer: DecalLayer, index: int) -> None:
    def put(design: Design, name: str) -> Design:
        svg = name.lower().endswith(".svg")
        return with_layer(design, index, svg=name if svg else None, bitmap=None if svg else name)

    upload(
        fields.desk,
        fields.name,
        "Shape",
        _DRAWINGS,
        layer.svg or layer.bitmap,
        put,
        tells="A drawing as SVG, or a picture in black and white whose outline is cut.",
    )
    if layer.bitmap is not None:
        fields.tick("dark_is_shape", "The dark is cut", tells="Off: the light parts are the shape.")
    _size(fields, layer, ("width_mm", "height_mm"))


def _size(fields: Fields, layer: DecalLayer, sizes: tuple[str, ...]) -> None:
    now = next(name for name in _SIZES if getattr(layer, name) is not None)
    control, desk = f"{fields.name}.measure", fields.desk
    key = showing(control, now)
    left, right = st.columns([3, 2], vertical_alignment="bottom")

    def take(new: str) -> None:
        old = getattr(layer, now)
        desk.edit(fields.put(**{now: None, new: old}), control=control)

    left.selectbox(
        "Sized by",
        sizes,
        key=key,
        format_func=lambda name: _SIZES[name],
        on_change=unless_echo(control, take),
        help="Which measure you give; the other follows.",
    )
    with right:
        fields.length(now, _SIZES[now], tells="True size, as it is cut.")
    if desk.refusal is not None and desk.refusal.control == control:
        st.error(desk.refusal.words)


def _place(fields: Fields, layer: DecalLayer, index: int) -> None:
    desk = fields.desk
    st.markdown("**Place**", help="Click on the cup or on the flat to lay its middle there.")
    own = Fields(
        desk,
        f"{fields.name}.place",
        layer.place,
        lambda **c: lambda d: with_part(d, index, "place", None, **c),
    )
    left, right = st.columns(2)
    with left:
        own.length("height_mm", "Height", tells="Of its middle, up the wall from its foot.")
    with right:
        own.number(
            "angle_deg",
            "Round, °",
            places=1,
            tells="Of its middle; 0 is the front, 180 the back, more to the right.",
        )
    show_nudge(desk, index)
    left, right = st.columns([2, 3])
    with left:
        own.number("rotation_deg", "Turned, °", tells="Anticlockwise.")
    if desk.made().blank.wall.kind == "cylinder":
        return  # level and straight are the same there
    with right:
        fields.choice(
            "lie",
            "On a taper",
            _LIES,
            tells="Level: bent in cutting, so that it runs at "
            "one height round the cup. Straight: cut as drawn, and it bows.",
        )


def _backings(fields: Fields, layer: DecalLayer, index: int) -> None:
    desk = fields.desk
    st.markdown(
        "**Backing**",
        help="A larger copy that lies under the shape and sets it off "
        "from what is behind; cut and laid first.",
    )
    for nth, backing in enumerate(layer.backing):
        own = Fields(desk, f"{fields.name}.backing{nth}", backing, _backing_put(index, nth))
        show_swatch(own, "swatch", f"Backing {nth + 1}", tells="The sheet that it is cut from.")
        left, right = st.columns(2, vertical_alignment="bottom")
        with left:
            own.length(
                "outset_mm",
                "Wider by",
                step=0.1,
                places=2,
                tells="On every side, than the shape above.",
            )
        kept = (*layer.backing[:nth], *layer.backing[nth + 1 :])
        right.button(
            "Leave it out",
            key=f"{fields.name}.backing{nth}.out",
            type="tertiary",
            on_click=desk.edit,
            args=(fields.put(backing=kept),),
            help="Undo brings it back.",
        )
    if len(layer.backing) < 6:
        st.button(
            "Add a backing",
            key=f"{fields.name}.backing.add",
            type="tertiary",
            on_click=desk.edit,
            args=(lambda d: _backed(d, index),),
            help="One more sheet under all of it.",
        )


def _backed(design: Design, index: int) -> Design:
    layer = design.document.layers[index]
    assert isinstance(layer, DecalLayer)
    widest = max((b.outset_mm for b in layer.backing), default=0.0)
    roles = design.palette.roles
    role = "backing" if "backing" in roles else next(iter(roles))
    new = Backing(swatch=role, outset_mm=round(widest + 1.0, 2))
    return with_layer(design, index, backing=(new, *layer.backing))


def _backing_put(index: int, nth: int) -> Callable[..., Callable[[Design], Design]]:
    def put(**changes: Any) -> Callable[[Design], Design]:
        return lambda design: with_part(design, index, "backing", nth, **changes)

    return put
