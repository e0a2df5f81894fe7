"""Grams of glitter: as many flakes as the picture needs to hide what it hides."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from mockup.blank.wall import Wall
from mockup.design.layers import Band, Fade, GlitterLayer, MixPart, Patch, Scatter
from mockup.outputs.plan.flakes import strewn
from mockup.shading.flakes import flake_list
from mockup.skin.field import coverage_field
from tests.shading.trial import DEPTH_MM, tables
from tests.shading.trial import strewn as skin_strewn

STRAIGHT = Wall("cylinder", (0.0, 150.0), (36.5, 36.5))
TAPERED = Wall("cone", (0.0, 150.0), (28.0, 43.0))
FLAKE_MM2 = math.sqrt(3) / 2 * 0.38**2  # a hexagon 0.38 mm across flats
CURVED = Wall("profile", (0.0, 40.0, 80.0, 110.0), (31.0, 42.0, 41.0, 36.0))


def layer(*shapes):
    return GlitterLayer(cut_mm=0.4, mix=(MixPart(swatch="flake"),), coverage=shapes)


@pytest.mark.parametrize("wall", [STRAIGHT, TAPERED, CURVED], ids=lambda wall: wall.kind)
@given(share=st.just(0.0) | st.floats(0.01, 0.97))
@settings(max_examples=20)
def test_even_coverage_takes_minus_the_logarithm_of_what_stays_bare(wall, share):
    """1 − C = exp(−λ), the void probability of a Poisson process, on every kind of wall."""
    lain = strewn(layer(Scatter(coverage=share)), wall)

    assert lain.flakes_mm2 == pytest.approx(-math.log1p(-share) * wall.area_mm2, rel=1e-6)
    assert lain.hidden_mm2 == pytest.approx(share * wall.area_mm2, rel=1e-6)
    assert lain.bed_mm2 == pytest.approx(wall.area_mm2 if share > 0.005 else 0, rel=1e-6)


def test_flakes_thrown_at_random_hide_what_the_law_says():
    """Squares of a total area of −ln 0.4 walls, dropped blindly, hide 60 % of it.

    10 runs of 40,000 squares of 5 × 5 pixels on a torus; the standard error is about 0.05 %.
    """
    side, width = 1046, 5
    count = round(-math.log(0.4) * side**2 / width**2)
    rng = np.random.default_rng(7)
    hidden = []
    for _ in range(10):
        x, y = rng.integers(0, side, (2, count))
        bare = np.ones((side, side), bool)
        for dx in range(width):
            for dy in range(width):
                bare[(y + dy) % side, (x + dx) % side] = False
        hidden.append(1 - bare.mean())

    assert np.mean(hidden) == pytest.approx(0.6, abs=0.002)


def test_the_grams_are_those_of_the_flakes_in_the_picture():
    """The picture's own flakes, listed one by one, against the plan's: within 1 %.

    Flat flakes; about 60,000 are listed, so that chance alone gives 0.4 %. They lie `DEPTH_MM`
    inside the wall, so the plan is asked about a cup of that size.
    """
    fade = layer(Fade(from_mm=8, to_mm=52, coverage_from=0.9, coverage_to=0.05))
    wall, under = (Wall("cylinder", (0.0, 60.0), (r, r)) for r in (36.5, 36.5 - DEPTH_MM))
    skin = skin_strewn(
        wall, lambda height, turn: coverage_field(fade, wall, turn, height), tilt_deg=0.5
    )
    listed = flake_list(skin, tables(skin, wall), 0, wall)
    on_wall = np.count_nonzero((listed.height_mm >= 0) & (listed.height_mm < 60.0))

    assert on_wall > 50_000
    assert on_wall * FLAKE_MM2 == pytest.approx(strewn(fade, under).flakes_mm2, rel=0.01)


def test_a_fade_is_integrated_by_its_own_law():
    """Against adaptive quadrature of the field as the picture reads it."""
    shapes = layer(
        Fade(from_mm=12, to_mm=95, coverage_from=0.93, coverage_to=0.1),
        Band(from_mm=30, to_mm=31.7, coverage=0.5),
        Band(from_mm=100, to_mm=140, coverage=0.7, edge_mm=9),
    )

    def ring(height):
        share = float(coverage_field(shapes, TAPERED, np.zeros(1), np.array([height]))[0])
        return -math.log1p(-share) * 2 * math.pi * float(TAPERED.radius_at(height))

    breaks = [12, 30, 31.7, 95, 95.5, 100, 104.5, 135.5, 144.5]
    expected, _ = quad(ring, 0, TAPERED.length_mm, points=breaks, limit=500)
    assert strewn(shapes, TAPERED).flakes_mm2 == pytest.approx(expected, rel=2e-4)


def test_a_crisp_patch_covers_its_disc():
    """π r² on the unrolled wall, wherever the patch lies, across the seam too."""
    for angle_deg in (0.0, 180.0, 77.7):
        patch = Patch(height_mm=75, angle_deg=angle_deg, radius_mm=20, feather_mm=0, coverage=0.5)
        lain = strewn(layer(patch), STRAIGHT)

        assert lain.bed_mm2 == pytest.approx(math.pi * 20**2, rel=2e-3)
        assert lain.hidden_mm2 == pytest.approx(math.pi * 20**2 / 2, rel=2e-3)


@given(first=st.floats(0.01, 0.8), second=st.floats(0.01, 0.8))
@settings(max_examples=20)
def test_two_shapes_of_one_layer_take_the_sum_of_their_flakes(first, second):
    """Independent Poisson processes add: −ln((1 − a)(1 − b)), while the union stays below .98."""
    lain = [
        strewn(layer(*(Scatter(coverage=share) for share in shares)), STRAIGHT).flakes_mm2
        for shares in ((first,), (second,), (first, second))
    ]

    assert lain[2] == pytest.approx(lain[0] + lain[1], rel=1e-9)
