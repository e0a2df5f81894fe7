"""Holographic foil and flakes, through the real renderer: nothing lost, and colours in their place.

A lamp in the dark shows a grating's law: where on the round wall a wavelength is seen tells its
angle, and that is worked out apart, by the grating equation alone.
"""

from dataclasses import replace

import numpy as np
import pytest

from mockup.material.grating import (
    BAND_NM,
    FIRST_NM,
    Grating,
    band_shares,
    diffracted,
    order_shares,
)
from mockup.render import lights
from mockup.shading.table import ROW_SHEETS
from tests.render.cups import BANDS, RADIUS_MM, band_cup, metal, request, rows_at

STEP = 0.5 / 255 * 2 ** (1 / 8)
WHITE_BANDS = band_shares(np.ones(81))


def grated(reflectance=1.0, *, period_um=1.2, first=0.25, grooves="upright", alpha=0.06):
    """Metal that reflects the same share at every angle and wavelength, with a grating."""
    _, one, two = order_shares(first)
    grating = Grating(period_um, one, two, WHITE_BANDS, grooves, 1.0)
    return replace(metal(reflectance, alpha), grating=grating)


@pytest.fixture(scope="module")
def cup():
    return band_cup("bands")


@pytest.fixture(scope="module")
def thin():
    """Hardly any resin: the wall does not bend under it."""
    return band_cup("thin", depth_mm=0.02)


def _laid_flat(table):
    """The same foil without its crinkle."""
    table[ROW_SHEETS, 1, 3] = 0.0
    return table


@pytest.fixture
def lamp(monkeypatch, session):
    """Make a dark room with one round lamp of 1.5°, some way right of the camera and above it."""

    def make(azimuth_deg, elevation_deg):
        a, e = np.radians([azimuth_deg, elevation_deg])
        towards = np.array([np.sin(a) * np.cos(e), -np.cos(a) * np.cos(e), np.sin(e)])
        facing = lights.directions(lights.ROWS, lights.COLUMNS) @ towards
        away = np.arccos(np.clip(facing, -1, 1))
        glow = 200 * np.exp(-((away / np.radians(1.5)) ** 2) / 2)
        radiance = np.repeat(glow[..., None], 3, -1).astype(np.float32)
        name = f"lamp {azimuth_deg} {elevation_deg}"
        light = lights.Light(name, radiance, np.full(3, 0.1, np.float32), np.zeros((2, 3)))
        monkeypatch.setitem(lights._LIGHTS, name, lambda: light)
        return name, towards

    return make


def _band(seen, bands, asked, band="foil"):
    return seen[rows_at(bands, asked, *BANDS[band]), 45:105]


@pytest.mark.parametrize("depth_mm", [1.2, 0.0], ids=["under resin", "bare"])
@pytest.mark.parametrize("grooves", ["upright", "round", "crossed", "shards"])
@pytest.mark.parametrize("period_um", [0.5, 1.2, 3.0])
def test_a_white_grating_in_even_light_is_white(radiance, period_um, grooves, depth_mm):
    """All orders together give back what comes in, also where some cannot leave."""
    bands = band_cup(f"white {depth_mm}", depth_mm=depth_mm)
    table = bands.table(foil=grated(period_um=period_um, grooves=grooves, alpha=0.02))
    plain = bands.table(foil=metal(1.0, 0.02))
    asked = request(bands, table, samples=4, foil=(16, 0))
    seen = _band(radiance(bands, asked), bands, asked)
    expected = _band(radiance(bands, replace(asked, table=plain)), bands, asked)

    assert seen[..., :3].max() <= 1 + 0.01
    np.testing.assert_allclose(seen[..., :3], expected[..., :3], atol=0.015)


def test_a_dull_grating_in_even_light_gives_back_no_more_than_plain_metal(cup, radiance):
    """What goes to and fro under the face loses some at each turn."""
    asked = request(cup, cup.table(foil=grated(0.7)), samples=4, foil=(16, 0))
    seen = _band(radiance(cup, asked), cup, asked)
    plain = _band(radiance(cup, replace(asked, table=cup.table(foil=metal(0.7)))), cup, asked)

    assert (seen[..., :3] <= plain[..., :3] + 0.01).all()
    assert (seen[..., :3] >= 0.8 * plain[..., :3]).all()


def test_white_grated_flakes_in_even_light_are_white(cup, radiance):
    asked = request(cup, cup.table(flake=grated()), samples=16)
    seen = _band(radiance(cup, asked), cup, asked, "glitter")

    np.testing.assert_allclose(seen[..., :3].mean((0, 1)), 1, atol=0.01)
    assert seen[..., :3].max() <= 1.03


def _columns(asked):
    """Turn (rad) of the wall that each column of a level picture sees, and the way to the eye."""
    camera, width = asked.camera, asked.width_px
    half = np.tan(np.radians(camera.fov_deg) / 2) * width / asked.height_px
    angle = np.arctan(((np.arange(width) + 0.5) / width * 2 - 1) * half)
    distance = -camera.position_mm[1]
    slant = np.sin(angle) * distance / RADIUS_MM  # sine at the wall, by the law of sines
    on = np.abs(slant) < 0.9
    turn = np.arcsin(np.where(on, slant, 0)) - angle
    return on, turn, angle


