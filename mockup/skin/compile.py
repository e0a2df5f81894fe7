"""One function a kind of layer, called from the steel outward."""

from collections.abc import Callable
from typing import Any

from mockup.blank.grid import WallGrid
from mockup.blank.wall import Blank
from mockup.design.document import Design
from mockup.design.layers import layer_title
from mockup.progress import Progress
from mockup.skin.base import lay_base
from mockup.skin.coat import lay_coat
from mockup.skin.decal import lay_decal
from mockup.skin.glitter import lay_glitter
from mockup.skin.skin import Skin
from mockup.skin.stack import Stack
from mockup.skin.wrap import lay_wrap

__all__ = ["LAY", "compile_skin"]

LAY: dict[str, Callable[[Stack, Any, int], None]] = {
    "base": lay_base,
    "wrap": lay_wrap,
    "glitter": lay_glitter,
    "decal": lay_decal,
    "coat": lay_coat,
}


def compile_skin(
    design: Design, blank: Blank, *, texel_mm: float = 0.1, progress: Progress | None = None
) -> Skin:
    """The stack of layers as maps over the wall.

    Parameters
    ----------
    texel_mm
        Largest side of a texel, mm.
    progress
        Told the share that is done, in [0, 1], and the layer at work.

    Raises
    ------
    GeometryError
        A decal leaves the wall or overlaps itself.
    DesignError
        An asset cannot be read, or the stack holds more than the shading can show.
    """
    grid = WallGrid.over(blank.wall.length_mm, blank.wall.radius_max_mm, texel_mm)
    stack = Stack.on_steel(design, blank.wall, grid)
    layers = design.document.layers
    for index, layer in enumerate(layers):
        if progress is not None:
            progress(index / len(layers), layer_title(layer))
        LAY[layer.kind](stack, layer, index)
    skin = stack.finished()
    if progress is not None:
        progress(1.0, "skin")
    return skin
