"""Clear coats: how much resin lies above each thing, and what the outside looks like."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

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


@given(st.lists(st.floats(0.01, 4.0), min_size=4, max_size=4))
def test_depth_is_the_sum_of_the_coats_above(thicknesses):
    first, second, third, fourth = thicknesses
    layers = [BASE, coat(first), SCATTER, coat(second), DISC, coat(third), coat(fourth)]
    skin = cup(layers, texel_mm=1.0)

    assert skin.base_depth_mm == pytest.approx(sum(thicknesses))
    assert skin.flakes[0].depth_mm == pytest.approx(second + third + fourth)
    assert skin.sheets[0].depth_mm == pytest.approx(third + fourth)
    assert skin.clear.thickness_mm == pytest.approx(sum(thicknesses))


def test_a_decal_on_the_last_coat_is_bare():
    assert cup([BASE, coat(0.5), DISC]).sheets[0].depth_mm == 0


def test_tints_are_told_with_their_thickness():
    skin = cup([BASE, coat(0.4, tint="amber"), coat(0.3), coat(0.2, tint="rose", gloss="satin")])

    assert skin.clear.tints == (("amber", 0.4), ("rose", 0.2))
    assert skin.clear.finish == "satin"


@pytest.mark.parametrize(
    ("layers", "finish"),
    [
        ([BASE | {"gloss": "flat"}], "flat"),
        ([BASE | {"gloss": "gloss"}, SCATTER], "gloss"),
        ([BASE | {"gloss": "gloss"}, SHEET | {"sheet": "paper"}], "flat"),
        ([BASE | {"gloss": "gloss"}, SHEET | {"sheet": "paper", "to_mm": 20.0}], "gloss"),
        ([BASE | {"gloss": "flat"}, coat(0.02, gloss="satin")], "satin"),
    ],
)
def test_the_finish_is_that_of_the_outermost_material(layers, finish):
    assert cup(layers, art=GREY).clear.finish == finish


def test_resin_below_a_sheet_that_hides_all_is_out_of_sight():
    skin = cup([BASE, coat(0.5, tint="amber"), SHEET, coat(0.2)], art=GREY)

    assert skin.clear.thickness_mm == pytest.approx(0.2)
    assert skin.clear.tints == ()
    assert skin.base_depth_mm == pytest.approx(0.2)
