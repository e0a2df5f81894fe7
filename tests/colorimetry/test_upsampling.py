import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colorimetry.chart import chart_reflectances
from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.spectra import (
    linear_srgb_from_reflectance,
    linear_srgb_weights,
    wavelengths_nm,
)
from mockup.colorimetry.upsampling import (
    primary_reflectances,
    reflectance_from_linear_srgb,
    smooth_reflectance,
)

colours = st.tuples(*[st.floats(0, 1)] * 3)


def test_the_primaries_are_the_published_ones():
    """Mallett & Yuksel (2019) as colour-science holds them; 1e-4 is our own sums' residue."""
    from colour.recovery import MSDS_BASIS_FUNCTIONS_sRGB_MALLETT2019 as PUBLISHED

    np.testing.assert_allclose(primary_reflectances(), PUBLISHED.values, atol=2e-4)


@given(colours)
def test_a_spectrum_looks_as_the_colour_that_it_was_made_from(rgb_linear):
    spectrum = reflectance_from_linear_srgb(rgb_linear)

    seen = linear_srgb_from_reflectance(wavelengths_nm(), spectrum)
    np.testing.assert_allclose(seen, rgb_linear, atol=1e-6)


@given(colours)
def test_nothing_sends_back_more_than_it_gets(rgb_linear):
    spectrum = reflectance_from_linear_srgb(rgb_linear)

    assert spectrum.min() >= 0.0
    assert spectrum.max() <= 1.0


@given(st.floats(0, 1))
def test_greys_are_flat(grey):
    """The primaries add up to a perfect white at every wavelength."""
    np.testing.assert_allclose(reflectance_from_linear_srgb([grey] * 3), grey, atol=1e-9)


def test_whole_pictures_at_once():
    picture = np.linspace(0, 1, 24).reshape(2, 4, 3)

    assert reflectance_from_linear_srgb(picture).shape == (2, 4, 81)


@pytest.mark.parametrize("light", ["D65", "A", "LED-B3"])
def test_a_smooth_reflectance_is_seen_as_the_colour(light):
    weights = linear_srgb_weights(light)
    for rgb in chart_reflectances() @ weights:
        spectrum, _ = smooth_reflectance(rgb, weights)

        np.testing.assert_allclose(spectrum @ weights, rgb, atol=2e-6)
        assert ((spectrum >= 0) & (spectrum <= 1)).all()


def test_the_smooth_reflectance_of_grey_is_flat():
    spectrum, _ = smooth_reflectance(np.full(3, 0.3), linear_srgb_weights("A"))

    np.testing.assert_allclose(spectrum, 0.3, atol=1e-4)


def test_any_other_reflectance_of_a_colour_is_rougher():
    """The law that it is made by: random changes that no sensor sees add to the slopes."""
    weights, rng = linear_srgb_weights("D65"), np.random.default_rng(3)
    spectrum, _ = smooth_reflectance(chart_reflectances()[6] @ weights, weights)
    unseen = np.linalg.svd(weights.T)[2][3:]

    def roughness(reflectance):
        return (np.diff(np.arctanh(2 * reflectance - 1)) ** 2).sum()

    least = roughness(spectrum)
    for _ in range(20):
        change = rng.normal(size=len(unseen)) @ unseen
        for size in (1e-3, 1e-2):
            other = spectrum + size * change * (spectrum * (1 - spectrum)).min()
            assert roughness(other) > least


def test_how_a_smooth_reflectance_changes_is_its_derivative():
    weights = linear_srgb_weights("LED-B3")
    rgb = chart_reflectances()[2] @ weights
    _, change = smooth_reflectance(rgb, weights)

    for i, step in enumerate(1e-4 * np.eye(3)):
        more, less = (smooth_reflectance(rgb + sign * step, weights)[0] for sign in (1, -1))
        np.testing.assert_allclose((more - less) / 2e-4, change[:, i], atol=2e-2)


def test_no_reflectance_has_a_colour_beyond_white():
    assert smooth_reflectance(np.array([1.2, 1.2, 1.2]), linear_srgb_weights("D65")) is None


@pytest.mark.parametrize("light", ["A", "LED-B3"])
def test_measured_patches_under_a_lamp_are_nearer_than_by_primaries(light):
    """Published spectra of the chart: their daylight colour told from that under a lamp."""
    weights, day = linear_srgb_weights(light), linear_srgb_weights("D65")
    primaries = primary_reflectances()
    errors = []
    for patch in chart_reflectances():
        smooth, _ = smooth_reflectance(patch @ weights, weights)
        mix = primaries @ np.linalg.solve(weights.T @ primaries, patch @ weights)
        lab = lab_from_linear_srgb(np.stack([smooth, mix, patch]) @ day)
        errors.append(delta_e_2000(lab[:2], lab[2]))
    smooth, mix = np.mean(errors, axis=0)

    assert smooth < 1.2
    assert smooth < 0.7 * mix
