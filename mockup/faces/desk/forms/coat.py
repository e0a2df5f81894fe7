"""A clear coat: epoxy or varnish."""

import streamlit as st

from mockup.design.layers import CoatLayer
from mockup.faces.desk.forms.base import GLOSS
from mockup.faces.desk.forms.fields import Fields
from mockup.faces.desk.forms.swatch import paint_roles, role_words

__all__ = ["show_coat"]


def show_coat(fields: Fields, layer: CoatLayer) -> None:
    """Its thickness, how it shines, its tint."""
    fields.length(
        "thickness_mm",
        "Thickness",
        step=0.05,
        places=2,
        tells="Of all coats of this layer together, cured. A turning cup carries 0.25 to "
        "0.5 mm a coat.",
    )
    fields.choice(
        "gloss",
        "Finish",
        GLOSS,
        tells="As poured it is gloss; sanded or varnished over it is satin or flat.",
    )
    design = fields.desk.design
    assert design is not None
    fields.pick(
        "tint",
        "Tint",
        [None, *paint_roles(design)],
        words=lambda role: "Clear" if role is None else role_words(design, role),
        tells="Pigment stirred into the resin; its colour is "
        "what light takes on in passing through 1 mm.",
    )
    st.caption("What it takes in millilitres, mix by mix, stands under Making.")
