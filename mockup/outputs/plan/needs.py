"""What one cup takes by its geometry, before any loss: areas, volumes and grams.

These figures do not depend on how many cups are made, so that a price for several quantities works
them out once. Of sheets the need holds the material's whole packing: how much is used of them is
only known when it is known for how many cups they are cut.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from mockup.blank.wall import Blank
from mockup.design.document import Design
from mockup.design.layers import (
    BaseLayer,
    CoatLayer,
    DecalLayer,
    GlitterLayer,
    WrapLayer,
    layer_title,
)
from mockup.design.products import (
    AdhesiveSheet,
    AnyProduct,
    BlankCup,
    Epoxy,
    Paint,
    Sealer,
)
from mockup.design.shelf import Adhesive, Shelf
from mockup.outputs.cut.goods import Goods, goods
from mockup.outputs.pieces import Piece, pieces
from mockup.outputs.plan.choice import (
    adhesive_under,
    clear_coat,
    coats_of,
    glitter_for,
    label_of,
    paint_for,
    sealer_on,
)
from mockup.outputs.plan.flakes import strewn

__all__ = ["Need", "needs"]


@dataclass(frozen=True, slots=True)
class Need:
    """One material of one layer, for one cup.

    Attributes
    ----------
    layer, index
        What the maker calls it, and its place in the document; -1 for the cup itself.
    material
        What is taken from the shelf: the product's name, with the colour where a product that
        suits any comes in several.
    amount
        In the product's unit, before loss.
    formula
        How it was worked out, with its numbers.
    factor
        What can be changed on the shelf, with its value; "" if nothing.
    coats
        Equal coats that the amount is laid in.
    goods
        Of sheets: the packing that the layer's pieces are part of; `amount` is the area of their
        frames alone.
    """

    layer: str
    index: int
    product: AnyProduct
    material: str
    amount: float
    formula: str
    factor: str
    coats: int = 1
    goods: Goods | None = None


@dataclass(frozen=True, slots=True)
class _Ground:
    """What every layer's needs are worked out from."""

    design: Design
    blank: Blank
    shelf: Shelf
    cut: tuple[Piece, ...]
    goods: tuple[Goods, ...]

    @property
    def area_mm2(self) -> float:
        return self.blank.wall.area_mm2


def needs(design: Design, blank: Blank, shelf: Shelf) -> tuple[Need, ...]:
    """Every material of one cup but the sundries, from the steel outward.

    Raises
    ------
    DesignError
        The shelf has no product for a layer, or an asset cannot be read.
    GeometryError
        A piece leaves the wall or overlaps itself.
    """
    cut = pieces(design, blank)
    ground = _Ground(design, blank, shelf, cut, goods(design, blank, shelf, cut))
    found = [_cup(ground)]
    for index, layer in enumerate(design.document.layers):
        found += _NEEDS[layer.kind](ground, layer, index)
    return tuple(found)


def _cup(ground: _Ground) -> Need:
    product = ground.shelf.product(BlankCup, ground.blank.name)
    return Need("cup", -1, product, _coloured(product, ground.blank.name), 1.0, "1 a cup", "")


def _base(ground: _Ground, layer: BaseLayer, index: int) -> Iterator[Need]:
    paint = paint_for(ground.design, ground.shelf, layer)
    material = _coloured(paint, label_of(ground.design, layer.swatch))
    yield _brushed(layer_title(layer), index, paint, material, ground.area_mm2)


def _wrap(ground: _Ground, layer: WrapLayer, index: int) -> Iterator[Need]:
    name = layer_title(layer)
    (piece,) = (p for p in ground.cut if p.layer == index)
    yield from _sheets(ground, name, index, layer.artwork.rpartition("/")[2])
    adhesive = adhesive_under(ground.shelf, "wrap")
    if adhesive is not None:
        yield _brushed(name, index, adhesive, adhesive.name, piece.area_mm2)
    sealer = sealer_on(ground.shelf, layer)
    if sealer is not None:
        yield _brushed(name, index, sealer, sealer.name, piece.area_mm2)


