import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.material.fresnel import (
    fresnel_conductor,
    fresnel_conductor_sp,
    fresnel_dielectric,
    fresnel_dielectric_sp,
    refracted_cosine,
)

cosines = st.floats(0.0, 1.0)
indices = st.floats(0.05, 10.0)


def test_resin_mirrors_four_per_cent_at_normal_incidence():
    """((n − 1) / (n + 1))² is exactly 0.04 at n = 1.5."""
    assert fresnel_dielectric(1.0, 1.5) == pytest.approx(0.04, abs=1e-15)
    assert fresnel_dielectric(1.0, 1.0 / 1.5) == pytest.approx(0.04, abs=1e-15)


def test_at_45_degrees_the_one_is_the_square_of_the_other():
    """Abbe's rule: at 45° Rp = Rs²; Rs = ((√(n² − ½) − √½) / (√(n² − ½) + √½))² = 0.0920."""
    s, p = fresnel_dielectric_sp(np.sqrt(0.5), 1.5)

    assert s == pytest.approx(0.0920, abs=5e-5)
    assert p == pytest.approx(s**2, rel=1e-12)


@pytest.mark.parametrize("n", [1.33, 1.5, 1.57, 2.4])
def test_brewsters_angle(n):
    """At tan θ = n nothing is mirrored in the plane, and Rs = ((n² − 1) / (n² + 1))²."""
    s, p = fresnel_dielectric_sp(np.cos(np.arctan(n)), n)

    assert p == pytest.approx(0.0, abs=1e-15)
    assert s == pytest.approx(((n**2 - 1) / (n**2 + 1)) ** 2, rel=1e-12)


def test_everything_is_mirrored_when_grazing_and_beyond_the_critical_angle():
    critical = np.sqrt(1.0 - 1.0 / 1.5**2)

    assert fresnel_dielectric(0.0, 1.5) == pytest.approx(1.0)
    assert fresnel_dielectric(critical - 1e-6, 1.0 / 1.5) == 1.0
    assert fresnel_dielectric(critical + 1e-3, 1.0 / 1.5) < 0.9
    assert fresnel_dielectric(0.0, 1.0) == 1.0


@given(cosines, st.floats(1.0, 3.0))
def test_a_face_mirrors_alike_from_both_sides(mu, n):
    """Stokes's reciprocity: outside at μ as inside at the refracted cosine."""
    inside = refracted_cosine(mu, n)

    assert fresnel_dielectric(inside, 1.0 / n) == pytest.approx(fresnel_dielectric(mu, n), abs=1e-6)
    assert refracted_cosine(inside, 1.0 / n) == pytest.approx(mu, abs=1e-6)


@given(cosines, st.floats(1.01, 3.0))
def test_a_metal_that_absorbs_nothing_is_a_clear_medium(mu, n):
    np.testing.assert_allclose(
        fresnel_conductor_sp(mu, n, 0.0), fresnel_dielectric_sp(mu, n), atol=1e-12
    )


@given(cosines, indices, st.floats(0.0, 15.0))
def test_no_more_light_leaves_than_comes(mu, eta, k):
    for polarised in (*fresnel_conductor_sp(mu, eta, k), *fresnel_dielectric_sp(mu, eta)):
        assert 0.0 <= polarised <= 1.0 + 1e-12


@given(indices, st.floats(0.0, 15.0))
def test_normal_incidence_on_metal_has_its_closed_form(eta, k):
    """Born & Wolf (1999), sec. 14.2: ((η − 1)² + k²) / ((η + 1)² + k²)."""
    expected = ((eta - 1) ** 2 + k**2) / ((eta + 1) ** 2 + k**2)

    assert fresnel_conductor(1.0, eta, k) == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_metal_agrees_with_the_real_valued_form():
    """Two ways: complex algebra here, and the real-valued a, b of Born & Wolf / Lagarde."""
    mu, eta, k = (
        np.linspace(0.01, 1.0, 50)[:, None],
        np.array([0.05, 0.79, 2.9]),
        np.array([3.6, 5.85, 2.9]),
    )
    sin2 = 1.0 - mu**2
    t0 = eta**2 - k**2 - sin2
    a2b2 = np.sqrt(t0**2 + 4 * eta**2 * k**2)
    a = np.sqrt((a2b2 + t0) / 2)
    s = (a2b2 + mu**2 - 2 * a * mu) / (a2b2 + mu**2 + 2 * a * mu)
    p = s * (mu**2 * a2b2 + sin2**2 - 2 * a * mu * sin2)
    p /= mu**2 * a2b2 + sin2**2 + 2 * a * mu * sin2

    np.testing.assert_allclose(fresnel_conductor(mu, eta, k), (s + p) / 2, rtol=1e-9)
