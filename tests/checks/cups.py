"""A small cup in sea colours for the checks: palettes to choose from, layers to lay on it."""

from mockup.design.document import Asset, Design, Document
from mockup.design.palette import MetalSwatch, Palette, PigmentSwatch
from tests.skin.cups import ASSETS, STRAIGHT

NAVY = PigmentSwatch(srgb="#0d2348", label="navy paint")
IVORY = PigmentSwatch(srgb="#f2ead8", label="ivory paint")
GOLD = MetalSwatch(metal="gold", tint_srgb="#ffffff", label="gold foil")
PALE_GOLD = MetalSwatch(metal="aluminium", tint_srgb="#f2dd9a", label="pale gold flake")
SILVER = MetalSwatch(metal="aluminium", label="silver foil")
INK = PigmentSwatch(srgb="#0a0f1a", label="ink vinyl")
DEEP = MetalSwatch(metal="aluminium", tint_srgb="#12315c", label="navy flake")

BASE = {"kind": "base", "swatch": "base"}
COAT = {"kind": "coat", "thickness_mm": 0.8}


def word(text="OAR", **changes):
    """A word of foil in the middle of the front."""
    layer = {
        "kind": "decal", "name": "word", "swatch": "foil", "text": text,
        "letter_height_mm": 14.0, "place": {"height_mm": 30.0},
    }  # fmt: skip
    return layer | changes


def glitter(*coverage, **changes):
    """Flakes of one colour."""
    layer = {
        "kind": "glitter", "name": "glitter", "cut_mm": 0.4, "mix": [{"swatch": "flake"}],
        "coverage": list(coverage),
    }  # fmt: skip
    return layer | changes


def scatter(share):
    return {"shape": "scatter", "coverage": share}


def fade(low_mm, high_mm, first, last):
    return {
        "shape": "fade", "from_mm": low_mm, "to_mm": high_mm,
        "coverage_from": first, "coverage_to": last,
    }  # fmt: skip


def design(layers, *, blank=STRAIGHT, more=(), **roles):
    """A design with one palette of `roles` in use and `more` palettes at hand."""
    palette = Palette(name="trial", roles=roles)
    document = Document.model_validate(
        {"format": 1, "title": "trial", "palette": "trial", "blank": blank, "layers": layers}
    )
    assets = {name: Asset(name, data) for name, data in ASSETS.items()}
    palettes = {p.name: p for p in (palette, *more)}
    return Design(document, palettes, assets, "design.toml")
