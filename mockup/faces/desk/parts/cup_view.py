"""The cup to turn and to click on; a still stands in where it cannot be turned."""

import math

import streamlit as st

from mockup.design.layers import Place, WrapLayer
from mockup.faces.desk.nudge import lay_at
from mockup.faces.desk.parts.assets import script, style
from mockup.faces.desk.parts.flat_view import look_key
from mockup.faces.desk.session import Desk
from mockup.faces.desk.studio import STUDIO
from mockup.faces.desk.tray import TRAY
from mockup.files import source_text
from mockup.pipeline import Cup, Shot, parcel_of
from mockup.render.web.parcel import Packer

__all__ = ["show_cup"]

PACKER = Packer()  # one for all tabs, as it keeps lights and maps that it has packed

_CUP = st.components.v2.component(
    "cup_view",
    html='<div class="sight"><div class="cup"></div>'
    '<p class="wait" role="status">The cup is being made ready…</p></div>',
    css=style("cup_view"),
    js=source_text("mockup.render.web", "cup.js") + "\n" + script("cup_view"),
)


def show_cup(desk: Desk, cup: Cup) -> None:
    """Draw the cup."""
    light = cup.design.document.light
    name = f"{look_key(cup)}-{light}"
    layer = None
    if desk.design is not None and desk.selected is not None:
        layer = desk.design.document.layers[desk.selected]
    place = getattr(layer, "place", None)
    jointed = isinstance(layer, WrapLayer) and layer.fit != "placed"
    _CUP(
        key="cup_view",
        data={
            "parcel": TRAY.put_parcel(name, lambda: parcel_of(cup, PACKER)),
            "still": TRAY.put_picture(f"still/{name}", lambda: STUDIO.still(cup, Shot(600, 800))),
            "label": f"The cup “{cup.design.document.title}”",
            "rulers": desk.unit if st.session_state.get("look.rulers") else None,
            "seam": [getattr(layer, "seam_deg", 180.0)] if jointed else [],
            "marks": [_mark(place)] if isinstance(place, Place) else [],
            "placing": isinstance(place, Place),
        },
        on_spot_change=lambda: _lay(desk),
    )


def _mark(place: Place) -> dict[str, float | str]:
    return {"turn_deg": place.angle_deg, "height_mm": place.height_mm, "label": ""}


def _lay(desk: Desk) -> None:
    spot = st.session_state["cup_view"]["spot"]
    if spot:
        lay_at(desk, math.radians(float(spot["turn_deg"])), float(spot["height_mm"]))
