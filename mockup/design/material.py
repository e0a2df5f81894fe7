"""A material as its maker tells of it: the shelf's product with its sources, batch, notes, swatch.

Figures that the maker did not give are the typical shelf's, and say so: `source` of the product is
then the typical one, and `sources` names those that were given, with where they are from.
"""

from collections.abc import Mapping
from typing import Any, get_args

from pydantic import Field, JsonValue

from mockup.design.fields import Part
from mockup.design.palette import Swatch
from mockup.design.products import TYPICAL, AnyProduct, figures_of
from mockup.design.shelf import Shelf, typical_shelf
from mockup.design.strict import validate
from mockup.errors import DesignError, UnknownName

__all__ = [
    "PARTICULAR",
    "Entry",
    "fresh_product",
    "kinds",
    "named",
    "on_shelf",
    "particular",
    "product_from",
    "swatch_from",
    "with_figures",
]

PARTICULAR = frozenset({"blank", "paint", "glitter", "wrap_sheet", "foil", "vinyl"})
"""Kinds of which each one is for something of its own, such as one colour: never for any."""

_PRODUCTS: tuple[type[Part], ...] = get_args(get_args(AnyProduct)[0])


class _Told(Part):
    product: AnyProduct


class _Shown(Part):
    swatch: Swatch


class Entry(Part):
    """One material as a file holds it. What is None is not told.

    `measured` tells how its swatch was measured, with its uncertainty; `photos` are those that it
    was measured from, by name; `photo` is the material's own.
    """

    product: AnyProduct
    batch: str = ""
    note: str = ""
    on_hand: float | None = Field(None, ge=0, le=1_000_000_000)
    swatch: Swatch | None = None
    measured: dict[str, JsonValue] = Field({})
    photo: bytes | None = None
    photos: dict[str, bytes] = Field({})

    @classmethod
    def made(cls, told: Mapping[str, Any], *, where: str) -> "Entry":
        """An entry of these fields.

        Raises
        ------
        DesignError
            A value is not what it should be.
        """
        measured = told.get("measured", {})
        entry = validate(cls, {**told, "measured": {}}, where=where)
        return entry.model_copy(update={"measured": measured})


def kinds() -> dict[str, type[Part]]:
    """The kinds of product by what files call them."""
    return {str(model.model_fields["kind"].default): model for model in _PRODUCTS}


def fresh_product(
    kind: str, name: str, given: Mapping[str, Any], *, source: str, suits: tuple[str, ...] = ()
) -> AnyProduct:
    """A product of which the figures in `given` are known, and all others typical.

    Parameters
    ----------
    kind
        One of `kinds`.
    given
        By name as `figures_of` gives them, such as ``pack_ml`` or ``drying.cure_h``.
    source
        Where the figures in `given` are from.
    suits
        Roles or swatch labels that it is for; see `particular`.

    Raises
    ------
    DesignError
        There is no such kind or figure, or a figure is out of its range.
    """
    if kind not in kinds():
        raise UnknownName("kind", kind, kinds(), where=f"material {name!r}")
    like = typical_shelf().of_kind(kinds()[kind])[0]
    if kind == "wrap_sheet" and "sheet" in given:
        like = next(p for p in typical_shelf().of_kind(kinds()[kind]) if p.sheet == given["sheet"])  # type: ignore[attr-defined]
    raw = like.model_dump() | {
        "name": name,
        "suits": suits,
        "source": TYPICAL,
        "sources": {},
    }
    return particular(_changed(raw, given, source))


def particular(product: AnyProduct) -> AnyProduct:
    """The product without blanks round its names; what cannot suit any suits its own name."""
    name = product.name.strip()
    suits = tuple(one.strip() for one in product.suits if one.strip())
    if not suits and product.kind in PARTICULAR:
        suits = (name,)
    if (name, suits) == (product.name, product.suits):
        return product
    return named(product, name, suits)


def named(product: AnyProduct, name: str, suits: tuple[str, ...] = ()) -> AnyProduct:
    """The product under another name, for what is named.

    Without `suits` it is for what it was for; if that was its own name, for the new one.

    Raises
    ------
    DesignError
        A name is empty, too long or not on one line.
    """
    own = (name,) if product.suits == (product.name,) else product.suits
    raw = product.model_dump() | {"name": name, "suits": suits or own}
    return product_from(raw, where=f"material {product.name!r}")


def with_figures(product: AnyProduct, given: Mapping[str, Any], *, source: str) -> AnyProduct:
    """The product with other figures, each of which tells where it is from.

    Raises
    ------
    DesignError
        There is no such figure, or it is out of its range.
    """
    return _changed(product.model_dump(), given, source)


def product_from(raw: Mapping[str, Any], *, where: str) -> AnyProduct:
    """A product from plain values.

    Raises
    ------
    DesignError
        A key is unknown or missing, or a value is not what it should be.
    """
    return validate(_Told, {"product": dict(raw)}, where=where).product


def swatch_from(raw: Mapping[str, Any], *, where: str) -> Swatch:
    """A swatch from plain values.

    Raises
    ------
    DesignError
        As `product_from` does.
    """
    return validate(_Shown, {"swatch": dict(raw)}, where=where).swatch


def on_shelf(shelf: Shelf, own: tuple[AnyProduct, ...]) -> Shelf:
    """The shelf with the maker's own materials on it, which come first.

    One takes the place of a product of its name; for what it suits it takes the place of any other
    of its kind.
    """
    if not own:
        return shelf
    names = {product.name.casefold() for product in own}
    others = (p for p in shelf.products if p.name.casefold() not in names)
    many = f"{len(own)} material" + ("s" if len(own) > 1 else "")
    name = f"{shelf.name[:40]}, with {many} of your own"
    return shelf.model_copy(update={"name": name, "products": (*own, *others)})


def _changed(raw: dict[str, Any], given: Mapping[str, Any], source: str) -> AnyProduct:
    where = f"material {raw['name']!r}"
    known = figures_of(kinds()[raw["kind"]])
    for name, value in given.items():
        if name not in known:
            raise UnknownName(f"figure of {raw['kind']}", name, known, where=where)
        part, _, inner = name.rpartition(".")
        (raw[part] if part else raw)[inner] = value
    if given and not source.strip():
        raise DesignError(
            "where its figures are from is empty",
            where=where,
            remedy="Say data sheet, measured or what else",
        )
    raw["sources"] = {**raw["sources"], **dict.fromkeys(given, source.strip())}
    return product_from(raw, where=where)
