import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import jv

from mockup.colorimetry.spectra import linear_srgb_weights, wavelengths_nm
from mockup.design.palette import HologramSwatch, MetalSwatch
from mockup.material.channels import GRATING_BANDS
from mockup.material.grating import (
    BAND_NM,
    FIRST_NM,
    LAST_NM,
    MOST_FIRST_ORDER,
    band_shares,
    diffracted,
    order_shares,
)
from mockup.material.optics import compile_swatch, fresnel_at

STRAIGHT_ON = np.array([0.0, 0.0, 1.0])
ACROSS = np.array([1.0, 0.0])


@pytest.mark.parametrize(
    ("period_um", "nm", "order", "deg"),
    [
        (1.6, 632.8, 1, 23.30),  # a compact disc's track (ECMA-130: 1.6 µm) under a red laser
        (1.6, 632.8, 2, 52.28),
        (1e3 / 600, 500.0, 1, 17.46),  # 600 and 1200 grooves a mm: sin θ = .3 and .6
        (1e3 / 1200, 500.0, 1, 36.87),
    ],
)
def test_orders_leave_at_the_angles_of_the_grating_equation(period_um, nm, order, deg):
    """By hand: asin(m λ / d), for light that is seen straight on."""
    for sign in (1, -1):
        way = diffracted(STRAIGHT_ON, ACROSS, nm, period_um, sign * order)

        assert np.degrees(np.arcsin(way[0])) == pytest.approx(sign * deg, abs=0.01)
        assert way[1] == 0.0


def test_a_grating_at_littrows_angle_sends_light_back_where_it_came_from():
    """2 d sin θ = m λ: Palmer & Loewen (2020), eq. 2-6; with 1200 grooves a mm 633 nm at 22.3°."""
    at = np.arcsin(0.633 * 1.2 / 2)
    assert np.degrees(at) == pytest.approx(22.32, abs=0.01)
    eye = np.array([np.sin(at), 0.0, np.cos(at)])

    way = diffracted(eye, ACROSS, 633.0, 1 / 1.2, 2 - 1)

    np.testing.assert_allclose(way, eye, atol=1e-9)


@settings(deadline=None)
@given(st.floats(0, 0.9), st.floats(0, 6.28), st.floats(0, 6.28), st.floats(400, 720))
def test_the_part_along_the_grooves_is_kept_and_orders_are_symmetric(slant, turn, grooves, nm):
    """Palmer & Loewen (2020), sec. 2.1.1: light aslant the grooves lies on a cone about them."""
    eye = np.array([slant * np.cos(turn), slant * np.sin(turn), np.sqrt(1 - slant**2)])
    across = np.array([np.cos(grooves), np.sin(grooves)])
    along = np.array([-across[1], across[0]])
    plus, minus = (diffracted(eye, across, nm, 1.2, m) for m in (1, -1))
    mirrored = diffracted(eye, across, nm, 1.2, 0)

    np.testing.assert_allclose(mirrored, [-eye[0], -eye[1], eye[2]], atol=1e-12)
    for way in (plus, minus):
        if not np.isnan(way[2]):
            assert way[:2] @ along == pytest.approx(-eye[:2] @ along, abs=1e-12)
            assert np.linalg.norm(way) == pytest.approx(1.0)
    if not np.isnan(plus[2] + minus[2]):
        np.testing.assert_allclose(plus[:2] + minus[:2], 2 * mirrored[:2], atol=1e-12)


@given(st.floats(0.05, 0.66), st.floats(400, 720), st.floats(1.3, 1.7))
def test_resin_over_the_grating_changes_no_angle_outside(slant, nm, ior):
    """Snell in, the equation with λ / n inside, Snell out again: the index falls out."""
    inside = np.array([slant / ior, 0.0, np.sqrt(1 - (slant / ior) ** 2)])
    within = diffracted(inside, ACROSS, nm / ior, 1.2, 1)

    out = diffracted(np.array([slant, 0.0, np.sqrt(1 - slant**2)]), ACROSS, nm, 1.2, 1)

    assert ior * within[0] == pytest.approx(out[0], abs=1e-12)


