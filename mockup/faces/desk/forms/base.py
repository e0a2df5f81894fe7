"""The base coat: paint on the steel."""

from mockup.design.layers import BaseLayer
from mockup.faces.desk.forms.fields import Fields
from mockup.faces.desk.forms.swatch import show_swatch

__all__ = ["GLOSS", "show_base"]

GLOSS = {"flat": "Flat", "satin": "Satin", "gloss": "Gloss"}


def show_base(fields: Fields, layer: BaseLayer) -> None:
    """Its colour and how it shines."""
    show_swatch(
        fields,
        "swatch",
        "Paint",
        paints_only=True,
        tells="What the can says. It covers the steel and all layers below.",
    )
    fields.choice(
        "gloss", "Finish", GLOSS, tells="How the dry paint shines where no coat lies over it."
    )
