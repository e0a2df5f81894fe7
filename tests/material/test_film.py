import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colorimetry.spectra import linear_srgb_from_reflectance, wavelengths_nm
from mockup.design.palette import METALS, FilmLayer, FilmSwatch
from mockup.material.channels import FRESNEL_TERMS
from mockup.material.film import film_reflectance
from mockup.material.fresnel import fresnel_conductor, fresnel_dielectric
from mockup.material.metals import read_metal
from mockup.material.optics import (
    FILM_BARE_COSINES,
    FILM_COATED_COSINES,
    compile_swatch,
    fresnel_at,
)

NM = wavelengths_nm()
AIR, GLASS = 1.0, 1.52
cosines = st.floats(0.05, 1.0)
clear_layers = st.lists(st.tuples(st.floats(1.3, 2.6), st.floats(1, 300)), min_size=1, max_size=6)
lossy_layers = st.lists(
    st.tuples(st.builds(complex, st.floats(1.0, 5.0), st.floats(0.0, 8.0)), st.floats(1.0, 300.0)),
    min_size=1,
    max_size=6,
)


@given(st.floats(1.2, 2.5), st.floats(1.4, 4.0), st.floats(400, 700))
def test_a_quarter_wave_layer_follows_its_closed_form(n, substrate, at_nm):
    """R = ((n0 ns − n²) / (n0 ns + n²))² at normal incidence: Born & Wolf (1999), 1.6 eq. 73."""
    quarter_nm = at_nm / (4 * n)

    r, t = film_reflectance(1.0, [at_nm], [(n, quarter_nm)], outside=AIR, substrate=substrate)

    expected = ((AIR * substrate - n**2) / (AIR * substrate + n**2)) ** 2
    np.testing.assert_allclose(r, expected, atol=1e-12)
    np.testing.assert_allclose(t, 1 - expected, atol=1e-12)


def test_magnesium_fluoride_on_crown_glass_reflects_as_the_textbook_says():
    """1.3 % at the design wavelength, from 4.3 % bare: Macleod (2010), ch. 4, n 1.38 on 1.52."""
    bare, _ = film_reflectance(1.0, [550.0], [], outside=AIR, substrate=GLASS)
    coated, _ = film_reflectance(
        1.0, [550.0], [(1.38, 550 / 1.38 / 4)], outside=AIR, substrate=GLASS
    )

    assert bare[0] == pytest.approx(0.043, abs=0.0005)
    assert coated[0] == pytest.approx(0.013, abs=0.0005)


@given(cosines, st.floats(1.3, 2.6), st.floats(400, 700), st.floats(1.0, 1.5))
def test_a_half_wave_layer_is_absent(mu, n, at_nm, outside):
    """Born & Wolf (1999), 1.6: with phase π the layer does nothing, at any angle."""
    inside = np.sqrt(1 - (outside / n) ** 2 * (1 - mu**2)) if outside < n else None
    if inside is None:
        return
    half_nm = at_nm / (2 * n * inside)

    r, _ = film_reflectance(mu, [at_nm], [(n, half_nm)], outside=outside, substrate=GLASS)

    bare, _ = film_reflectance(mu, [at_nm], [], outside=outside, substrate=GLASS)
    np.testing.assert_allclose(r, bare, atol=1e-9)


@given(cosines, clear_layers, st.sampled_from([1.0, 1.5]))
def test_a_clear_free_film_loses_nothing(mu, layers, outside):
    r, t = film_reflectance(mu, NM, layers, outside=outside, substrate=outside)

    np.testing.assert_allclose(r + t, 1.0, atol=1e-9)


@given(cosines, lossy_layers, st.sampled_from(METALS), st.sampled_from([1.0, 1.5]))
def test_no_stack_gives_more_than_it_gets(mu, layers, metal, outside):
    below = read_metal(metal).index_at(NM)

    r, t = film_reflectance(mu, NM, layers, outside=outside, substrate=below)

    assert min(r.min(), t.min()) >= 0.0
    assert (r + t).max() <= 1.0 + 1e-9


@given(cosines, clear_layers)
def test_a_free_film_is_the_same_from_both_sides(mu, layers):
    one, _ = film_reflectance(mu, NM, layers, outside=AIR, substrate=AIR)
    other, _ = film_reflectance(mu, NM, layers[::-1], outside=AIR, substrate=AIR)

    np.testing.assert_allclose(one, other, atol=1e-9)


