"""Which product of the shelf a layer is made with, and in how many coats: for amounts and days."""

import math

from mockup.design.document import Design
from mockup.design.layers import BaseLayer, CoatLayer, WrapLayer
from mockup.design.products import Adhesive, Epoxy, Glitter, Paint, Sealer, Varnish, WrapSheet
from mockup.design.shelf import Shelf

__all__ = [
    "adhesive_under",
    "clear_coat",
    "coats_of",
    "glitter_for",
    "label_of",
    "paint_for",
    "sealer_on",
    "wrap_sheet_for",
]

_ALMOST = 1e-9  # 0.8 mm at 0.4 mm a coat are two coats, whatever binary makes of it


def label_of(design: Design, role: str) -> str:
    """What the jar or sheet of a role says, or else the role's name."""
    return design.swatch(role, where="palette").label or role


def paint_for(design: Design, shelf: Shelf, layer: BaseLayer) -> Paint:
    """The paint of a base coat."""
    return shelf.product(Paint, layer.swatch, label_of(design, layer.swatch))


def glitter_for(design: Design, shelf: Shelf, role: str) -> Glitter:
    """The glitter of one part of a mix."""
    return shelf.product(Glitter, role, label_of(design, role))


def adhesive_under(shelf: Shelf, kind: str) -> Adhesive | None:
    """The liquid adhesive under a ``"wrap"`` or a ``"glitter"``; glitter may do without.

    A shelf that has no adhesive for glitter means that flakes are strewn on wet resin.

    Raises
    ------
    DesignError
        There is none for a wrap.
    """
    suited = tuple(a for a in shelf.of_kind(Adhesive) if kind in a.under)
    if kind == "glitter" and not suited:
        return None
    return shelf.first(suited, f"adhesive under a {kind}")


def wrap_sheet_for(shelf: Shelf, layer: WrapLayer) -> WrapSheet:
    """The sheet that a wrap is printed on or made of."""
    suited = tuple(s for s in shelf.of_kind(WrapSheet) if s.sheet == layer.sheet)
    return shelf.first(suited, f"wrap sheet of {layer.sheet}", layer.artwork, layer.name)


def sealer_on(shelf: Shelf, layer: WrapLayer) -> Sealer | None:
    """What closes a porous wrap; None for film and for a sheet that is left open."""
    return shelf.product(Sealer) if layer.sealed and layer.sheet != "film" else None


def clear_coat(shelf: Shelf, layer: CoatLayer) -> Epoxy | Varnish:
    """Varnish for a layer that is thin enough for it, resin for any other."""
    names = [name for name in (layer.tint, layer.name) if name]
    suited = tuple(
        v for v in shelf.of_kind(Varnish) if layer.thickness_mm <= v.layer_up_to_mm + _ALMOST
    )
    if suited:
        return shelf.first(suited, "varnish", *names)
    return shelf.product(Epoxy, *names)


def coats_of(product: Epoxy | Varnish, thickness_mm: float) -> int:
    """Into how many equal coats a layer of `thickness_mm` is divided, at least 1."""
    return max(1, math.ceil(thickness_mm / product.coat_mm - _ALMOST))
