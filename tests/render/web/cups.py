"""Designs to show in the browser, and from where: foil on paint, the demo, a tapered wrap."""

__all__ = ["FOIL", "HEIGHT", "RAINBOW", "RAINBOW_PALETTE", "TAPER", "VIEWS", "WIDTH"]

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
# gratings and a clear film, as sheets and as flakes
RAINBOW = """
format = 1
title = "Spinnaker"
palette = "rainbow"
light = "softbox"
[blank]
shape = "straight"
diameter_mm = 73.0
wall_height_mm = 150.0
[[layers]]
kind = "base"
swatch = "base"
[[layers]]
kind = "glitter"
cut_mm = 0.6
mix = [{ swatch = "flake", share = 1 }, { swatch = "clear", share = 1 }]
coverage = [{ shape = "band", from_mm = 10, to_mm = 60, coverage = 0.5 }]
[[layers]]
kind = "decal"
swatch = "lettering"
text = "STROKE"
font = "Amatic SC Bold"
letter_height_mm = 40.0
place = { height_mm = 90, angle_deg = 0 }
backing = [{ swatch = "clear", outset_mm = 3.0 }]
[[layers]]
kind = "coat"
thickness_mm = 0.8
gloss = "gloss"
"""
RAINBOW_PALETTE = """
format = 1
name = "rainbow"
[roles.base]
kind = "pigment"
srgb = "#20242c"
[roles.flake]
kind = "hologram"
[roles.lettering]
kind = "hologram"
grooves = "shards"
[roles.clear]
kind = "film"
metal = "none"
layers = [{ n = 1.65, thickness_nm = 380.0 }]
"""
# where each design is seen from
VIEWS = {
    "foil": {"turn_deg": 12.0, "elevation_deg": 10.0},
    "demo": {"turn_deg": -25.0, "elevation_deg": 24.0},
    "rainbow": {"turn_deg": 20.0, "elevation_deg": 14.0},
    "taper": {"turn_deg": 150.0, "elevation_deg": 3.0},
}
