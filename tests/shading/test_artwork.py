"""Artwork below resin: laws of the light that neighbours send over."""

import numpy as np
import pytest

from mockup.blank.grid import WallGrid
from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_linear
from mockup.material.coat import K2
from mockup.material.fresnel import fresnel_dielectric
from mockup.material.pigment import artwork_seen
from mockup.shading.artwork import artwork_lit, landing
from mockup.skin.skin import Clear, Skin

DEPTH_MM = 1.2
GRID = WallGrid.over(60.0, 36.5, 0.25)


def skin(art, depth_mm=DEPTH_MM):
    none = np.zeros((*GRID.shape, 0), np.uint8)
    coarse = np.zeros((GRID.rows // 4, GRID.columns // 4, 0), np.uint8)
    clear = Clear(depth_mm, "gloss")
    return Skin(GRID, art, None, none, coarse, (), (), "base", depth_mm, clear)


def plain(reflectance):
    art = np.full((*GRID.shape, 4), 255, np.uint8)
    art[..., :3] = rgb8_from_linear(np.array(reflectance))
    return art


def halves():
    art = plain(0.8)
    art[:, : GRID.columns // 2, :3] = rgb8_from_linear(np.array(0.02))
    return art


def leaving(codes):
    """Light that leaves the print in even light of 1, by Saunderson (1942)."""
    rho = linear_from_rgb8(codes[..., 0]).astype(float)
    return rho / (1 - K2(1.5) * rho)


@pytest.mark.parametrize("reflectance", [0.05, 0.4, 0.9])
def test_an_even_print_is_as_saunderson_has_it(reflectance):
    art = plain(reflectance)
    seen = artwork_seen(art, coat_ior=1.5)

    assert np.abs(artwork_lit(skin(art)).astype(int) - seen).max() <= 1


def test_a_bare_print_and_an_empty_one_are_left_alone():
    art = halves()
    empty = np.zeros_like(art)

    np.testing.assert_array_equal(artwork_lit(skin(art, 0.0)), art)
    np.testing.assert_array_equal(artwork_lit(skin(empty))[..., 3], 0)


def test_black_beside_white_gains_what_white_beside_black_lacks():
    """Black 1 mm from white gets 0.3 to 0.5 of a light between white's own and its full one."""
    lit = leaving(artwork_lit(skin(halves())))[GRID.rows // 2]
    alone = leaving(artwork_seen(halves(), coat_ior=1.5))[GRID.rows // 2]
    dark, pale = slice(GRID.columns // 8, GRID.columns // 2 - 8), slice(-GRID.columns // 4, -8)
    step_mm = 2 * np.pi * 36.5 / GRID.columns

    assert lit[dark].min() >= 0.99 * alone[dark].min()
    assert lit[pale].max() <= 1.01 * alone[pale].max()
    near = GRID.columns // 2 - 1 - round(1.0 / step_mm)
    gain, white = lit[near] / alone[near], 0.8
    assert 1 + K2(1.5) * 0.3 * white < gain < 1 + K2(1.5) * 0.5 * white / (1 - K2(1.5) * white)
    middle = GRID.columns // 4
    assert lit[middle] == pytest.approx(alone[middle], rel=0.08)  # 57 mm away


def test_at_a_straight_edge_half_of_the_light_comes_from_either_side():
    """By symmetry white's edge is lit by half a plane of white, B = ρ (1 + K2 ⟨B⟩ / 2).

    ⟨B⟩ lies between white's light without any return and its light far from the edge.
    """
    art = halves()
    art[:, : GRID.columns // 2, :3] = 0
    white = 0.8
    lit = linear_from_rgb8(artwork_lit(skin(art)))[GRID.rows // 2, :, 0].astype(float)
    edge = lit[GRID.columns // 2 + 1]
    light = edge / (1 - K2(1.5) * edge)
    low, high = (white * (1 + K2(1.5) * b / 2) for b in (white, white / (1 - K2(1.5) * white)))

    assert low * 0.98 < light < high * 1.02


def test_light_lands_where_total_reflection_sends_it():
    """By counting rays of Lambert's emission: shares that land within 2.5, 5 and 10 mm."""
    rng = np.random.default_rng(1)
    sine2 = rng.random(400_000)  # of Lambert's emission, θ from the wall's normal
    distance = 2 * DEPTH_MM * np.sqrt(sine2 / (1 - sine2))
    outside = 1 - 2.25 * sine2
    face = np.where(outside > 0, fresnel_dielectric(np.sqrt(np.maximum(outside, 1e-12)), 1.5), 1.0)
    rows, columns, step_mm = 601, 600, 0.25

    spread = np.fft.irfft2(landing((rows, columns), (step_mm, step_mm), DEPTH_MM))

    up = np.fft.fftfreq(spread.shape[0], 1 / spread.shape[0]) * step_mm
    along = np.fft.fftfreq(spread.shape[1], 1 / spread.shape[1]) * step_mm
    away = np.hypot.outer(up, along)
    for within in (2.5, 5.0, 10.0):
        counted = face[distance < within].sum() / face[distance < 25 * DEPTH_MM].sum()
        assert spread[away < within].sum() == pytest.approx(counted, abs=0.02)


def test_light_goes_round_the_back():
    """A black bar at column 0 is lit from the last columns too."""
    art = plain(0.8)
    art[:, :20, :3] = rgb8_from_linear(np.array(0.02))
    lit = artwork_lit(skin(art))[GRID.rows // 2, :20, 0].astype(int)

    np.testing.assert_allclose(lit, lit[::-1], atol=2)


def test_what_is_no_artwork_sends_nothing_and_dims_nothing():
    """Beyond the artwork's edges its own light goes on."""
    art = plain(0.6)
    strip = np.array(art)
    strip[: GRID.rows // 2, :, 3] = 0
    strip[: GRID.rows // 2, :, :3] = 0

    whole, part = artwork_lit(skin(art)), artwork_lit(skin(strip))

    assert np.abs(whole[-40:].astype(int) - part[-40:]).max() <= 1