def test_an_order_that_needs_more_than_the_horizon_is_none():
    ways = diffracted(STRAIGHT_ON, ACROSS, np.array([400.0, 500.0, 600.0]), 0.55, 1)

    assert np.isnan(ways[:, 2]).tolist() == [False, False, True]


@given(st.floats(0.0, MOST_FIRST_ORDER))
def test_orders_of_a_sine_grating_are_bessels(first):
    """J_m(x)² at one depth x of the phase; together with the higher orders all that comes."""
    zero, one, two = order_shares(first)
    depths = np.linspace(0, 1.8412, 4000)
    depth = np.interp(first, jv(1, depths) ** 2, depths)

    assert one == first
    assert zero == pytest.approx(jv(0, depth) ** 2, abs=2e-4)
    assert two == pytest.approx(jv(2, depth) ** 2, abs=2e-4)
    assert 0.977 < zero + 2 * one + 2 * two <= 1.0 + 1e-6


def test_the_largest_first_order_is_goodmans():
    """33.9 %: Goodman (2005), sec. 4.4.4."""
    assert max(jv(1, np.linspace(0, 4, 4001)) ** 2) == pytest.approx(0.339, abs=5e-4)
    zero, _, two = order_shares(MOST_FIRST_ORDER)
    assert zero == pytest.approx(jv(0, 1.8412) ** 2, abs=2e-3)
    assert two == pytest.approx(jv(2, 1.8412) ** 2, abs=2e-3)


@pytest.mark.parametrize("light", ["D65", "A", "LED-B3"])
@pytest.mark.parametrize("slope", [0.0, 0.5])
def test_bands_of_wavelength_add_up_to_the_foils_colour(light, slope):
    spectrum = 0.4 + slope * (wavelengths_nm() - 380) / 400

    bands = band_shares(spectrum, light)

    assert bands.shape == (GRATING_BANDS, 3)
    np.testing.assert_allclose(bands.sum(axis=0), 1.0)


def test_a_band_has_the_colour_of_its_wavelengths():
    """Of white, band j is what a filter of the same width passes, weighed by the observer."""
    bands = band_shares(np.ones(81))
    for j in range(2, GRATING_BANDS - 2):
        low, high = FIRST_NM + j * BAND_NM, FIRST_NM + (j + 1) * BAND_NM
        fine = np.linspace(low, high, 101)
        passed = [np.interp(fine, wavelengths_nm(), c) for c in linear_srgb_weights("D65").T]
        expected = np.trapezoid(passed, fine, axis=1) / 5.0
        np.testing.assert_allclose(bands[j], expected, atol=0.002)
    assert LAST_NM == FIRST_NM + GRATING_BANDS * BAND_NM
    red, green, blue = (FIRST_NM + BAND_NM * (np.argmax(c) + 0.5) for c in bands.T)
    # dominant wavelengths of sRGB's primaries, D65: 611, 549 and 464 nm; a band is 20 nm wide
    assert (red, green, blue) == pytest.approx((611, 549, 464), abs=20)


def test_black_lacquer_has_bands_too():
    assert not np.isnan(band_shares(np.zeros(81))).any()


def test_holographic_foil_is_its_metal_with_a_grating():
    foil = HologramSwatch(tint_srgb="#c9d8ff", period_um=1.0, first_order_efficiency=0.2)
    plain = MetalSwatch(metal="aluminium", tint_srgb="#c9d8ff", specular_roughness=0.2)

    optics, metal = compile_swatch(foil), compile_swatch(plain)

    assert (optics.grating.period_um, optics.grating.first) == (1.0, 0.2)
    assert metal.grating is None
    np.testing.assert_array_equal(optics.fresnel_coated, metal.fresnel_coated)
    assert optics.alpha == metal.alpha
    colour = optics.grating.bands.sum(axis=0) * fresnel_at(optics.fresnel_coated, 1.0)
    np.testing.assert_allclose(colour, fresnel_at(metal.fresnel_coated, 1.0))
