"""How the Shelf page calls kinds and figures, and how it tells amounts and looks."""

import re
from functools import lru_cache
from typing import Any

from mockup.design.material import kinds
from mockup.design.palette import Swatch
from mockup.design.products import AnyProduct, figures_of
from mockup.design.shelf import Shelf
from mockup.material.chip import chip_hex
from mockup.outputs.plan.money import shown
from mockup.store.material_records import Material

__all__ = [
    "PICKED",
    "SOURCES",
    "amount",
    "chip",
    "figure_words",
    "kind_words",
    "kinds_in_words",
    "told",
    "typical_count",
    "value_of",
]

PICKED = "shelf.picked"
"""Where a tab keeps the number of the material that it looks at; None for the whole shelf."""
SOURCES = ("data sheet", "measured", "invoice", "my own figure")
"""Where figures are from, to choose from; others may be typed."""

_UNITS = {
    "_g_per_cm3": "g/cm³", "_g_per_ml": "g/mL", "_m2_per_l": "m²/L", "_min": "min", "_ml": "mL",
    "_mm": "mm", "_h": "h", "_c": "°C", "_g": "g",
}  # fmt: skip
_CALLED = {
    "pack_price_minor": "Price of a pack",
    "pack_g": "A pack holds, g",
    "pack_ml": "A pack holds, mL",
    "pack_count": "A pack holds, pieces",
    "pack_sheets": "A pack holds, sheets",
    "coat_ior": "Index of refraction",
    "drying.cure_h": "Full cure, h",
    "drying.recoat_from_h": "Recoat from, h",
    "drying.recoat_until_h": "Recoat until, h",
    "drying.sand_from_h": "Sand from, h",
    "drying.touch_dry_h": "Touch dry, h",
}


def kind_words(kind: str) -> str:
    """Such as ``Wrap sheet``."""
    return kind.replace("_", " ").capitalize()


def figure_words(name: str) -> str:
    """A figure's name in words with its unit, such as ``Film thickness, mm``."""
    if name in _CALLED:
        return _CALLED[name]
    plain = name.removeprefix("drying.")
    for ending, unit in _UNITS.items():
        if plain.endswith(ending):
            return f"{_spaced(plain.removesuffix(ending))}, {unit}"
    return _spaced(plain)


def _spaced(name: str) -> str:
    return re.sub("_", " ", name).capitalize()


def value_of(product: AnyProduct, name: str) -> Any:
    """The figure of that name; those of its drying begin with ``drying.``."""
    part, _, inner = name.rpartition(".")
    return getattr(getattr(product, part) if part else product, inner)


def told(product: AnyProduct, name: str, shelf: Shelf) -> str:
    """A figure's value in words."""
    value, rates = value_of(product, name), shelf.rates
    if name == "pack_price_minor":
        return shown(value, currency=rates.currency, minor_digits=rates.minor_digits)
    if value is None:
        return "none"
    if isinstance(value, tuple):
        return ", ".join(value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def typical_count(product: AnyProduct) -> tuple[int, int]:
    """How many figures are typical, and how many there are."""
    names = figures_of(type(product))
    return sum(name not in product.sources for name in names), len(names)


def amount(material: Material, much: float) -> str:
    """An amount as it is said at the shelf: with its unit, of sheet goods in sheets."""
    sheet = getattr(material.product, "sheet_cm2", None)
    unit, count = material.unit, much
    if sheet is not None:
        unit, count = "sheet", much / sheet
    words = f"{count:.0f}" if count >= 100 or count == int(count) else f"{count:.3g}"
    return f"{words} {unit if unit in ('g', 'mL') or words == '1' else unit + 's'}"


@lru_cache(maxsize=500)
def _chip(swatch: Swatch) -> str:
    return chip_hex(swatch)


def chip(material: Material) -> str:
    """The colour that stands for a material, as CSS; hatched where nobody told its look."""
    if material.look is None:
        return "repeating-linear-gradient(45deg, #d7d9db 0 4px, #f3f3f3 4px 8px)"
    return _chip(material.look.swatch)


def kinds_in_words() -> list[str]:
    """Kinds of material, the ones that differ most from jar to jar first."""
    first = ("glitter", "paint", "foil", "vinyl", "epoxy", "varnish")
    return [*first, *(kind for kind in kinds() if kind not in first)]
