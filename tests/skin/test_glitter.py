"""Coverage of flakes: one field for the picture and for the grams."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.design.layers import GlitterLayer
from mockup.skin.field import MOST_COVERAGE, coverage_field
from mockup.skin.skin import FIELD_STEP
from tests.skin.cups import (
    BASE,
    GLITTER,
    STRAIGHT,
    TAPERED,
    cell_areas_mm2,
    coverage,
    cup,
    png,
    wall_of,
)

WALL = wall_of(TAPERED)
HALF_CODE = 0.5 / 255 + 1e-6

coverages = st.floats(0.0, 1.0)
heights = st.floats(0.0, 60.0)


def layer(*shapes):
    return GlitterLayer.model_validate(GLITTER | {"coverage": list(shapes)})


def field(*shapes, turn=0.0, height=None):
    heights_mm = np.linspace(0, 60, 1201) if height is None else height
    return coverage_field(layer(*shapes), WALL, np.asarray(turn), np.asarray(heights_mm))


def fade(low, high, from_share, to_share):
    shares = {"coverage_from": from_share, "coverage_to": to_share}
    return {"shape": "fade", "from_mm": low, "to_mm": high} | shares


def patch(**keys):
    whole = {"shape": "patch", "height_mm": 30.0, "radius_mm": 8.0, "feather_mm": 6.0}
    return whole | {"coverage": 0.8} | keys


@st.composite
def shapes(draw):
    """Any shape of coverage."""
    low = draw(st.floats(-20, 60))
    high = low + draw(st.floats(0.1, 80))
    share = draw(coverages)
    return draw(
        st.sampled_from(
            [
                {"shape": "scatter", "coverage": share},
                {"shape": "band", "from_mm": low, "to_mm": high, "coverage": share},
                {"shape": "band", "from_mm": low, "to_mm": high, "coverage": share, "edge_mm": 9.0},
                fade(low, high, share, draw(coverages)),
                patch(height_mm=low, angle_deg=draw(st.floats(-360, 360)), coverage=share),
            ]
        )
    )


@given(st.lists(shapes(), min_size=1, max_size=4))
@settings(deadline=None)
def test_together_shapes_hide_the_union(several):
    """1 − Π (1 − Cᵢ), and never more than can be laid; in any order."""
    turn, height = np.linspace(-np.pi, np.pi, 31)[None, :], np.linspace(0, 60, 41)[:, None]
    single = [coverage_field(layer(shape), WALL, turn, height) for shape in several]

    together = coverage_field(layer(*several), WALL, turn, height)

    backwards = coverage_field(layer(*several[::-1]), WALL, turn, height)
    np.testing.assert_allclose(together, backwards, atol=1e-12)
    assert together.min() >= 0
    assert together.max() <= MOST_COVERAGE
    uncapped = np.all([share < MOST_COVERAGE for share in single], axis=0)
    union = 1 - np.prod([1 - share for share in single], axis=0)
    expected = np.minimum(union, MOST_COVERAGE)
    np.testing.assert_allclose(together[uncapped], expected[uncapped], atol=1e-12)


@given(heights, st.floats(1.0, 60.0), coverages, coverages)
def test_a_fade_runs_one_way_and_holds_beyond_its_ends(low, length, first, last):
    share = field(fade(low, low + length, first, last), height=np.linspace(-40, 160, 2001))

    first, last = min(first, MOST_COVERAGE), min(last, MOST_COVERAGE)
    rise = np.diff(share) * np.sign(last - first)
    assert rise.min() >= -1e-12
    assert share[0] == pytest.approx(first)
    assert share[-1] == pytest.approx(last)


def test_a_fade_shows_no_kink():
    """Its slope never jumps, and is at most a quarter more than that of a straight run."""
    height = np.linspace(0, 60, 6001)
    slope = np.gradient(field(fade(10, 50, 0.0, 0.8), height=height), height)

    straight = 0.8 / 40
    assert slope.max() == pytest.approx(straight * 1.25, rel=1e-3)
    assert np.abs(np.diff(slope)).max() < straight * 0.01
    assert field(fade(10, 50, 0.0, 0.8), height=30.0) == pytest.approx(0.4)


def test_a_stored_fade_climbs_by_single_codes():
    """From cell to cell, 0.4 mm, a fade over 50 mm moves by at most the codes its slope needs."""
    skin = cup([BASE, GLITTER | {"coverage": [fade(5, 55, 0.9, 0.0)]}], texel_mm=0.1)
    codes = skin.flake_coverage[:, 0, 0].astype(int)

    per_cell = 1.25 * 0.9 * 255 / 50 * skin.grid.row_mm * FIELD_STEP

    assert (np.diff(codes) <= 0).all()
    assert np.abs(np.diff(codes)).max() <= np.ceil(per_cell)
    assert (codes[0], codes[-1]) == (round(0.9 * 255), 0)


def test_a_crisp_band_ends_at_its_heights_and_a_soft_one_is_half_there():
    crisp = field({"shape": "band", "from_mm": 20, "to_mm": 30, "coverage": 0.6})
    soft = {"shape": "band", "from_mm": 20, "to_mm": 40, "coverage": 0.6, "edge_mm": 8.0}
    height = np.linspace(0, 60, 1201)

    np.testing.assert_array_equal(crisp, np.where((height >= 20) & (height < 30), 0.6, 0.0))
    ends = field(soft, height=[16.0, 20.0, 24.0, 30.0, 36.0, 40.0, 44.0])
    np.testing.assert_allclose(ends, [0, 0.3, 0.6, 0.6, 0.6, 0.3, 0], atol=1e-12)


@given(st.floats(0, 50), st.floats(0.5, 10))
@settings(max_examples=20, deadline=None)
def test_a_cell_keeps_the_share_of_a_band_that_it_holds(low, width):
    """What the map holds of a crisp band is the band's height, to a texel at either edge."""
    band = {"shape": "band", "from_mm": low, "to_mm": low + width, "coverage": 0.8}
    skin = cup([BASE, GLITTER | {"coverage": [band]}], texel_mm=0.1)

    held = coverage(skin)[:, 5].sum() * skin.grid.row_mm * FIELD_STEP

    assert held == pytest.approx(0.8 * width, abs=0.8 * skin.grid.row_mm + 0.01)


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
@pytest.mark.parametrize("angle_deg", [0.0, 179.0])
def test_a_patch_is_round_in_mm_on_the_wall(blank, angle_deg):
    """The volume under 1 → 0 by a smoothstep from R to R + f: π (R² + R f + 3 f²/10)."""
    skin = cup([BASE, GLITTER | {"coverage": [patch(angle_deg=angle_deg)]}], blank, 0.1)

    covered = (coverage(skin) * cell_areas_mm2(skin.grid, wall_of(blank))).sum()

    assert covered == pytest.approx(0.8 * np.pi * (64 + 48 + 10.8), rel=2e-3)


