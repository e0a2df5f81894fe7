"""The finished cup held against its proof, by a photo that a phone takes."""

import hashlib
from pathlib import Path

import streamlit as st

from mockup.errors import MockupError
from mockup.faces.desk.jobs import follow
from mockup.faces.desk.made import held_photo
from mockup.faces.desk.parts.marking import CARD, by_hand, corners, marked, with_marks
from mockup.faces.desk.session import Desk, shared_store
from mockup.faces.desk.tray import TRAY
from mockup.faces.desk.words import spoken
from mockup.pipeline.finished import Told
from mockup.pipeline.photo_look import GivenPhoto, preview
from mockup.pipeline.shelving import check_photo

__all__ = ["show_finished"]

_HOW = """
- **The whole cup**, lip and foot, before a plain ground, the camera about level with it.
- **The card upright beside it**, in the cup's own light, the whole of it in the picture.
- **One lamp or a window**, no flash; the side with the most lettering to the camera.
"""
_KINDS = ["jpg", "jpeg", "png", "heic"]


def show_finished(here: Desk) -> None:
    """Hold a photo against the proof, and show what was kept."""
    assert here.order is not None
    st.subheader("The finished cup")
    with st.expander("Hold a photo against the proof"):
        st.markdown(_HOW)
        photo = st.file_uploader(
            "Its photo",
            type=_KINDS,
            key=f"finished.photo{here.order}",
            help="From the camera or the gallery. It is kept with the order once it was measured.",
        )
        with st.container(horizontal=True, vertical_alignment="bottom"):
            reflects = st.number_input(
                "The card reflects, %",
                2.0,
                100.0,
                18.0,
                key="finished.card",
                format="%.1f",
                help="As its own sheet says; 18 is usual for grey cards.",
            )
            turn = st.number_input(
                "Side to the camera, °",
                -180.0,
                180.0,
                None,
                key="finished.turn",
                format="%.0f",
                placeholder="found",
                help="0 is the front, 180 the back, more to the right; to within 15°. Found by "
                "itself where it stays empty.",
            )
        if photo is not None:
            data = photo.getvalue()
            card = _card(f"finished{here.order}", photo.name, data)
            told = Told(reflectance=reflects / 100, turn_deg=turn, corners=card)
            _held(here.order, photo.name, data, told)
    _kept(here.order)


def _card(name: str, file: str, data: bytes) -> str:
    """The card's corners where the maker marks it in the photo; else it is found by itself."""
    if not by_hand(name, "card"):
        return ""
    seen, key = st.empty(), f"given/{hashlib.sha256(data).hexdigest()[:24]}"
    card = marked(name, "card", CARD)
    try:
        check_photo(data, where=file)
    except MockupError as error:
        st.error(spoken(error))
        return ""
    address = TRAY.put_picture(key, lambda: preview(GivenPhoto(file, data)))
    seen.html(with_marks(address, "Its photo", {"card": card}))
    return corners(card)


def _held(order: int, name: str, data: bytes, told: Told) -> None:
    found = follow(
        "finished",
        f"{order} {hashlib.sha256(data).hexdigest()} {told}",
        "Hold it against the proof",
        held_photo(order, Path(name).name, data, told),
        tells="Draws the promised cup from where the camera stood and compares part by part.",
    )
    if found is not None:
        for note in found:
            st.caption(f"{note[:1].upper()}{note[1:]}.")


def _kept(order: int) -> None:
    store = shared_store()
    for nth, cup in enumerate(store.finished.of_order(order)):
        with st.expander(f"Photo of {cup.made_at.astimezone():%Y-%m-%d %H:%M}", expanded=nth == 0):
            st.markdown("\n".join(f"- {sentence}" for sentence in cup.facts["sentences"]))
            picture = store.finished.picture_of(cup)
            if picture is not None:
                st.image(picture)
                st.download_button(
                    "Save the picture",
                    picture,
                    file_name=f"order-{order}-finished.png",
                    mime="image/png",
                    key=f"finished.save{cup.id}",
                    on_click="ignore",
                    help="Both cups side by side, where they differ, and in words.",
                )
