"""Lights and how they are blurred: laws of convolution on the sphere."""

import numpy as np
import pytest

from mockup.errors import UnknownName
from mockup.material.coat import K1
from mockup.render.lights import WHITE_CARD, directions, find_light, light_names
from mockup.render.prefilter import (
    IRRADIANCE_AT,
    _blur,
    _halved,
    octahedral_directions,
    prefilter,
    sigma_rad,
)

ROWS, COLUMNS = 512, 1024


def test_an_even_sky_stays_even():
    """Every level of a constant light is that constant; irradiance is π(1 − K1)."""
    found = prefilter(np.ones((ROWS, COLUMNS, 3), np.float32), ior=1.5)

    np.testing.assert_allclose(found.mirror, 1, atol=1e-5)
    np.testing.assert_allclose(found.gloss[:514, :514], 1, atol=1e-5)
    column, row = IRRADIANCE_AT
    lit = found.gloss[row : row + 66, column : column + 66]
    np.testing.assert_allclose(lit, np.pi * (1 - K1(1.5)), rtol=4e-3)


@pytest.mark.parametrize("level", [3, 4, 5])
@pytest.mark.parametrize("latitude_deg", [0, 45])
def test_a_spot_spreads_by_the_kernel(level, latitude_deg):
    """Light is kept, and its spread about the spot is sigma to each side (2σ² in all)."""
    image = np.zeros((128, 256, 3), np.float32)
    row = int((90 - latitude_deg) / 180 * 128)
    image[row, 128] = 1
    sigma = sigma_rad(level)

    blurred = _blur(image, sigma)[..., 0].astype(float)

    towards = directions(128, 256)
    weight = blurred * np.sqrt(1 - towards[..., 2] ** 2)
    before = np.sqrt(1 - towards[row, 128, 2] ** 2)
    assert weight.sum() == pytest.approx(before, rel=0.02)
    angle2 = np.arccos(np.clip(towards @ towards[row, 128], -1, 1)) ** 2
    texel2 = 2 * (np.pi / 128) ** 2 / 12
    assert (weight * angle2).sum() / weight.sum() == pytest.approx(2 * sigma**2 + texel2, rel=0.08)


def test_the_octahedral_map_goes_on_across_its_border():
    """A border texel looks where the texel across the fold looks."""
    d = octahedral_directions(32)

    np.testing.assert_allclose(np.linalg.norm(d, axis=-1), 1, rtol=1e-5)
    np.testing.assert_allclose(d[0, 1:-1], d[1, -2:0:-1], atol=1e-6)
    np.testing.assert_allclose(d[1:-1, -1], d[-2:0:-1, -2], atol=1e-6)


@pytest.mark.parametrize("name", light_names())
def test_a_white_card_shows_the_same_in_every_light(name):
    """Exposure is set by a white card that faces the camera."""
    light = find_light(name)
    image = light.radiance
    while image.shape[0] > 64:
        image = _halved(image)
    towards = directions(64, 128)
    solid = np.sqrt(1 - towards[..., 2] ** 2) * (np.pi / 64) * (2 * np.pi / 128)
    facing = np.maximum(-towards[..., 1], 0) * solid
    luminance = image @ np.array([0.2126, 0.7152, 0.0722])

    assert light.exposure * (luminance * facing).sum() / np.pi == pytest.approx(
        WHITE_CARD, rel=0.01
    )
    assert np.isfinite(light.radiance).all()
    assert (light.radiance >= 0).all()


def test_an_unknown_light_is_told_its_nearest_name():
    with pytest.raises(UnknownName, match="softbox"):
        find_light("softbux")
