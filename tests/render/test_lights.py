import numpy as np
import pytest

from mockup.colorimetry.difference import lab_from_linear_srgb
from mockup.colorimetry.spectra import illuminant_power
from mockup.errors import UnknownName
from mockup.render.lights import (
    COLUMNS,
    ROWS,
    WHITE_CARD,
    directions,
    find_light,
    illuminant_of,
    light_label,
    light_names,
)
from mockup.render.room import Room

OURS = ("evening", "kitchen", "market", "softbox", "window")
UP, TO_CAMERA = (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)


def irradiance(radiance, normal):
    """∫ L cos dω on a small card: (3,)."""
    towards = directions(ROWS, COLUMNS)
    solid = np.sqrt(1 - towards[..., 2] ** 2) * (np.pi / ROWS) * (2 * np.pi / COLUMNS)
    return np.tensordot(np.maximum(towards @ normal, 0) * solid, radiance, 2)


@pytest.mark.parametrize("name", OURS)
def test_a_light_is_a_whole_map_of_positive_radiance(name):
    light = find_light(name)

    assert light.radiance.shape == (ROWS, COLUMNS, 3)
    assert light.radiance.dtype == np.float32
    assert np.isfinite(light.radiance).all()
    assert light.radiance.min() >= 0.0
    assert name in light_names()


@pytest.mark.parametrize("name", OURS)
def test_a_white_card_looks_white_or_as_warm_as_a_camera_leaves_it(name):
    """CIELAB of the card on the picture: as light as the exposure says, and never cold."""
    light = find_light(name)

    card = light.exposure * irradiance(light.radiance, TO_CAMERA) / np.pi

    assert card @ [0.2126, 0.7152, 0.0722] == pytest.approx(WHITE_CARD, rel=0.01)
    _, a, b = lab_from_linear_srgb(card)
    assert -1 < a < 4
    assert -1 < b < 15


@pytest.mark.parametrize("name", OURS)
def test_a_light_knows_its_illuminant_before_it_is_made(name):
    assert find_light(name).illuminant == illuminant_of(name)
    assert illuminant_power(illuminant_of(name)).sum() > 0


@pytest.mark.parametrize("name", ["evening", "kitchen", "market"])
def test_the_table_is_lit_by_what_shines_on_it(name):
    """A matt top of albedo ρ shows ρ E / π; ρ is that of wood, and warmer than grey."""
    light = find_light(name)

    albedo = (
        np.pi
        * light.table
        / irradiance(np.where(directions(ROWS, COLUMNS)[..., 2:] > 0, light.radiance, 0), UP)
    )

    assert 0.05 < albedo.min() <= albedo.max() < 0.65
    assert albedo[0] >= albedo[1] >= albedo[2]


def test_the_sun_gives_three_times_the_light_of_all_else():
    light = find_light("market")
    sun = light.radiance.max(-1, keepdims=True) > 10  # nothing else at the stall is as bright

    of_sun, of_rest = (irradiance(np.where(mask, light.radiance, 0), UP)[1] for mask in (sun, ~sun))

    assert of_sun / of_rest == pytest.approx(3, rel=0.2)


def test_a_bulb_gives_its_radiance_times_its_solid_angle():
    """2π (1 − cos 5°) L for a Gaussian lamp straight overhead but for 20°: times cos 20°."""
    room = Room((0, 0, 0), 0.0)
    room.bulb(30, 70, 5.0, 100.0, 0.0)

    expected = 100 * 2 * np.pi * (1 - np.cos(np.radians(5))) * np.cos(np.radians(20))
    np.testing.assert_allclose(irradiance(room.map, UP), expected, rtol=0.01)


def test_an_even_sky_lights_a_matt_table_by_its_albedo():
    """E = π L under a sky of radiance L everywhere, so that the table shows ρ L."""
    room = Room((0, 0, 0), 0.0)
    room.sky((2, 2, 2), (2, 2, 2), (0, 0, 0))

    np.testing.assert_allclose(room.lit_table((0.5, 0.25, 0.1)), [1.0, 0.5, 0.2], rtol=1e-3)


def test_what_stands_in_front_hides_the_sky():
    room = Room((0, 0, 0), 0.0)
    room.sky((2, 2, 2), (2, 2, 2), (1, 1, 1))
    room.panel(40, 10, 8, 8, (0.3, 0.3, 0.3), 0.5, hides=True)

    row, column = int((90 - 10) / 180 * ROWS), int((40 + 180) / 360 * COLUMNS)
    np.testing.assert_allclose(room.map[row, column], 0.3, rtol=1e-5)


def test_a_panorama_goes_by_its_own_name_in_print():
    assert light_label("/home/mia/skies/noon over the bay.hdr") == "noon over the bay"
    assert light_label("market") == "market"


def test_a_misspelt_light_gets_its_near_name():
    for ask in (find_light, illuminant_of):
        with pytest.raises(
            UnknownName, match=r"--light: no light is named 'kichen'. Use 'kitchen'"
        ):
            ask("kichen", where="--light")
