import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from mockup.colorimetry.difference import WHITE_XYZ_D65, XYZ_FROM_LINEAR_SRGB
from mockup.colorimetry.oklab import (
    hex_from_oklab,
    hue_chroma,
    in_gamut,
    linear_from_oklab,
    oklab_from_hue_chroma,
    oklab_from_linear_srgb,
    oklab_from_rgb8,
    within_gamut,
)

# Ottosson (2020), "Table of example XYZ and Oklab pairs", printed to 3 decimals.
OTTOSSON_2020 = [
    ((0.950, 1.000, 1.089), (1.000, 0.000, 0.000)),
    ((1.000, 0.000, 0.000), (0.450, 1.236, -0.019)),
    ((0.000, 1.000, 0.000), (0.922, -0.671, 0.263)),
    ((0.000, 0.000, 1.000), (0.153, -1.415, -0.449)),
]
colours = arrays(np.float64, 3, elements=st.floats(0, 1))
wild = st.tuples(st.floats(0.02, 0.98), st.floats(0, 360), st.floats(0, 0.5))


@pytest.mark.parametrize(("xyz", "expected"), OTTOSSON_2020)
def test_oklab_agrees_with_the_published_pairs(xyz, expected):
    """Through sRGB's own matrix of 4 decimals, so a unit of the last printed place is allowed."""
    rgb_linear = np.linalg.solve(XYZ_FROM_LINEAR_SRGB, xyz)

    np.testing.assert_allclose(oklab_from_linear_srgb(rgb_linear), expected, atol=2.1e-3)


def test_oklab_agrees_with_colour_science():
    from colour import XYZ_to_Oklab

    rgb_linear = np.random.default_rng(7).uniform(0, 1, (200, 3))
    theirs = XYZ_to_Oklab(rgb_linear @ XYZ_FROM_LINEAR_SRGB.T)

    np.testing.assert_allclose(oklab_from_linear_srgb(rgb_linear), theirs, atol=6e-4)


def test_white_is_white_and_greys_have_no_chroma():
    assert XYZ_FROM_LINEAR_SRGB.sum(axis=1) == pytest.approx(WHITE_XYZ_D65)
    greys = oklab_from_linear_srgb(np.linspace(0, 1, 11)[:, None] * np.ones(3))

    assert greys[-1, 0] == pytest.approx(1.0, abs=1e-6)
    assert np.abs(greys[:, 1:]).max() < 1e-6
    assert (np.diff(greys[:, 0]) > 0).all()


@given(colours)
def test_oklab_goes_back_to_the_same_light(rgb_linear):
    np.testing.assert_allclose(
        linear_from_oklab(oklab_from_linear_srgb(rgb_linear)), rgb_linear, atol=1e-7
    )


@given(st.integers(0, 0xFFFFFF))
def test_every_screen_colour_keeps_its_code(code):
    name = f"#{code:06x}"
    rgb8 = np.frombuffer(bytes.fromhex(name[1:]), np.uint8)

    assert hex_from_oklab(oklab_from_rgb8(rgb8)) == name


@given(wild)
def test_gamut_mapping_keeps_hue_and_lightness_and_reaches_the_border(wanted):
    """What comes out is in gamut; a little more chroma would not be, unless nothing was taken."""
    lightness, hue_deg, chroma = wanted
    asked = oklab_from_hue_chroma(lightness, hue_deg, chroma)
    got = within_gamut(asked)
    hue, left = hue_chroma(got)

    assert in_gamut(got)
    assert got[0] == lightness
    assert left <= chroma + 1e-12
    if left > 1e-6:
        assert abs((hue - hue_deg + 180) % 360 - 180) < 1e-6
    if in_gamut(asked):
        np.testing.assert_array_equal(got, asked)
    else:
        assert not in_gamut(oklab_from_hue_chroma(lightness, hue_deg, left + 1e-4))


def test_mapping_works_on_whole_arrays():
    asked = oklab_from_hue_chroma([[0.2], [0.6], [0.9]], np.arange(0, 360, 20.0), 0.3)

    assert within_gamut(asked).shape == (3, 18, 3)
    assert in_gamut(within_gamut(asked)).all()
