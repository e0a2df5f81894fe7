"""Base coat: it covers everything below."""

import numpy as np

from tests.skin.cups import BASE, GLITTER, cup, png

SCATTER = GLITTER | {"coverage": [{"shape": "scatter", "coverage": 0.5}]}
DISC = {
    "kind": "decal",
    "svg": "assets/disc.svg",
    "swatch": "foil",
    "width_mm": 10.0,
    "place": {"height_mm": 30.0},
}
SHEET = {"kind": "wrap", "artwork": "assets/art.png", "fit": "tile", "width_mm": 30}
GREY = png(np.full((40, 80, 3), 120, np.uint8))


def coat(thickness_mm, **keys):
    return {"kind": "coat", "thickness_mm": thickness_mm} | keys


def test_nothing_but_steel():
    skin = cup([coat(0.5)])

    assert skin.base_role is None
    assert not skin.art_rgba8_srgb.any()
    assert skin.edge_distance.shape == (*skin.grid.shape, 0)
    assert skin.flake_coverage.shape[2] == 0


def test_a_base_coat_covers_everything_below():
    below = [BASE, SHEET | {"sheet": "fabric"}, SCATTER, DISC, coat(0.5, tint="amber")]
    skin = cup([*below, BASE | {"swatch": "second", "gloss": "flat"}], art=GREY)
    bare = cup([BASE | {"swatch": "second", "gloss": "flat"}])

    assert skin.base_role == "second"
    assert skin.sheets == skin.flakes == ()
    assert skin.relief is None
    assert skin.clear == bare.clear
    np.testing.assert_array_equal(skin.art_rgba8_srgb, bare.art_rgba8_srgb)
