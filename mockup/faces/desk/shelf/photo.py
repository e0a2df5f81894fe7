"""Measuring one material's look from photos: what is asked for, and the work beside the page."""

import hashlib
from dataclasses import replace

import streamlit as st

from mockup.design.palette import METALS
from mockup.errors import MockupError
from mockup.faces.desk.jobs import follow
from mockup.faces.desk.parts.marking import (
    CARD,
    Box,
    asked,
    by_hand,
    corners,
    edges,
    marked,
    with_marks,
)
from mockup.faces.desk.shelf.photo_found import JOB, show_found, turn
from mockup.faces.desk.shelf.photo_words import CAUTION, LIGHTS, asks_for, drawing, how_to
from mockup.faces.desk.tray import TRAY
from mockup.faces.desk.words import spoken
from mockup.photo.card import REFLECTANCE
from mockup.photo.foil import DISTANCE_MM
from mockup.photo.measure import Setting
from mockup.pipeline.photo_look import FoundLook, GivenPhoto, find_look, preview
from mockup.pipeline.shelving import check_photo
from mockup.progress import Progress
from mockup.store.material_records import Material

__all__ = ["show_measuring"]

_BANK = "a grey card as large as a bank card"
_OTHER, _CHART = "a grey card of another size", "a chart of 24 patches"
_MATERIAL: Box = ((60, 80), (30, 70))
_FLAKES: Box = ((52, 96), (5, 95))
_BARE: Box = ((5, 40), (60, 90))
_MIRROR: Box = ((30, 45), (55, 70))
_SOUGHT = {"glitter": ("flakes", _FLAKES), "foil": ("mirror image", _MIRROR)}


def show_measuring(material: Material, kind: str) -> None:
    """How to take the photos, where they come in, what is known of the card; then measure."""
    st.html(f'<img class="how" src="{drawing(kind)}" alt="">')
    st.markdown("\n".join(f"- {line}" for line in how_to(kind)))
    if kind == "glitter":
        st.caption(CAUTION)
    labels = asks_for(kind)
    given = [_photo(f"photo.{material.id}.{i}", kind, label) for i, label in enumerate(labels)]
    setting = _setting(kind)
    photos = [one for one in given if one is not None]
    if len(photos) < len(labels):
        return

    def work(progress: Progress) -> FoundLook:
        return find_look(photos, kind, setting, progress)

    made_of = [(_hash(one.data), one.place, one.bare, one.corners) for one in photos]
    found = follow(
        JOB,
        f"{material.id} {kind} {made_of} {setting!r}",
        "Measure it",
        work,
        tells="Works beside the page; nothing is kept before you take it.",
    )
    if found is not None:
        show_found(material, found)


def _photo(name: str, kind: str, label: str) -> GivenPhoto | None:
    """One photo and where things lie in it; None before it is here."""
    file = st.file_uploader(
        label, type=["jpg", "jpeg", "png", "heic"], key=f"{name}.{turn()}",
        help="A phone offers its camera and its gallery here.",
    )  # fmt: skip
    if file is None:
        return None
    data = file.getvalue()
    try:
        check_photo(data, where=file.name)
    except MockupError as error:
        st.error(spoken(error))
        return None
    given = GivenPhoto(file.name, data)
    picture = TRAY.put_picture(f"given/{_hash(data)}", lambda: preview(given))
    seen, marks = st.empty(), {}
    sought, first = _SOUGHT.get(kind, (kind, _MATERIAL))
    if kind in _SOUGHT or by_hand(name, kind):
        marks[sought] = marked(name, sought, first)
    if kind == "glitter":
        marks["bare paper"] = marked(name, "bare paper", _BARE)
    if by_hand(name, "card"):
        marks["card"] = marked(name, "card", CARD)
    seen.html(with_marks(picture, label, marks))
    return GivenPhoto(
        file.name,
        data,
        place=edges(marks[sought]) if sought in marks else "",
        bare=edges(marks["bare paper"]) if "bare paper" in marks else "",
        corners=corners(marks["card"]) if "card" in marks else "",
    )


def _setting(kind: str) -> Setting:
    """Of the card, the same for all materials until the tab is closed; of the light and foil."""
    left, right = st.columns(2)
    light = asked(
        left.selectbox, "light", "", "The light", options=list(LIGHTS), format_func=LIGHTS.get,
        help="If it is told, the colour is surer.",
    )  # fmt: skip
    card = asked(
        right.selectbox, "card.is", _BANK, "Measured by", options=[_BANK, _OTHER, _CHART],
        help="Of a chart all patches are used, by their published colours.",
    )  # fmt: skip
    setting = Setting(light=light or None, chart=card == _CHART)
    if card != _CHART:
        reflects = _number("card.reflects", 100 * REFLECTANCE, "It reflects, %", (2.0, 100.0),
                           "As its own sheet says; 18 is typical of a middle grey.")  # fmt: skip
        setting = replace(setting, reflectance=reflects / 100.0)
    if card == _OTHER or (card == _CHART and kind == "glitter"):
        what = "Its patches" if card == _CHART else "Its"
        help_ = "How large flakes are is told by it." if card == _CHART else "By a ruler."
        left, right = st.columns(2)
        with left:
            long = _number("card.long", 270.0, f"{what} long side, mm", (5.0, 1000.0), help_)
        with right:
            short = _number("card.short", 180.0, f"{what} short side, mm", (5.0, 1000.0), help_)
        setting = replace(setting, card_mm=(long, short))
    return _of_foil(setting) if kind == "foil" else setting


def _of_foil(setting: Setting) -> Setting:
    left, right = st.columns(2)
    metal = asked(
        left.selectbox, "foil.metal", setting.metal, "Metal under the lacquer",
        options=list(METALS), help="Nearly always aluminium.",
    )  # fmt: skip
    with right:
        far_mm = _number("foil.far", DISTANCE_MM, "From there to the card, mm", (10.0, 1000.0),
                         "From the place that mirrors to the middle of the card.")  # fmt: skip
    return replace(setting, metal=metal, distance_mm=far_mm)


def _number(name: str, first: float, label: str, span: tuple[float, float], tells: str) -> float:
    return float(
        asked(
            st.number_input, name, first, label,
            min_value=span[0], max_value=span[1], step=1.0, format="%g", help=tells,
        )
    )  # fmt: skip


def _hash(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:24]
