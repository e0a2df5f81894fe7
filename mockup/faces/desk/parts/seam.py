"""The seam: how badly the pattern breaks there, and a picture of it."""

import hashlib

import streamlit as st

from mockup.faces.desk.session import Desk
from mockup.faces.desk.tray import TRAY
from mockup.pipeline import png, seam_of

__all__ = ["show_seam", "verdict"]

_SEEN = 2.0  # ΔE00 beyond the pattern's own change from which an eye finds the line
_PLAIN = 6.0  # … and from which it is plain to see


def show_seam(desk: Desk, index: int) -> None:
    """The figure, what it means, the picture."""
    found = seam_of(desk.made(), index)
    if found is None:
        st.caption("Nothing of this sheet is left to see at the seam.")
        return
    st.markdown(
        f"Across the seam the colour changes by **ΔE00 {found.delta_e:.1f}** on average; the "
        f"pattern itself changes by {found.elsewhere:.1f} over the same 0.8 mm. "
        f"{verdict(found.delta_e, found.elsewhere)}"
    )
    picture = png(found.rgb8_srgb)
    name = f"seam/{hashlib.sha256(picture).hexdigest()[:24]}"
    source = TRAY.put_picture(name, lambda: picture)
    st.html(
        f'<figure class="seam"><img src="{source}" alt="The artwork about the seam"/>'
        "<figcaption>24 mm to either side; the seam runs up the middle.</figcaption></figure>"
    )


def verdict(delta_e: float, elsewhere: float) -> str:
    """What the figure means to the eye."""
    beyond = delta_e - elsewhere
    if beyond < _SEEN:
        return "The pattern runs on; hardly anybody will find the seam."
    if beyond < _PLAIN:
        return "Who looks for the seam will find it."
    return "The break is plain to see: turn it to the back, or choose artwork that repeats."