@given(st.floats(-720, 720), st.floats(0, 60))
def test_the_field_is_one_at_the_seam(angle_deg, height_mm):
    """Turn −π and π are one line: the field has the same value there from either side."""
    turned = (-360 <= angle_deg <= 360) * angle_deg
    wide = patch(angle_deg=turned, radius_mm=30.0, feather_mm=40.0)

    left, right = field(wide, turn=[-np.pi, np.pi - 1e-12], height=height_mm)

    assert left == pytest.approx(right, abs=1e-9)


def test_turning_a_patch_rolls_the_map():
    cells = cup([BASE]).grid.columns // FIELD_STEP
    maps = [
        cup([BASE, GLITTER | {"coverage": [patch(angle_deg=shift * 360 / cells)]}]).flake_coverage
        for shift in (0, 41)
    ]

    assert np.abs(np.roll(maps[0], 41, axis=1).astype(int) - maps[1]).max() <= 1


@pytest.mark.parametrize("opacity", [0, 100, 255])
def test_artwork_over_flakes_lets_through_what_it_does_not_hide(opacity):
    art = np.full((60, 120, 4), opacity, np.uint8)
    sheet = {"kind": "wrap", "artwork": "assets/art.png", "fit": "tile", "width_mm": 30}
    scatter = {"shape": "scatter", "coverage": 0.6}
    skin = cup([BASE, GLITTER | {"coverage": [scatter]}, sheet | {"from_mm": 20.0}], art=png(art))
    if opacity == 255:
        assert np.all(coverage(skin)[20 * 4 // FIELD_STEP + 1 :] == 0)
    else:
        above = coverage(skin)[-5:]
        np.testing.assert_allclose(above, 0.6 * (1 - opacity / 255), atol=HALF_CODE)
    np.testing.assert_allclose(coverage(skin)[:10], 0.6, atol=HALF_CODE)


def test_flakes_over_artwork_are_whole():
    art = png(np.full((60, 120, 3), 90, np.uint8))
    sheet = {"kind": "wrap", "artwork": "assets/art.png", "fit": "tile", "width_mm": 30}
    scatter = {"shape": "scatter", "coverage": 0.6}
    skin = cup([BASE, sheet, GLITTER | {"coverage": [scatter]}], art=art)

    np.testing.assert_allclose(coverage(skin), 0.6, atol=HALF_CODE)


def test_a_mix_is_brought_to_shares_of_one():
    mix = [{"swatch": "a", "share": 3}, {"swatch": "b", "share": 1}]
    scatter = {"shape": "scatter", "coverage": 0.5}
    flakes = cup([BASE, GLITTER | {"mix": mix, "coverage": [scatter]}]).flakes[0]

    assert flakes.mix == (("a", 0.75), ("b", 0.25))
    assert flakes.cut_mm == 0.4


def test_two_populations_never_share_their_draw():
    """Flakes of one cut and one seed would lie exactly on one another."""
    scatter = {"shape": "scatter", "coverage": 0.5}
    twice = [BASE, *[GLITTER | {"coverage": [scatter], "seed": 5}] * 3]

    seeds = [flakes.seed for flakes in cup(twice).flakes]

    assert seeds[0] == 5
    assert len(set(seeds)) == 3
