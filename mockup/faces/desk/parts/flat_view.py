"""The flat with rulers, front and seam; a click lays the selected piece there."""

import hashlib

import numpy as np
import streamlit as st

from mockup.blank.flat import flat_from_wall, flat_outline
from mockup.blank.wall import Wall
from mockup.design.layers import Place, WrapLayer
from mockup.faces.desk.nudge import lay_at, place_of_flat
from mockup.faces.desk.parts.assets import script, style
from mockup.faces.desk.session import Desk
from mockup.faces.desk.tray import TRAY
from mockup.faces.desk.words import length
from mockup.pipeline import Cup, flat_of, png

__all__ = ["look_key", "show_flat"]

PX_PER_MM = 3.0

_FLAT = st.components.v2.component(
    "flat_view",
    html='<div class="flat"></div>',
    css=style("flat_view"),
    js=script("late", "flat_view"),
)


def look_key(cup: Cup) -> str:
    """Names what a cup looks like in even light: its maps and the palette in use."""
    palette = cup.design.palette.model_dump_json().encode()
    return hashlib.sha256(cup.model.key.encode() + palette).hexdigest()[:32]


def show_flat(desk: Desk, cup: Cup) -> None:
    """Draw the flat; its picture is made once the browser asks for it."""
    wall = cup.blank.wall
    outline = flat_outline(wall)
    corner = outline.min(axis=0)
    width, height = (float(side) for side in np.ptp(outline, axis=0))
    source = TRAY.put_picture(
        f"flat/{look_key(cup)}", lambda: png(flat_of(cup, px_per_mm=PX_PER_MM).rgb8_srgb)
    )
    place = _place(desk)
    _FLAT(
        key="flat_view",
        data={
            "source": source,
            "width_mm": width,
            "height_mm": height,
            "outline_mm": _line(outline[:: max(1, len(outline) // 200)] - corner),
            "front_mm": _meridian(wall, 0.0, corner),
            "seams_mm": [_meridian(wall, turn, corner) for turn in _seam_turns(desk)],
            "mark_mm": _mark(wall, place, corner) if place is not None else None,
            "placing": place is not None,
            "unit": desk.unit,
            "label": f"The flat, {length(width, desk.unit)} by {length(height, desk.unit)}",
        },
        on_spot_change=lambda: _lay(desk, cup, corner),
    )


def _place(desk: Desk) -> Place | None:
    if desk.design is None or desk.selected is None:
        return None
    return getattr(desk.design.document.layers[desk.selected], "place", None)


def _seam_turns(desk: Desk) -> list[float]:
    """Where the flat is cut, and where the selected wrap meets itself if that is elsewhere."""
    turns = [-np.pi, np.pi]
    if desk.design is not None and desk.selected is not None:
        layer = desk.design.document.layers[desk.selected]
        if isinstance(layer, WrapLayer) and layer.fit != "placed":
            turn = float(np.mod(np.radians(layer.seam_deg) + np.pi, 2 * np.pi) - np.pi)
            if abs(abs(turn) - np.pi) > 0.01:
                turns = [turn]
    return turns


def _meridian(wall: Wall, turn: float, corner: np.ndarray) -> list[list[float]]:
    return _line(flat_from_wall(wall, turn, np.array([0.0, wall.length_mm])) - corner)


def _mark(wall: Wall, place: Place, corner: np.ndarray) -> list[float]:
    turn = np.mod(np.radians(place.angle_deg) + np.pi, 2 * np.pi) - np.pi
    return _line(np.atleast_2d(flat_from_wall(wall, turn, place.height_mm) - corner))[0]


def _line(points: np.ndarray) -> list[list[float]]:
    return [[round(float(x), 2), round(float(y), 2)] for x, y in points]


def _lay(desk: Desk, cup: Cup, corner: np.ndarray) -> None:
    spot = st.session_state["flat_view"]["spot"]
    if spot:
        x, y = spot["x_mm"] + corner[0], spot["y_mm"] + corner[1]
        lay_at(desk, *place_of_flat(cup.blank.wall, float(x), float(y)))
