"""A small design with every kind of layer, as the files that a maker would write."""

from pathlib import Path

__all__ = ["DESIGN", "PALETTE", "write_sample"]

DESIGN = """\
format = 1
title = "Seat 3"
palette = "neap"

[blank]
shape = "straight"
diameter_mm = 73
wall_height_mm = 185.0

[[layers]]
kind = "base"
swatch = "base"

[[layers]]
kind = "wrap"
artwork = "assets/bunting.svg"

[[layers]]
kind = "glitter"
cut_mm = 0.38
mix = [{ swatch = "flake", share = 2 }]
coverage = [{ shape = "fade", from_mm = 10, to_mm = 90, coverage_from = 0.8, coverage_to = 0 }]

[[layers]]
kind = "decal"
swatch = "foil"
text = "SEAGLASS"
letter_height_mm = 12
place = { height_mm = 90 }

[[layers]]
kind = "coat"
thickness_mm = 0.8
tint = "base"
"""

PALETTE = """\
format = 1
name = "Neap tide"

[roles]
base = { kind = "pigment", srgb = "#0b2545" }
flake = { kind = "metal", metal = "aluminium", tint_srgb = "#a9dcc6" }
foil = { kind = "metal", metal = "copper" }
"""

BUNTING = '<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm"/>'


def write_sample(folder: Path, *, design: str = DESIGN, palette: str = PALETTE) -> Path:
    """Write the design, its palette and its artwork below `folder`, and give its design.toml."""
    (folder / "palettes").mkdir(parents=True)
    (folder / "assets").mkdir()
    (folder / "assets" / "bunting.svg").write_text(BUNTING)
    (folder / "palettes" / "neap.toml").write_text(palette)
    (folder / "design.toml").write_text(design)
    return folder / "design.toml"
