"""The stack as a cut through the wall, picked and reordered there."""

import streamlit as st

from mockup.design.edit import moved_layer, removed_layer
from mockup.faces.desk.parts.assets import script, style
from mockup.faces.desk.session import Desk
from mockup.faces.desk.words import length
from mockup.outputs.wall_section import Band, wall_section

__all__ = ["show_wall_cut"]

_CUT = st.components.v2.component(
    "wall_cut", html='<div class="cut"></div>', css=style("wall_cut"), js=script("wall_cut")
)


def show_wall_cut(desk: Desk) -> None:
    """Draw the cut and follow what is done to it."""
    assert desk.design is not None
    bands = [_told(band, desk) for band in wall_section(desk.design)]
    _CUT(
        key="wall_cut",
        data={"bands": bands, "selected": desk.selected},
        on_act_change=lambda: _follow(desk),
    )


def _told(band: Band, desk: Desk) -> dict[str, object]:
    return {
        "index": band.index,
        "kind": band.kind,
        "title": band.title,
        "mm": band.thickness_mm,
        "thick": length(band.thickness_mm, desk.unit, places=2),
        "typical": band.typical,
        "colours": [(f"#{bytes(rgb).hex()}", share) for rgb, share in band.colours],
        "covers": band.covers,
        "note": f"{length(band.flake_mm, desk.unit, places=2)} cut" if band.flake_mm else band.note,
        "flake_mm": band.flake_mm,
    }


def _follow(desk: Desk) -> None:
    act = st.session_state["wall_cut"]["act"]
    if not act or desk.design is None:
        return
    last = len(desk.design.document.layers) - 1
    match act["do"]:
        case "pick":
            index = act["index"]
            desk.selected = None if index is None else min(int(index), last)
        case "move":
            start, end = int(act["from"]), min(int(act["to"]), last)
            if desk.edit(lambda design: moved_layer(design, start, end)):
                desk.selected = end
        case "remove":
            desk.edit(lambda design: removed_layer(design, int(act["index"])))