@given(cosines, st.floats(1.3, 2.6), st.floats(20, 1000))
def test_one_clear_film_is_the_sum_of_its_passes(mu, n, thickness_nm):
    """Airy's sum, another way: R = F sin²(δ) / (1 + F sin²(δ)) of each polarisation's face."""
    inside = np.sqrt(1 - (1 - mu**2) / n**2)
    face_s = ((mu - n * inside) / (mu + n * inside)) ** 2
    face_p = ((n * mu - inside) / (n * mu + inside)) ** 2
    sine2 = np.sin(2 * np.pi * n * thickness_nm * inside / NM) ** 2
    fine = [4 * face / (1 - face) ** 2 for face in (face_s, face_p)]
    expected = np.mean([f * sine2 / (1 + f * sine2) for f in fine], axis=0)

    r, _ = film_reflectance(mu, NM, [(n, thickness_nm)], outside=AIR, substrate=AIR)

    np.testing.assert_allclose(r, expected, atol=1e-9)


@given(cosines, st.sampled_from(METALS), st.floats(1.0, 1.6))
def test_without_layers_it_is_fresnels_law(mu, metal, outside):
    index = read_metal(metal).index_at(NM)
    on_metal, _ = film_reflectance(mu, NM, [], outside=outside, substrate=index)
    on_glass, _ = film_reflectance(mu, [550.0], [], outside=AIR, substrate=GLASS)

    expected = fresnel_conductor(mu, index.real / outside, index.imag / outside)
    np.testing.assert_allclose(on_metal, expected, atol=1e-12)
    np.testing.assert_allclose(on_glass[0], fresnel_dielectric(mu, GLASS), atol=1e-12)


def test_a_thick_layer_of_metal_is_the_metal():
    gold = read_metal("gold").index_at([550.0])

    r, t = film_reflectance(0.7, [550.0], [(gold[0], 400.0)], outside=AIR, substrate=GLASS)

    np.testing.assert_allclose(r[0], fresnel_conductor(0.7, gold.real, gold.imag), atol=1e-6)
    assert t[0] < 1e-6


def shifting(thickness_nm, n=1.38):
    """A flake of five layers seen from one side: chromium, a clear spacer, aluminium."""
    layers = FilmLayer(n=3.2, k=3.3, thickness_nm=6), FilmLayer(n=n, thickness_nm=thickness_nm)
    return FilmSwatch(layers=layers)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(3, 15), st.floats(1.38, 2.4), st.floats(50, 680), st.sampled_from([*METALS, "none"])
)
def test_the_fit_over_the_angle_is_better_than_a_hundredth(chrome_nm, n, spacer_nm, metal):
    swatch = FilmSwatch(
        metal=metal,
        layers=(
            FilmLayer(n=3.2, k=3.3, thickness_nm=chrome_nm),
            FilmLayer(n=n, thickness_nm=spacer_nm),
        ),
    )
    optics = compile_swatch(swatch)
    layers = [(3.2 + 3.3j, chrome_nm), (n, spacer_nm)]

    for terms, span, outside in (
        (optics.fresnel_coated, FILM_COATED_COSINES, 1.5),
        (optics.fresnel_bare, FILM_BARE_COSINES, 1.0),
    ):
        below = outside if metal == "none" else read_metal(metal).index_at(NM)
        mu = np.linspace(*span, 300)
        spectrum, _ = film_reflectance(mu, NM, layers, outside=outside, substrate=below)
        exact = linear_srgb_from_reflectance(NM, spectrum)
        assert np.abs(fresnel_at(terms, mu) - exact).max() < 0.01


def test_a_colour_shifting_flake_shifts_its_colour():
    """A spacer of 430 nm: each fringe moves to shorter waves as the flake is tilted."""
    front, tilted = fresnel_at(compile_swatch(shifting(430)).fresnel_bare, [1.0, 0.6])

    assert np.argmax(front) != np.argmax(tilted)


def test_only_clear_films_let_light_through():
    free = compile_swatch(FilmSwatch(metal="none", layers=(FilmLayer(n=2.4, thickness_nm=90),)))

    np.testing.assert_array_equal(compile_swatch(shifting(400)).transmittance, 0.0)
    np.testing.assert_allclose(
        free.transmittance + fresnel_at(free.fresnel_coated, 1.0), 1.0, atol=0.01
    )


def test_a_film_keeps_to_the_table_of_channels():
    optics = compile_swatch(shifting(400))

    assert optics.metal
    assert optics.fresnel_coated.shape == optics.fresnel_bare.shape == (FRESNEL_TERMS, 3)
    assert optics.lowest_cosines == (FILM_COATED_COSINES[0], FILM_BARE_COSINES[0])
