import subprocess
import sys
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colorimetry.spectra import linear_srgb_from_reflectance, wavelengths_nm
from mockup.colorimetry.srgb import linear_from_hex
from mockup.colorimetry.upsampling import reflectance_from_linear_srgb
from mockup.design.palette import METALS, MetalSwatch, PigmentSwatch
from mockup.errors import UnknownName
from mockup.material.channels import FRESNEL_TERMS
from mockup.material.fresnel import fresnel_conductor
from mockup.material.metals import METAL_NAMES, read_metal
from mockup.material.optics import (
    BARE_COSINES,
    COATED_COSINES,
    STEEL_ALPHA,
    Optics,
    compile_swatch,
    fresnel_at,
    metal_reflectance,
    steel,
)

TINTS = ("#ffffff", "#c9d8ff", "#e08a2e")
hexes = st.integers(0, 0xFFFFFF).map(lambda code: f"#{code:06x}")


def _swatch(metal, tint="#ffffff"):
    return MetalSwatch(metal=metal, tint_srgb=tint)


@pytest.mark.parametrize("ior", [1.33, 1.5, 1.57])
@pytest.mark.parametrize("metal", METALS)
def test_the_fit_in_resin_is_better_than_a_five_hundredth(metal, ior):
    cosines = np.linspace(*COATED_COSINES, 700)
    exact = metal_reflectance(metal, cosines, ior=ior)

    fitted = fresnel_at(compile_swatch(_swatch(metal), coat_ior=ior).fresnel_coated, cosines)

    assert np.abs(fitted - exact).max() < 0.002


@pytest.mark.parametrize("metal", METALS)
def test_the_fit_in_air_is_better_than_a_hundredth(metal):
    cosines = np.linspace(*BARE_COSINES, 950)

    fitted = fresnel_at(compile_swatch(_swatch(metal)).fresnel_bare, cosines)

    assert np.abs(fitted - metal_reflectance(metal, cosines)).max() < 0.01


def test_the_fit_of_steel_is_as_good():
    inside, outside = np.linspace(*COATED_COSINES, 700), np.linspace(*BARE_COSINES, 950)
    exact_inside = metal_reflectance("iron", inside, ior=1.5)

    assert np.abs(fresnel_at(steel().fresnel_coated, inside) - exact_inside).max() < 0.002
    assert (
        np.abs(fresnel_at(steel().fresnel_bare, outside) - metal_reflectance("iron", outside)).max()
        < 0.01
    )


@pytest.mark.parametrize("illuminant", ["D65", "A"])
@pytest.mark.parametrize("metal", METAL_NAMES)
def test_metals_are_integrated_over_wavelength(metal, illuminant):
    """Two ways: in bulk here, and one angle at a time from the spectrum."""
    for mu in (1.0, 0.5):
        index = read_metal(metal).index_at(wavelengths_nm()) / 1.5
        spectrum = fresnel_conductor(mu, index.real, index.imag)
        expected = linear_srgb_from_reflectance(wavelengths_nm(), spectrum, illuminant)

        ours = metal_reflectance(metal, mu, ior=1.5, illuminant=illuminant)

        np.testing.assert_allclose(ours, np.maximum(expected, 0.0), atol=1e-12)


def test_resin_dims_metals():
    """A metal mirrors less into resin than into air, as its index over the resin's is nearer 1."""
    for metal in METAL_NAMES:
        assert np.all(metal_reflectance(metal, 1.0, ior=1.5) < metal_reflectance(metal, 1.0))


def test_metals_have_the_colours_that_they_are_named_for():
    aluminium, copper, gold, silver = (metal_reflectance(m, 1.0) for m in METALS)

    assert np.ptp(aluminium) < 0.03
    assert np.ptp(silver) < 0.03
    assert silver.min() > aluminium.max()
    assert copper[0] > copper[1] > copper[2]
    assert gold[0] > gold[1] > gold[2]
    assert gold[1] - gold[2] > copper[1] - copper[2]  # gold is yellower


@pytest.mark.parametrize("metal", METAL_NAMES)
def test_metals_turn_white_when_grazing(metal):
    np.testing.assert_allclose(metal_reflectance(metal, 0.0), 1.0, atol=1e-9)


@pytest.mark.parametrize("tint", TINTS)
@pytest.mark.parametrize("metal", METALS)
def test_lacquer_filters_metal_at_each_wavelength(metal, tint):
    """Two ways: all angles fitted at once here, and one angle at a time from the spectrum."""
    optics = compile_swatch(_swatch(metal, tint), illuminant="A")
    passed = reflectance_from_linear_srgb(linear_from_hex(tint))
    index = read_metal(metal).index_at(wavelengths_nm())

    for mu in (1.0, 0.7, 0.5):
        in_resin = fresnel_conductor(mu, index.real / 1.5, index.imag / 1.5) * passed
        expected = linear_srgb_from_reflectance(wavelengths_nm(), in_resin, "A")
        np.testing.assert_allclose(fresnel_at(optics.fresnel_coated, mu), expected, atol=0.002)
    in_air = fresnel_conductor(1.0, index.real, index.imag) * passed
    expected = linear_srgb_from_reflectance(wavelengths_nm(), in_air, "A")
    np.testing.assert_allclose(optics.reflectance, np.maximum(expected, 0.0), atol=1e-12)


