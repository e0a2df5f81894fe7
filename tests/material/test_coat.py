import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colorimetry.srgb import linear_from_hex
from mockup.design.palette import MetalSwatch, PigmentSwatch
from mockup.errors import DesignError
from mockup.material.coat import (
    K1,
    K2,
    coated_body_reflectance,
    coated_mirror_reflectance,
    coated_reflectance,
    kept_inside,
    optical_depth,
    transmittance_per_mm,
)
from mockup.material.fresnel import fresnel_dielectric
from mockup.material.spectrum import dry_colour
from tests.published_tables import rows

shares = st.floats(0.0, 1.0)
indices = st.floats(1.3, 1.7)


def test_diffuse_reflectances_of_resin_are_the_published_ones():
    """Judd (1942), J. Res. Natl. Bur. Stand. 29, 329, n 1.5: 0.0918 outside, 0.5963 inside."""
    assert K1(1.5) == pytest.approx(0.0918, abs=5e-5)
    assert K2(1.5) == pytest.approx(0.5963, abs=1e-4)


@pytest.mark.parametrize("n", [1.33, 1.5, 1.57])
def test_outside_reflectance_has_walshs_closed_form(n):
    """Walsh (1926), as printed by Duntley (1942), J. Opt. Soc. Am. 32, 61."""
    n2 = n * n
    expected = (
        0.5
        + (n - 1) * (3 * n + 1) / (6 * (n + 1) ** 2)
        + n2 * (n2 - 1) ** 2 / (n2 + 1) ** 3 * np.log((n - 1) / (n + 1))
        - 2 * n**3 * (n2 + 2 * n - 1) / ((n2 + 1) * (n**4 - 1))
        + 8 * n**4 * (n**4 + 1) / ((n2 + 1) * (n**4 - 1) ** 2) * np.log(n)
    )

    assert K1(n) == pytest.approx(expected, abs=1e-7)


@pytest.mark.parametrize("n", [1.33, 1.5, 1.57])
def test_inside_reflectance_is_its_own_integral(n):
    """K2 by reciprocity against 2 ∫ F μ dμ inside, total reflection included."""
    mu = (np.arange(400_000) + 0.5) / 400_000

    assert K2(n) == pytest.approx(np.mean(2 * fresnel_dielectric(mu, 1 / n) * mu), abs=1e-6)


@pytest.mark.parametrize(
    "row", rows("coated_paint_traced"), ids=lambda row: f"{row['rho']} at {row['view_deg']}"
)
def test_coated_paint_agrees_with_a_path_tracer(row):
    """Within 0.3 %: the tracer's own noise is about 0.1 %."""
    mu = np.cos(np.radians(float(row["view_deg"])))

    assert coated_reflectance(float(row["rho"]), mu, 1.5) == pytest.approx(
        float(row["radiance"]), rel=0.003
    )


@given(shares, shares, indices, st.floats(0.0, 0.1))
def test_no_more_light_leaves_than_comes(rho, mu, n, h_over_r):
    assert 0.0 <= coated_reflectance(rho, mu, n, h_over_r) <= 1.0 + 1e-12


@given(shares, indices, st.floats(0.0, 0.1))
def test_white_paint_vanishes_in_a_white_furnace(mu, n, h_over_r):
    """Nothing absorbs, so the wall is as bright as its surrounding; so is a perfect mirror."""
    assert coated_reflectance(1.0, mu, n, h_over_r) == pytest.approx(1.0, abs=1e-12)
    if mu > 1e-3:  # at grazing the face alone mirrors everything, and the inner sum is 0/0
        assert coated_mirror_reflectance(mu, n, 1.0) == pytest.approx(1.0, abs=1e-9)


@given(st.floats(0.05, 0.95), st.floats(0.3, 1.0))
def test_clear_coat_darkens_paint(rho, mu):
    assert coated_body_reflectance(rho, mu, 1.5) < rho


def test_clear_coat_deepens_colour():
    """The darker channel falls by the larger share."""
    bright, dark = coated_body_reflectance([0.8, 0.2], 1.0, 1.5) / [0.8, 0.2]

    assert dark < bright < 1.0


def test_a_round_wall_is_brighter_than_a_flat_one():
    flat, curved = coated_body_reflectance(0.5, 1.0, 1.5, [0.0, 1.2 / 36.0])

    assert 1.01 < curved / flat < 1.04


def test_a_mirror_below_resin_sums_its_passes():
    """Two ways: the closed series, and 60 passes added one by one."""
    face, metal = fresnel_dielectric(0.5, 1.5), 0.85
    passes = sum((1 - face) ** 2 * metal * (face * metal) ** i for i in range(60))

    assert coated_mirror_reflectance(0.5, 1.5, metal) == pytest.approx(face + passes)


def test_a_tint_is_the_light_that_one_millimetre_passes():
    clear, amber = PigmentSwatch(srgb="#ffffff"), PigmentSwatch(srgb="#ffc070")

    np.testing.assert_allclose(transmittance_per_mm(clear), 1.0)
    np.testing.assert_allclose(
        dry_colour(transmittance_per_mm(amber)), linear_from_hex("#ffc070"), atol=2e-3
    )
    np.testing.assert_allclose(optical_depth(transmittance_per_mm(clear)), 0.0, atol=1e-6)
    red, green, blue = optical_depth(transmittance_per_mm(amber))
    assert 0.0 <= red < green < blue


def test_a_neutral_tint_obeys_bouguer_and_lambert():
    """Grey glass of 80 % a mm: depth −ln .8 a mm, in every channel and of every thing behind it."""
    grey = np.full(81, 0.8)
    copper = np.linspace(0.3, 0.95, 81)

    np.testing.assert_allclose(optical_depth(grey**1.5), -1.5 * np.log(0.8), rtol=1e-6)
    np.testing.assert_allclose(optical_depth(grey, "A", behind=copper), -np.log(0.8), rtol=1e-6)


def test_a_tint_before_a_metal_gives_the_colour_of_their_spectra():
    """By hand: the integral of the metal's spectrum times the tint's, twice through 1.2 mm."""
    tint = transmittance_per_mm(PigmentSwatch(srgb="#c8e4da")) ** 1.2
    copper = np.linspace(0.3, 0.95, 81)

    depth = optical_depth(tint, behind=copper)

    np.testing.assert_allclose(
        dry_colour(copper) * np.exp(-2 * depth), dry_colour(copper * tint**2), rtol=1e-6
    )


def test_what_a_tint_leaves_inside_falls_as_its_longest_ways_do():
    """At small τ by 2 ⟨1/μ⟩ of light that the face turns back, found by plain sums of 1e6 terms."""
    mu = (np.arange(1_000_000) + 0.5) / 1e6
    outside2 = 1 - 1.5**2 * (1 - mu**2)
    face = np.where(
        outside2 > 0, fresnel_dielectric(np.sqrt(np.maximum(outside2, 1e-12)), 1.5), 1.0
    )
    slope = 2 * (face).sum() / (face * mu).sum()

    assert kept_inside(0.0, 1.5) == pytest.approx(1.0)
    assert (1 - kept_inside(1e-4, 1.5)) / 1e-4 == pytest.approx(slope, rel=0.01)
    assert kept_inside(0.5, 1.5) > np.exp(-0.5 * slope)  # the short ways last longer


def test_a_metal_cannot_tint_a_coat():
    with pytest.raises(DesignError, match=r"'rose foil' is a metal.*Give the tint a pigment"):
        transmittance_per_mm(MetalSwatch(metal="copper", label="rose foil"))
