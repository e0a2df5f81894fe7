"""Decoding, tone, the table and its shadow."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.render.develop import KNEE, Developer, decode, tone
from mockup.render.lights import Light
from mockup.render.request import camera_for
from mockup.render.stage import Stage, cup_slices, enlarged, ground_light
from mockup.render.upload import subsample


def encode(radiance):
    """What the shader's `encode` writes, in double precision: (..., 4) uint8."""
    largest = np.maximum(np.max(radiance, -1), 1e-5)
    e = np.clip(np.ceil(8 * np.log2(largest)), -127, 127)
    mantissa = radiance * np.exp2(-e / 8)[..., None]
    code = np.concatenate([mantissa, ((e + 128) / 255)[..., None]], -1)
    return np.rint(np.clip(code, 0, 1) * 255).astype(np.uint8)


@given(st.lists(st.floats(2**-12, 2**12), min_size=3, max_size=3))
def test_radiance_survives_eight_bits(radiance):
    """The error is at most half a step of the largest channel's mantissa: 1/2 · 1/255 · 2^(1/8)."""
    value = np.array(radiance)

    back = decode(encode(value)[None, None])[0, 0]

    np.testing.assert_allclose(back[:3], value, atol=value.max() * 0.5 / 255 * 2 ** (1 / 8) * 1.02)
    assert back[3] == 1


def test_colours_below_the_knee_are_left_alone():
    """A swatch's colour is its colour; above, the curve rises to 1 without a kink."""
    value = np.linspace(0, 6, 6001)
    shown = tone(value)

    np.testing.assert_allclose(shown[value <= KNEE], value[value <= KNEE])
    assert (np.diff(shown) >= 0).all()
    assert shown.max() < 1
    assert np.abs(np.diff(shown, 2)).max() < 1e-5


@pytest.mark.parametrize("samples", [1, 3, 4])
def test_an_even_picture_develops_to_its_colour(samples):
    """Exposed radiance .25 everywhere becomes sRGB of .25; coverage becomes alpha."""
    developer = Developer(exposure=0.5, keep_linear=True)
    code = np.zeros((12, 9, 4), np.uint8)
    code[3:9, 2:7] = encode(np.array([0.5, 0.5, 0.5]))
    for _ in range(samples):
        developer.add(code)

    picture = developer.picture(None)

    inside = picture.rgba8_srgb[3:9, 2:7]
    assert np.abs(inside[..., :3].astype(int) - rgb8_from_linear(np.array(0.25))).max() <= 1
    assert (inside[..., 3] == 255).all()
    assert picture.rgba8_srgb[..., 3].sum() == 255 * 30
    np.testing.assert_allclose(picture.linear[3:9, 2:7, :3], 0.5, rtol=3e-3)


@pytest.mark.parametrize("count", [1, 4, 9, 16])
def test_each_subsample_has_its_own_row_and_column(count):
    """Edges nearly level or upright are smoothed in as many steps as there are samples."""
    places = np.array([subsample(i, count)[:2] for i in range(count)])

    for axis in (0, 1):
        assert len(np.unique((places[:, axis] * count).astype(int))) == count
    np.testing.assert_allclose(places.mean(0), 0.5, atol=0.5 / count)


def cylinder(radius, height):
    turn, z = np.meshgrid(np.linspace(0, 2 * np.pi, 64), np.linspace(0, height, 40))
    return np.stack([radius * np.sin(turn), radius * np.cos(turn), z], -1).reshape(-1, 3)


@pytest.fixture(scope="module")
def stage():
    even = Light(
        "even", np.ones((512, 1024, 3), np.float32), np.ones(3, np.float32),
        np.ones((2, 3), np.float32),
    )  # fmt: skip
    return Stage(even, cup_slices(cylinder(36.0, 180.0).astype(np.float32)))


def test_the_shadow_is_that_of_a_tall_cylinder(stage):
    """Under an even sky a wall of angular half-width asin(R/r) takes asin(R/r)/π of the light.

    For a cylinder that is tall against its distance, the blocked share of cosine-weighted light is
    ∫ over the blocked azimuths of cos² of nothing but the top's elevation, here nearly all of it.
    """
    near = stage.open_sky(np.float32([0.0]), np.float32([-37.0]))
    far = stage.open_sky(np.float32([0.0]), np.float32([-320.0]))
    half = np.arcsin(36.0 / 320.0)
    top = np.arctan2(180.0, 320.0)
    blocked = 2 * half / (2 * np.pi) * np.sin(top) ** 2

    assert near.max() < 0.6
    assert far.mean() == pytest.approx(1 - blocked, abs=0.012)


def test_under_an_even_sky_the_shadow_has_no_direction(stage):
    turn = np.linspace(-np.pi, np.pi, 60)
    around = stage.open_sky(
        (60 * np.sin(turn)).astype(np.float32), (-60 * np.cos(turn)).astype(np.float32)
    )

    assert np.ptp(around) < 0.03


def test_the_ground_without_a_cup_in_it_is_smooth_and_positive(stage):
    camera = camera_for(180.0, 36.0, aspect=0.75, elevation_deg=10)
    ground = ground_light(stage, camera, 120, 160, np.zeros((80, 60, 4), np.float32))

    assert ground.shape == (80, 60, 3)
    assert (ground > 0).all()
    assert enlarged(ground, 120, 160).shape == (160, 120, 3)
