"""Lights and how they are blurred: laws of convolution on the sphere."""

import numpy as np
import pytest

from mockup.errors import UnknownName
from mockup.material.coat import K1
from mockup.render.lights import WHITE_CARD, directions, find_light, light_names
from mockup.render.prefilter import (
    IRRADIANCE_AT,
    LEVELS,
    _halved,
    _octahedral,
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


def _levels(found):
    """(level, texels, their directions, their solid angles) of the atlas."""
    for level in range(1, LEVELS + 1):
        side = 512 >> (level - 1)
        column, row = (0, 0) if level == 1 else (514, 512 - 2 * side + 2 * (level - 2))
        inside = slice(row + 1, row + side + 1), slice(column + 1, column + side + 1)
        towards = octahedral_directions(side)[1:-1, 1:-1].astype(float)
        # on the octahedron's face, x + y + z = 1, a texel is seen from the middle as 1/r³
        solid = np.abs(towards).sum(-1) ** 3
        yield level, found.gloss[inside].astype(float), towards, solid * 4 * np.pi / solid.sum()


@pytest.fixture(scope="module", params=[0, 30, 60])
def spot(request):
    """One bright texel at a latitude: its direction, its power, and its levels."""
    image = np.zeros((ROWS, COLUMNS, 3), np.float32)
    row = int((90 - request.param) / 180 * ROWS)
    image[row, 300] = 1
    towards = directions(ROWS, COLUMNS)[row, 300]
    power = np.sqrt(1 - towards[2] ** 2) * (np.pi / ROWS) ** 2
    return towards, power, list(_levels(prefilter(image, ior=1.5)))


@pytest.mark.parametrize("level", range(1, LEVELS + 1))
def test_a_spot_spreads_by_the_kernel(spot, level):
    """Light is kept, and its spread is that of diffusion on the sphere: ⟨cos⟩ = exp(−σ²)."""
    middle, power, levels = spot
    _, seen, towards, solid = levels[level - 1]
    light = seen[..., 0] * solid
    spread2 = -np.log((light * (towards @ middle)).sum() / light.sum())

    assert light.sum() == pytest.approx(power, rel=0.015)
    assert spread2 == pytest.approx(sigma_rad(level) ** 2, rel=0.06)


@pytest.mark.parametrize("name", ["softbox", "window"])
def test_blurring_keeps_the_light_that_there_is(name):
    """Mean radiance over the sphere, lamps overhead and all."""
    radiance = find_light(name).radiance
    area = np.sqrt(1 - directions(ROWS, COLUMNS)[..., 2] ** 2)[..., None]
    mean = (radiance * area).sum((0, 1)) / area.sum()

    for _, seen, _, solid in _levels(prefilter(radiance, ior=1.5)):
        blurred = (seen * solid[..., None]).sum((0, 1)) / (4 * np.pi)
        np.testing.assert_allclose(blurred, mean, rtol=5e-3)


def test_a_lamp_near_the_zenith_is_as_bright_as_any():
    """5° from the pole; at 4° of blur a latitude-longitude map still loses some of it."""
    image = np.zeros((ROWS, COLUMNS, 3), np.float32)
    row = int(5 / 180 * ROWS)
    image[row, 300] = 1
    power = np.sqrt(1 - directions(ROWS, COLUMNS)[row, 300, 2] ** 2) * (np.pi / ROWS) ** 2

    for level, seen, _, solid in _levels(prefilter(image, ior=1.5)):
        found = (seen[..., 0] * solid).sum() / power
        assert found == pytest.approx(1, abs=0.2 if level == 4 else 0.025)


def test_the_octahedral_map_goes_on_across_its_border():
    """A border texel looks where the texel across the fold looks."""
    d = octahedral_directions(32)

    np.testing.assert_allclose(np.linalg.norm(d, axis=-1), 1, rtol=1e-5)
    np.testing.assert_allclose(d[0, 1:-1], d[1, -2:0:-1], atol=1e-6)
    np.testing.assert_allclose(d[1:-1, -1], d[-2:0:-1, -2], atol=1e-6)


@pytest.mark.parametrize("side", [64, 1024])
def test_each_texel_of_an_octahedral_map_shows_what_lies_in_its_direction(side):
    """A map that shows directions themselves, border and all.

    Tolerance: between two texels of 0.35° a straight line leaves the circle by 5e-6; beside the
    pole a map reads the ring of texels half a step away from it, 0.18° or 3.1e-3.
    """
    found = _octahedral(directions(ROWS, COLUMNS).astype(np.float32), side)

    expected = octahedral_directions(side)
    beside_pole = np.abs(expected[..., 2]) > np.cos(np.radians(0.18))
    np.testing.assert_allclose(found[~beside_pole], expected[~beside_pole], atol=1e-5)
    np.testing.assert_allclose(found[beside_pole], expected[beside_pole], atol=3.1e-3)


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
