"""The smallest design, told apart by its title, and a jar of glitter."""

from mockup.design.material import fresh_product
from mockup.design.palette import MetalSwatch

__all__ = ["COPPER", "glitter", "shelve", "small_design"]

COPPER = MetalSwatch(metal="copper", label="copper flake")

DESIGN = """\
format = 1
title = "{title}"
palette = "neap"

[blank]
shape = "straight"
diameter_mm = 73
wall_height_mm = 185

[[layers]]
kind = "base"
swatch = "base"
"""
PALETTE = """\
format = 1
name = "neap"

[roles.base]
kind = "pigment"
srgb = "#0b2545"
"""


def small_design(title):
    """Its files by name."""
    return {
        "design.toml": DESIGN.format(title=title).encode(),
        "palettes/neap.toml": PALETTE.encode(),
    }


def glitter(name="copper flake", **given):
    """A jar as a maker enters it: its weight and price by the invoice, all else typical."""
    figures = {"pack_g": 50.0, "pack_price_minor": 600} | given
    return fresh_product("glitter", name, figures, source="invoice")


def shelve(store, order):
    """Put a row into each table of materials, stock and finished cups."""
    jar = store.materials.enter(glitter(), photo=b"a photo")
    jar = store.materials.show(jar, COPPER, measured={"delta_e": 0.7}, photos={"a.jpg": b"card"})
    store.stock.buy(jar, 50, price_minor=600)
    store.stock.reserve(order, {jar.id: 12.5})
    store.finished.add(order, fingerprint="f" * 64, photo=b"cup", facts={"words": "as promised"})
    return jar
