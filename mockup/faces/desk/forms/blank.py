"""The bare cup: a blank of the library, or the maker's own measurements."""

import math
from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from mockup.blank.library import blank_names
from mockup.blank.typical import find_typical
from mockup.design.blanks import BlankSpec, LibraryBlank, ProfileBlank, StraightBlank, TaperedBlank
from mockup.design.document import Design
from mockup.design.edit import changed, with_blank
from mockup.design.strict import validate
from mockup.faces.desk.forms.fields import Fields
from mockup.faces.desk.held import showing, unless_echo
from mockup.faces.desk.session import Desk
from mockup.faces.desk.words import length

__all__ = ["show_blank"]

_SHAPES = {"straight": "Straight", "tapered": "Tapered", "profile": "Curved"}
_KINDS: Mapping[str, type[BlankSpec]] = {
    "straight": StraightBlank,
    "tapered": TaperedBlank,
    "profile": ProfileBlank,
}


def show_blank(desk: Desk) -> None:
    """What the bare cup measures."""
    assert desk.design is not None
    spec = desk.design.document.blank
    _origin(desk, spec)
    if isinstance(spec, LibraryBlank):
        _library(desk, spec)
        return
    fields = Fields(desk, "blank", spec, _put)
    if desk.refusal is not None and desk.refusal.control == "blank":
        st.error(desk.refusal.words)
    _shape(desk, spec)
    match spec:
        case StraightBlank():
            _round(fields, spec, "", "Round the wall")
            fields.length("wall_height_mm", "Wall height", tells="Of the part to be decorated.")
        case TaperedBlank():
            _round(fields, spec, "foot_", "At the foot")
            _round(fields, spec, "rim_", "At the rim")
            _tall(fields, spec)
        case ProfileBlank():
            _points(desk, spec)
    _gaps(fields)


def _put(**changes: Any) -> Callable[[Design], Design]:
    def edit(design: Design) -> Design:
        return with_blank(design, changed(design.document.blank, "blank", changes))

    return edit


def _origin(desk: Desk, spec: BlankSpec) -> None:
    key = showing("blank.origin", "library" if isinstance(spec, LibraryBlank) else "own")

    def take(new: str) -> None:
        desk.edit(_to_library if new == "library" else _to_own, control="blank")

    words = {"library": "From the library", "own": "Measured by you"}
    st.segmented_control(
        "Blank",
        list(words),
        key=key,
        format_func=lambda one: words[one],
        required=True,
        on_change=unless_echo("blank.origin", take),
        help="Typical sizes to start with, or what your calipers and tape say of your cup.",
    )


def _to_library(design: Design) -> Design:
    return with_blank(design, LibraryBlank(name=blank_names()[0]))


def _to_own(design: Design) -> Design:
    """The library's sizes as measurements to put right."""
    spec = design.document.blank
    assert isinstance(spec, LibraryBlank)
    own = find_typical(spec.name, where="blank").spec
    return with_blank(design, own.model_copy(update={"lid": spec.lid}))


def _library(desk: Desk, spec: LibraryBlank) -> None:
    fields = Fields(desk, "blank", spec, _put)
    fields.pick(
        "name",
        "Blank of the library",
        blank_names(),
        tells="The bare cup, by shape and capacity. Typical sizes: measure yours before you cut.",
    )
    own = find_typical(spec.name, where="blank").spec
    st.caption(f"{_size(own, desk)} Typical; choose “Measured by you” to put them right.")
    _lid(fields)


def _size(spec: BlankSpec, desk: Desk) -> str:
    def told(mm: float) -> str:
        return length(mm, desk.unit)

    match spec:
        case StraightBlank():
            across = told(spec.diameter_mm or 0)
            return f"Straight, {across} across, wall {told(spec.wall_height_mm)} high."
        case TaperedBlank():
            foot, rim = told(spec.foot_diameter_mm or 0), told(spec.rim_diameter_mm or 0)
            tall = told(spec.wall_height_mm or spec.slant_height_mm or 0)
            return f"Tapered, {foot} across at the foot and {rim} at the rim, wall {tall} high."
        case ProfileBlank():
            return f"Curved, wall {told(spec.points_mm[-1][0])} high."
    raise AssertionError(spec)


def _shape(desk: Desk, spec: BlankSpec) -> None:
    key = showing("blank.shape", spec.shape)

    def take(shape: str) -> None:
        desk.edit(lambda design: with_blank(design, _reshaped(spec, shape)), control="blank")

    st.segmented_control(
        "Shape",
        list(_SHAPES),
        key=key,
        format_func=lambda one: _SHAPES[one],
        required=True,
        on_change=unless_echo("blank.shape", take),
        help="Straight like a tube, tapered like a cone, or curved, by radii at several heights.",
    )