@pytest.mark.parametrize("order", [1, -1])
def test_a_lamps_rainbow_lies_where_the_grating_equation_has_it(thin, radiance, lamp, order):
    """Where red, green and blue are brightest round the cup, to a pixel of .9 mm."""
    name, towards = lamp(*((80.0, 0.0) if order == 1 else (-80.0, 0.0)))
    table = _laid_flat(thin.table(foil=grated(alpha=0.01, first=0.2)))
    asked = request(thin, table, light=name, samples=16, foil=(16, 0))
    line = _whole_band(radiance(thin, asked), thin, asked)
    on, turn, angle = _columns(asked)
    nm = np.arange(405.0, 716.0, 5)
    normal = np.stack([np.sin(turn), -np.cos(turn), 0 * turn], -1)
    right = np.stack([np.cos(turn), np.sin(turn), 0 * turn], -1)
    to_eye = np.stack([-np.sin(angle), -np.cos(angle), 0 * angle], -1)
    eye = np.stack([(to_eye * right).sum(-1), 0 * turn, (to_eye * normal).sum(-1)], -1)
    ways = diffracted(eye[:, None], np.array([1.0, 0.0]), nm[None, :], 1.2, order)
    lamp_there = np.stack([right @ towards, 0 * turn, normal @ towards], -1)
    away = np.arccos(np.clip((ways * lamp_there[:, None]).sum(-1), -1, 1))
    glow = np.nan_to_num(np.exp(-((away / np.radians(2.0)) ** 2) / 2))
    weights = [np.interp(nm, FIRST_NM + (np.arange(16) + 0.5) * BAND_NM, c) for c in WHITE_BANDS.T]
    expected = np.maximum(glow @ np.array(weights).T, 0)
    expected[~on] = 0
    column = np.arange(len(turn))
    beyond = expected.sum(-1) > 0.02 * expected.sum(-1).max()  # the mirror's own light lies apart

    for channel in range(3):
        seen = np.where(beyond, line[:, channel], 0)
        assert seen.max() > 0.3
        middle = [(column * c).sum() / c.sum() for c in (seen, expected[:, channel])]
        assert middle[0] == pytest.approx(middle[1], abs=1.0)
    shape = [np.where(beyond[:, None], c, 0).ravel() for c in (line[:, :3], expected)]
    assert np.corrcoef(*shape)[0, 1] > 0.95


def _whole_band(seen, bands, asked):
    return seen[rows_at(bands, asked, *BANDS["foil"])].mean(0)


@pytest.mark.parametrize(("nm", "brightest"), [(460, 2), (540, 1), (615, 0)])
def test_round_grooves_spread_colours_up_and_down(thin, radiance, lamp, nm, brightest):
    """sin(elevation) = λ / d, seen straight on from a level camera."""
    name, _ = lamp(0.0, float(np.degrees(np.arcsin(nm / 1200))))
    table = _laid_flat(thin.table(foil=grated(grooves="round", alpha=0.01)))
    asked = request(thin, table, light=name, samples=4, foil=(16, 0))
    foot = thin.blank.wall_foot_z_mm
    level = asked.camera.position_mm[2] - foot  # the wall's height at the camera's
    rows = rows_at(thin, asked, level - 1.5, level + 1.5)
    if not BANDS["foil"][0] < level < BANDS["foil"][1]:
        pytest.fail("the foil is not at the camera's height")
    seen = radiance(thin, asked)[rows, 74:76, :3].mean((0, 1))

    assert np.argmax(seen) == brightest
    assert seen[brightest] > 1.3 * np.median(seen)


def test_shards_have_a_light_of_their_own(thin, radiance, lamp):
    """Most shards send none of a lamp's orders to the eye, some all: the band is patchy."""
    name, _ = lamp(30.0, 20.0)
    asked = request(thin, thin.table(foil=grated(grooves="shards", alpha=0.01)), light=name)
    asked = replace(asked, foil=(16, 0), samples=4)
    plain = replace(asked, table=thin.table(foil=grated(grooves="upright", alpha=0.01)))
    patchy, even = (
        _band(radiance(thin, one), thin, one)[:, 20:40, :3].sum(-1) for one in (asked, plain)
    )

    assert patchy.std() > 3 * even.std()


def test_flakes_of_every_turn_show_a_lamp_in_colours(radiance, lamp):
    """Plain flakes flash white, grated ones in red, green and blue."""
    bands = band_cup("coloured flashes")
    name, _ = lamp(20.0, 30.0)
    asked = request(bands, bands.table(flake=grated(first=0.3)), light=name, samples=4)
    plain = replace(asked, table=bands.table(flake=metal(1.0)))

    def saturation(one):
        seen = _band(radiance(bands, one), bands, one, "glitter")[..., :3].reshape(-1, 3)
        bright = seen[seen.max(-1) > 0.05]
        assert len(bright) > 20
        return np.percentile(1 - bright.min(-1) / bright.max(-1), 90)

    assert saturation(plain) < 0.05
    assert saturation(asked) > 0.3
