"""Clear epoxy or varnish over what lies below."""

from mockup.design.layers import CoatLayer
from mockup.skin.stack import Stack

__all__ = ["lay_coat"]


def lay_coat(stack: Stack, layer: CoatLayer, index: int) -> None:
    """Add resin above all that is there; a tinted coat adds its colour's role."""
    stack.pour(layer.thickness_mm, layer.gloss, layer.tint)