def _glitter(ground: _Ground, layer: GlitterLayer, index: int) -> Iterator[Need]:
    """Shares are of the flakes' area, as the picture draws them; of one film also of the mass."""
    name, lain = layer_title(layer), strewn(layer, ground.blank.wall)
    adhesive = adhesive_under(ground.shelf, "glitter")
    if lain.bed_mm2 > 0:
        yield (
            _resin_bed(name, index, ground.shelf.product(Epoxy), lain.bed_mm2)
            if adhesive is None
            else _brushed(name, index, adhesive, adhesive.name, lain.bed_mm2)
        )
    total = sum(part.share for part in layer.mix)
    for part in layer.mix:
        glitter = glitter_for(ground.design, ground.shelf, part.swatch)
        thick, density = glitter.film_thickness_mm, glitter.density_g_per_cm3
        share = part.share / total
        yield Need(
            name,
            index,
            glitter,
            _coloured(glitter, label_of(ground.design, part.swatch)),
            lain.flakes_mm2 * share * thick * density / 1000,
            f"∫−ln(1−C) dA = {lain.flakes_mm2:,.1f} mm² × share {share:.3g} "
            f"× {thick:g} mm × {density:g} g/cm³ ÷ 1000",
            f"film_thickness_mm = {thick:g}, density_g_per_cm3 = {density:g}",
        )


def _resin_bed(name: str, index: int, product: Epoxy, area_mm2: float) -> Need:
    thick = product.bed_mm
    formula, factor = f"{area_mm2:,.1f} mm² × {thick:g} mm ÷ 1000", f"bed_mm = {thick:g}"
    return Need(name, index, product, product.name, area_mm2 * thick / 1000, formula, factor)


def _decal(ground: _Ground, layer: DecalLayer, index: int) -> Iterator[Need]:
    yield from _sheets(ground, layer_title(layer), index)


def _sheets(ground: _Ground, name: str, index: int, printed: str = "") -> Iterator[Need]:
    """Every sheet that a layer's pieces are cut from, undermost piece first."""
    for whole in ground.goods:
        own, _ = whole.share_of(index)
        for product in whole.products if own else ():
            plain = isinstance(product, AdhesiveSheet)
            colour = "" if plain else printed or label_of(ground.design, whole.role)
            material = _coloured(product, colour)
            formula = f"frames of {own / 100:.1f} cm²"
            factor = f"frame_mm = {product.frame_mm:g}"
            yield Need(name, index, product, material, own / 100, formula, factor, goods=whole)


def _coat(ground: _Ground, layer: CoatLayer, index: int) -> Iterator[Need]:
    product, area, thick = clear_coat(ground.shelf, layer), ground.area_mm2, layer.thickness_mm
    coats = coats_of(product, thick)
    formula = f"{area:,.1f} mm² × {thick:.3f} mm ÷ 1000"
    factor, amount = f"coat_mm = {product.coat_mm:g}", area * thick / 1000
    if not isinstance(product, Epoxy):
        formula += f" ÷ {product.solids_share:g} solids"
        factor += f", solids_share = {product.solids_share:g}"
        amount /= product.solids_share
    if coats > 1:
        formula += f", in {coats} coats"
    name = layer_title(layer)
    yield Need(name, index, product, product.name, amount, formula, factor, coats)


_NEEDS: dict[str, Callable[[_Ground, Any, int], Iterator[Need]]] = {
    "base": _base,
    "wrap": _wrap,
    "glitter": _glitter,
    "decal": _decal,
    "coat": _coat,
}


def _brushed(
    name: str, index: int, product: Paint | Adhesive | Sealer, material: str, area_mm2: float
) -> Need:
    """A liquid by its spread rate; 1 m² is 10⁶ mm²."""
    rate, coats = product.spread_m2_per_l, product.coats
    return Need(
        name,
        index,
        product,
        material,
        area_mm2 / rate / 1000 * coats,
        f"{area_mm2:,.1f} mm² ÷ {rate:g} m²/L ÷ 1000 × {coats} coat{'s' if coats > 1 else ''}",
        f"spread_m2_per_l = {rate:g}, coats = {coats}",
        coats,
    )


def _coloured(product: AnyProduct, colour: str) -> str:
    """A product that suits any colour is kept by colour; one made for a role is what it is."""
    return product.name if product.suits or not colour else f"{product.name}, {colour}"