def _reshaped(spec: Any, shape: str) -> BlankSpec:
    """Another shape of about the same size, to go on from."""
    kept = {
        name: getattr(spec, name)
        for name in ("foot_gap_mm", "rim_gap_mm", "lid", "capacity_ml")
        if getattr(spec, name) is not None
    }
    foot, rim, tall = _about(spec)
    if shape == "straight":
        sizes: dict[str, Any] = {"diameter_mm": foot, "wall_height_mm": tall}
    elif shape == "tapered":
        sizes = {"foot_diameter_mm": foot, "rim_diameter_mm": rim, "wall_height_mm": tall}
    else:
        middle = (foot + rim) / 4 + 1
        sizes = {"points_mm": ((0.0, foot / 2), (tall / 2, middle), (tall, rim / 2))}
    return validate(_KINDS[shape], {"shape": shape, **sizes, **kept}, where="blank")


def _about(spec: Any) -> tuple[float, float, float]:
    """Diameters at foot and rim and the height, mm."""
    match spec:
        case StraightBlank():
            across = spec.diameter_mm or (spec.circumference_mm or 0) / math.pi
            return across, across, spec.wall_height_mm
        case TaperedBlank():
            foot = spec.foot_diameter_mm or (spec.foot_circumference_mm or 0) / math.pi
            rim = spec.rim_diameter_mm or (spec.rim_circumference_mm or 0) / math.pi
            return foot, rim, spec.wall_height_mm or spec.slant_height_mm or 0
    points = spec.points_mm
    return 2 * points[0][1], 2 * points[-1][1], points[-1][0]


def _round(fields: Fields, spec: Any, which: str, label: str) -> None:
    """A diameter by calipers or a circumference by tape, whichever was measured."""
    across, around = f"{which}diameter_mm", f"{which}circumference_mm"
    by_tape = getattr(spec, around) is not None
    field = around if by_tape else across
    key = f"blank.{which}by_tape.{by_tape}"

    def take() -> None:
        old = getattr(spec, field)
        new = (
            {around: round(old * math.pi, 2), across: None}
            if not by_tape
            else {
                across: round(old / math.pi, 2),
                around: None,
            }
        )
        fields.desk.edit(_put(**new), control=key)

    fields.length(
        field,
        f"{label}, {'circumference' if by_tape else 'diameter'}",
        tells="A tape gives the circumference, calipers the diameter.",
    )
    st.button(
        "Measure by calipers instead" if by_tape else "Measure by tape instead",
        key=key,
        on_click=take,
        type="tertiary",
        help="The same size, told the other way.",
    )


def _tall(fields: Fields, spec: TaperedBlank) -> None:
    slant = spec.slant_height_mm is not None
    fields.length(
        "slant_height_mm" if slant else "wall_height_mm",
        "Height along the wall" if slant else "Wall height, upright",
        tells="Along the wall by a strip of paper, or upright by calipers.",
    )


def _points(desk: Desk, spec: ProfileBlank) -> None:
    st.markdown(
        "Height up the wall and radius there, mm",
        help="By calipers, foot of the wall "
        "first at height 0; the radius is half of what the calipers say.",
    )
    rows = [{"height": h, "radius": r} for h, r in spec.points_mm]
    given = st.data_editor(
        rows, num_rows="dynamic", key=f"blank.points.{hash(spec.points_mm)}", width="stretch"
    )
    points = tuple(
        (float(row["height"]), float(row["radius"]))
        for row in given
        if row.get("height") is not None and row.get("radius") is not None
    )
    if points != spec.points_mm and st.button(
        "Take these measures", help="Makes the wall anew through these points."
    ):
        desk.edit(_put(points_mm=points), control="blank")
        st.rerun()


def _gaps(fields: Fields) -> None:
    left, right = st.columns(2)
    with left:
        fields.length("foot_gap_mm", "Bare at the foot", tells="Steel below the wall, masked off.")
    with right:
        fields.length(
            "rim_gap_mm",
            "Bare at the rim",
            tells="Steel above the wall. The outer 20 mm below the lip count as touched by the "
            "mouth: bare, or only products approved for food contact.",
        )
    _lid(fields)


def _lid(fields: Fields) -> None:
    fields.tick("lid", "Show a lid", tells="A plain lid in the pictures; it is not decorated.")
