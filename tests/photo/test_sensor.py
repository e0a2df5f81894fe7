"""The camera that photos are read for, held to those of the tests, which have their own code."""

import numpy as np
import pytest

from mockup.colorimetry.chart import chart_reflectances
from mockup.colorimetry.spectra import linear_srgb_weights
from mockup.errors import UnknownName
from mockup.photo import sensor
from tests.photo import scenes
from tests.photo.test_glitter import apart
from tests.photo.test_swatch import LIGHTS


@pytest.mark.parametrize("light", LIGHTS)
def test_every_camera_has_white_as_white(light):
    others = sensor.other_cameras(light)

    np.testing.assert_allclose(sensor.camera_weights(light).sum(axis=0), 1.0, atol=1e-4)
    np.testing.assert_allclose(others.sum(axis=1), 0.0, atol=1e-4)


@pytest.mark.parametrize("light", LIGHTS)
def test_the_camera_is_in_the_middle_of_others(light):
    """Of the chart's patches in forty cameras each is nearer to it than to the observer's."""
    rng, patches = np.random.default_rng(7), chart_reflectances()
    seen = [patches @ scenes.camera_weights(light, scenes.any_camera(rng)) for _ in range(40)]

    off, from_observer = (
        np.sqrt(np.mean((np.array(seen) - patches @ weights) ** 2))
        for weights in (sensor.camera_weights(light), linear_srgb_weights(light))
    )

    assert off < 0.9 * from_observer


@pytest.mark.parametrize("light", LIGHTS)
def test_others_differ_as_cameras_do(light):
    """Spread of each channel over the chart's patches: of ours and of the tests' cameras.

    Their matrices are fitted to other spectra, so that they agree within a third.
    """
    rng, patches = np.random.default_rng(8), chart_reflectances()
    cameras = np.array([scenes.camera_weights(light, scenes.any_camera(rng)) for _ in range(80)])

    ours = (patches @ sensor.other_cameras(light)).std(axis=0)
    theirs = (patches @ cameras).std(axis=0)

    assert np.sqrt((ours**2).mean(0)) == pytest.approx(np.sqrt((theirs**2).mean(0)), rel=0.33)


def test_a_light_of_no_name_is_told():
    with pytest.raises(UnknownName):
        sensor.camera_weights("moonlight")


@pytest.mark.parametrize("light", LIGHTS)
def test_smooth_spectra_keep_their_colour(light):
    """As a maker of cameras sees to: paints are off by little, edges by more."""
    spectra = scenes.smooth_spectra(np.random.default_rng(9), 60)
    seen, wanted = (
        spectra @ weights for weights in (sensor.camera_weights(light), linear_srgb_weights(light))
    )

    assert np.median([apart(*pair) for pair in zip(seen, wanted, strict=True)]) < 0.5
