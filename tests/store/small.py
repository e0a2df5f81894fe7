"""The smallest design, told apart by its title."""

__all__ = ["small_design"]

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
