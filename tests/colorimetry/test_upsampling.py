import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from mockup.colorimetry.spectra import linear_srgb_from_reflectance, wavelengths_nm
from mockup.colorimetry.upsampling import primary_reflectances, reflectance_from_linear_srgb

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
