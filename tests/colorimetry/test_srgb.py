import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colorimetry.srgb import (
    linear_from_hex,
    linear_from_rgb8,
    linear_from_srgb,
    rgb8_from_hex,
    rgb8_from_linear,
    srgb_from_linear,
)
from mockup.errors import DesignError

CODES = np.arange(256, dtype=np.uint8)


def test_the_curve_passes_through_the_points_of_the_standard():
    """IEC 61966-2-1: 0 and 1 stay; the two parts meet at 0.0031308, encoded 0.04045."""
    np.testing.assert_allclose(linear_from_srgb([0.0, 1.0]), [0.0, 1.0], atol=1e-15)
    assert srgb_from_linear(0.0031308) == pytest.approx(0.04045, abs=5e-6)
    assert srgb_from_linear(0.0031309) == pytest.approx(0.04045, abs=5e-6)


def test_middle_grey_is_a_fifth():
    """Code 119 is L* 50: 18.4 % of white's light (CIE 15: L* 50 is Y/Yn = ((50 + 16) / 116)³)."""
    assert linear_from_srgb(119 / 255) == pytest.approx((66 / 116) ** 3, rel=0.01)


@given(st.floats(-0.5, 2.0))
def test_there_and_back(linear):
    assert linear_from_srgb(srgb_from_linear(linear)) == pytest.approx(linear, abs=1e-7)


def test_our_curve_is_that_of_colour_science():
    from colour.models import eotf_inverse_sRGB, eotf_sRGB

    ramp = np.linspace(0.0, 1.0, 1001)

    np.testing.assert_allclose(linear_from_srgb(ramp), eotf_sRGB(ramp), atol=1e-12)
    np.testing.assert_allclose(srgb_from_linear(ramp), eotf_inverse_sRGB(ramp), atol=1e-12)


def test_the_decoding_table_holds_the_curve():
    expected = linear_from_srgb(CODES / 255.0)

    assert linear_from_rgb8(CODES).dtype == np.float32
    np.testing.assert_allclose(linear_from_rgb8(CODES), expected, rtol=1e-6)


def test_pictures_survive_decoding_and_encoding():
    picture = np.stack(np.broadcast_arrays(CODES[:, None], CODES[None, :], 7), axis=-1)

    np.testing.assert_array_equal(
        rgb8_from_linear(linear_from_rgb8(picture.astype(np.uint8))), picture
    )


def test_the_encoding_table_rounds_to_the_nearest_code():
    """Within half a code, and 1/65,535 of √linear at the steepest part of the curve."""
    linear = np.linspace(0.0, 1.0, 100_003)
    exact = srgb_from_linear(linear) * 255.0

    off = np.abs(rgb8_from_linear(linear) - exact)

    assert off.max() < 0.5 + 255.0 * 1.3 / 65_535


@pytest.mark.parametrize(("linear", "code"), [(-1.0, 0), (0.0, 0), (1.0, 255), (7.0, 255)])
def test_light_out_of_range_is_clipped_when_encoded(linear, code):
    assert rgb8_from_linear(np.array(linear)) == code


def test_hex_is_read_digit_by_digit():
    assert rgb8_from_hex("#0b2545").tolist() == [0x0B, 0x25, 0x45]
    np.testing.assert_allclose(linear_from_hex("#FFff00"), [1.0, 1.0, 0.0])


@pytest.mark.parametrize(
    "colour", ["", "navy", "0b2545", "#0b254", "#0b25455", "#0b254g", "#١٢٣٤٥٦"]
)
def test_what_is_no_hex_colour_is_refused_in_one_sentence(colour):
    with pytest.raises(DesignError, match="such as #0b2545"):
        rgb8_from_hex(colour)
