"""Placing a piece: where a click fell, and steps of so many mm along the wall."""

import math

import numpy as np
import streamlit as st

from mockup.blank.flat import wall_from_flat, wrapped_turn
from mockup.blank.wall import Wall
from mockup.design.document import Design
from mockup.design.edit import with_part
from mockup.design.layers import Place
from mockup.faces.desk.session import Desk
from mockup.units import mm_from_inches

__all__ = ["lay_at", "movable", "nudged", "place_of_flat", "show_nudge"]

_STEPS = {"mm": ("0.1", "0.5", "1", "5"), "in": ("1/64", "1/32", "1/16", "1/4")}
_WAYS = {"↑": (0, 1, "up"), "↓": (0, -1, "down"), "←": (-1, 0, "left"), "→": (1, 0, "right")}


def movable(design: Design, index: int | None) -> bool:
    """Whether layer `index` has a place of its own."""
    if index is None:
        return False
    return isinstance(getattr(design.document.layers[index], "place", None), Place)


def lay_at(desk: Desk, turn_rad: float, height_mm: float) -> bool:
    """Lay the middle of the selected piece at a point of the wall."""
    index = desk.selected
    if desk.design is None or index is None or not movable(desk.design, index):
        return False
    angle = round(math.degrees(turn_rad), 1)
    return desk.edit(
        lambda design: with_part(
            design, index, "place", None, height_mm=round(height_mm, 1), angle_deg=angle
        ),
        control="place",
    )


def place_of_flat(wall: Wall, x_mm: float, y_mm: float) -> tuple[float, float]:
    """Turn, rad, and height, mm, of a point of the flat."""
    turn, height = wall_from_flat(wall, np.array([x_mm, y_mm]))
    return float(wrapped_turn(turn)), float(np.clip(height, 0.0, wall.length_mm))


def nudged(wall: Wall, place: Place, right_mm: float, up_mm: float) -> tuple[float, float]:
    """Angle, degrees, and height, mm, after a step along the wall.

    A step to the right is as long as a tape would have it at that height.
    """
    radius = float(wall.radius_at(np.clip(place.height_mm, 0.0, wall.length_mm)))
    turn = float(wrapped_turn(math.radians(place.angle_deg) + right_mm / radius))
    return math.degrees(turn), place.height_mm + up_mm


def show_nudge(desk: Desk, index: int) -> None:
    """Four ways, by a step that is chosen."""
    steps = _STEPS[desk.unit]
    key = f"nudge.{desk.unit}"
    st.session_state.setdefault(key, steps[1])
    with st.container(horizontal=True, vertical_alignment="bottom", key="nudge"):
        st.selectbox(
            f"Step, {desk.unit}",
            steps,
            key=key,
            width=92,
            help="How far an arrow moves the piece.",
        )
        chosen = st.session_state[key]
        step = float(chosen) if desk.unit == "mm" else mm_from_inches(chosen)
        for arrow, (right, up, word) in _WAYS.items():
            st.button(
                arrow,
                key=f"nudge.{word}",
                on_click=_nudge,
                args=(desk, index, right * step, up * step),
                help=f"Moves the piece {chosen} {desk.unit} {word} on the wall.",
            )
    if desk.refusal is not None and desk.refusal.control == "place":
        st.error(desk.refusal.words)


def _nudge(desk: Desk, index: int, right_mm: float, up_mm: float) -> None:
    def edit(design: Design) -> Design:
        place = getattr(design.document.layers[index], "place", None)
        assert isinstance(place, Place)
        angle, height = nudged(desk.made().blank.wall, place, right_mm, up_mm)
        return with_part(
            design, index, "place", None, height_mm=round(height, 2), angle_deg=round(angle, 3)
        )

    desk.edit(edit, control="place")
