"""Paint on the steel."""

from mockup.design.layers import BaseLayer
from mockup.skin.stack import Stack

__all__ = ["lay_base"]


def lay_base(stack: Stack, layer: BaseLayer, index: int) -> None:
    """Cover everything below with paint."""
    stack.paint(layer.swatch, layer.gloss)
