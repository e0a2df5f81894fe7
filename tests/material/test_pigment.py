import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb, lab_from_rgb8
from mockup.colorimetry.spectra import linear_srgb_weights, wavelengths_nm
from mockup.colorimetry.srgb import linear_from_hex, linear_from_srgb
from mockup.colorimetry.upsampling import reflectance_from_linear_srgb
from mockup.design.palette import PigmentSwatch, SpectrumSwatch
from mockup.errors import UnknownName
from mockup.material.coat import coated_body_reflectance
from mockup.material.optics import compile_swatch
from mockup.material.pigment import artwork_seen, equivalent_reflectance, equivalent_under_coat

LIGHTS = ("D65", "A", "LED-B3", "FL11")
INNER = (0.02, 0.5)  # colours well inside the gamut, so that nothing is clipped
colours = st.tuples(*[st.floats(*INNER)] * 3)


@given(colours, st.sampled_from(LIGHTS[:3]), st.floats(0.2, 1.0), st.floats(1.4, 1.6))
def test_three_channels_show_what_the_whole_spectrum_shows(rgb_linear, light, mu, ior):
    """Two ways: Saunderson's law at each wavelength, then summed; and of the equivalent, at once.

    Where the spectral sum leaves the gamut, the channel shows none of it.
    """
    spectrum = reflectance_from_linear_srgb(rgb_linear)
    summed = coated_body_reflectance(spectrum, mu, ior) @ linear_srgb_weights(light)

    equivalent = equivalent_reflectance(spectrum, coat_ior=ior, illuminant=light)

    at_once = coated_body_reflectance(equivalent, mu, ior)
    np.testing.assert_allclose(at_once, np.maximum(summed, 0.0), atol=1e-12)


@given(st.floats(0, 1), st.sampled_from(LIGHTS), st.sampled_from([None, 1.5]))
def test_greys_stay_as_they_are_under_every_light(grey, light, ior):
    seen = equivalent_under_coat([grey] * 3, coat_ior=ior, illuminant=light)

    np.testing.assert_allclose(seen, grey, atol=1e-7)


def test_the_spectrum_matters_for_saturated_paint():
    """The nearer a band is to 0 or 1, the less the coat takes: red paint is not its red, coated.

    Measured against a spectral path tracer, channels alone were off by ΔE00 about 2.
    """
    red = linear_from_hex("#c02020")

    seen = equivalent_under_coat(red, coat_ior=1.5)

    shown, channels = (coated_body_reflectance(rho, 1.0, 1.5) for rho in (seen, red))
    assert delta_e_2000(lab_from_linear_srgb(shown), lab_from_linear_srgb(channels)) > 0.5


def test_bare_paint_in_daylight_is_its_own_colour():
    np.testing.assert_allclose(
        equivalent_under_coat([0.3, 0.2, 0.6], coat_ior=None), [0.3, 0.2, 0.6], atol=1e-7
    )


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize("ior", [None, 1.5])
def test_artwork_looks_as_its_texels_worked_out_one_by_one(ior, light):
    """The rounding to 8 bits alone is worth up to ΔE00 0.9 in dark saturated colours."""
    rng = np.random.default_rng(8)
    art = rng.integers(0, 256, (60, 200, 4), dtype=np.uint8)
    exact = equivalent_under_coat(
        linear_from_srgb(art[..., :3] / 255.0), coat_ior=ior, illuminant=light
    )

    seen = artwork_seen(art, coat_ior=ior, illuminant=light)

    off = delta_e_2000(lab_from_rgb8(seen[..., :3]), lab_from_linear_srgb(exact))
    assert off.max() < 1.5
    assert np.percentile(off, 99) < 0.5
    np.testing.assert_array_equal(seen[..., 3], art[..., 3])


def test_artwork_is_ready_soon():
    art = np.full((2000, 2300, 4), 77, np.uint8)
    artwork_seen(art[:2], coat_ior=1.5)

    start = time.process_time()
    artwork_seen(art, coat_ior=1.5)

    assert time.process_time() - start < 0.3  # 0.13 s on a quiet core


def test_a_measured_spectrum_is_taken_as_it_is():
    """A band that only lamp light's red end shows: its colour on screen would not have told."""
    nm = tuple(float(w) for w in wavelengths_nm())
    dark_till_650 = tuple(0.9 if w >= 650 else 0.1 for w in nm)
    measured = SpectrumSwatch(nm=nm, reflectance=dark_till_650, source="made up for a test")

    seen = {
        light: compile_swatch(measured, illuminant=light).reflectance_bare for light in ("D65", "A")
    }

    for light, colour in seen.items():
        expected = np.clip(dark_till_650 @ linear_srgb_weights(light), 0, 1)
        np.testing.assert_allclose(colour, expected, atol=1e-12)
    assert seen["A"][0] > 1.2 * seen["D65"][0]


def test_a_swatch_holds_both_its_dry_colour_and_what_the_coat_makes_of_it():
    optics = compile_swatch(PigmentSwatch(srgb="#c02020"))

    np.testing.assert_allclose(optics.reflectance_bare, linear_from_hex("#c02020"), atol=1e-6)
    expected = equivalent_under_coat(linear_from_hex("#c02020"), coat_ior=1.5)
    np.testing.assert_allclose(optics.reflectance, expected)


def test_an_unknown_light_is_refused():
    with pytest.raises(UnknownName, match="no illuminant is named 'candle'"):
        artwork_seen(np.zeros((1, 1, 4), np.uint8), coat_ior=1.5, illuminant="candle")