def test_a_sheet_of_metal_reflects_as_its_table_at_normal_incidence_in_air():
    optics = compile_swatch(_swatch("copper"))

    assert optics.metal
    np.testing.assert_allclose(optics.reflectance, metal_reflectance("copper", 1.0))


@given(hexes)
def test_pigment_reflects_its_colour_and_as_flakes_is_lacquered_aluminium(srgb):
    optics = compile_swatch(PigmentSwatch(srgb=srgb))
    film = compile_swatch(_swatch("aluminium", srgb))

    assert not optics.metal
    np.testing.assert_allclose(optics.reflectance_bare, linear_from_hex(srgb), atol=1e-6)
    np.testing.assert_array_equal(optics.fresnel_coated, film.fresnel_coated)
    np.testing.assert_array_equal(optics.fresnel_bare, film.fresnel_bare)
    assert optics.alpha == film.alpha


@given(st.sampled_from(METALS), hexes, st.floats(1.3, 1.7), st.floats(0.0, 1.0))
def test_a_flake_returns_no_more_luminance_than_it_gets(metal, tint, ior, mu):
    """Luminance, for gold leaves the gamut: its red alone may exceed 1 (IEC 61966-2-1 weights).

    0.01 is what the fit may be off.
    """
    optics = compile_swatch(_swatch(metal, tint), coat_ior=ior)
    luminance = np.array([0.2126, 0.7152, 0.0722])

    for terms, (low, _) in (
        (optics.fresnel_coated, COATED_COSINES),
        (optics.fresnel_bare, BARE_COSINES),
    ):
        value = fresnel_at(terms, max(mu, low)) @ luminance
        assert -0.01 < value < 1.01


def test_alpha_is_the_square_of_the_roughness():
    rough = MetalSwatch(metal="silver", specular_roughness=0.5)

    assert compile_swatch(rough).alpha == pytest.approx(0.25)
    assert steel().alpha == STEEL_ALPHA


@given(st.floats(0, 0.9), st.sampled_from(["round", "upright"]))
def test_brushing_widens_across_its_lines_and_keeps_the_mean_square(anisotropy, brushed):
    """OpenPBR 1.1: α_b = (1 − a) α_t, and α_t² + α_b² = 2 r⁴."""
    swatch = MetalSwatch(metal="silver", specular_roughness_anisotropy=anisotropy, brushed=brushed)
    along, up = compile_swatch(swatch).stretch

    wide, narrow = (up, along) if brushed == "round" else (along, up)
    assert narrow == pytest.approx((1 - anisotropy) * wide)
    assert along**2 + up**2 == pytest.approx(2)


def test_foil_that_is_not_brushed_is_alike_all_round():
    assert compile_swatch(MetalSwatch(metal="gold")).stretch == (1.0, 1.0)


def test_steel_is_grey_and_darker_than_foil():
    grey = steel().reflectance

    assert steel().metal
    assert np.ptp(grey) < 0.05
    assert np.all(grey < 0.65 * compile_swatch(_swatch("aluminium")).reflectance)
    assert np.all(grey > 0.4)


def test_terms_fit_their_slots_and_cannot_be_changed():
    optics = compile_swatch(_swatch("gold"))

    assert optics.fresnel_coated.shape == optics.fresnel_bare.shape == (FRESNEL_TERMS, 3)
    for array in (
        optics.reflectance,
        optics.reflectance_bare,
        optics.fresnel_coated,
        optics.fresnel_bare,
    ):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0.0


def test_a_swatch_is_compiled_once():
    first = compile_swatch(_swatch("gold", "#ffe0c0"))

    assert isinstance(first, Optics)
    assert compile_swatch(_swatch("gold", "#ffe0c0")) is first
    assert compile_swatch(_swatch("gold", "#ffe0c0"), coat_ior=1.55) is not first


def test_the_light_changes_the_metal():
    """Under lamp light copper and gold do not look as in daylight, even to an adapted eye."""
    day = compile_swatch(_swatch("copper")).reflectance
    lamp = compile_swatch(_swatch("copper"), illuminant="A").reflectance

    assert np.abs(day - lamp).max() > 0.01


def test_an_unknown_light_is_refused():
    with pytest.raises(UnknownName, match="no illuminant is named"):
        compile_swatch(_swatch("copper"), illuminant="candle")


def test_a_cold_start_stays_quick():
    """One swatch from a new process, without colour-science; later ones well below 50 ms."""
    code = (
        "import sys; from mockup.material.optics import compile_swatch as f;"
        "from mockup.design.palette import MetalSwatch as M; f(M(metal='gold'));"
        "sys.exit('colour' in sys.modules or 'scipy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0

    compile_swatch(_swatch("silver"))
    start = time.perf_counter()
    compile_swatch(_swatch("silver", "#123456"), coat_ior=1.52345)
    assert time.perf_counter() - start < 0.05
