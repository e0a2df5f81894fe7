"""Designs to show in the browser, and from where: foil on paint, the demo, a tapered wrap."""

__all__ = ["FOIL", "HEIGHT", "TAPER", "VIEWS", "WIDTH"]

WIDTH, HEIGHT = 300, 400  # of the page, px
FOIL = """
format = 1
title = "Stroke"
palette = "storm-silver"
light = "softbox"
[blank]
shape = "straight"
diameter_mm = 73.0
wall_height_mm = 150.0
[[layers]]
kind = "base"
swatch = "base"
[[layers]]
kind = "decal"
swatch = "lettering"
text = "STROKE"
font = "Amatic SC Bold"
letter_height_mm = 40.0
place = { height_mm = 80, angle_deg = 0 }
backing = [{ swatch = "backing", outset_mm = 1.0 }]
[[layers]]
kind = "coat"
thickness_mm = 0.8
gloss = "gloss"
"""
TAPER = """
format = 1
title = "Bow"
palette = "deep-water"
light = "softbox"
[blank]
shape = "tapered"
foot_circumference_mm = 220.0
rim_diameter_mm = 88.0
slant_height_mm = 155.0
[[layers]]
kind = "base"
swatch = "base"
[[layers]]
kind = "wrap"
artwork = "assets/bunting.svg"
fit = "round"
from_mm = 60.0
to_mm = 110.0
sheet = "fabric"
[[layers]]
kind = "coat"
thickness_mm = 1.2
gloss = "satin"
"""
# where each design is seen from
VIEWS = {
    "foil": {"turn_deg": 12.0, "elevation_deg": 10.0},
    "demo": {"turn_deg": -25.0, "elevation_deg": 24.0},
    "taper": {"turn_deg": 150.0, "elevation_deg": 3.0},
}
