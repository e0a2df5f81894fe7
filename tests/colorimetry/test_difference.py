import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb, lab_from_rgb8
from tests.published_tables import rows

SHARMA = {int(row["pair"]): row for row in rows("sharma_2005_ciede2000")}
labs = arrays(np.float64, (2, 3), elements=st.floats(-100.0, 100.0)).map(
    lambda pair: pair * [0.5, 1.0, 1.0] + [50.0, 0.0, 0.0]
)


def _lab(row, which):
    return np.array([float(row[f"{axis}_{which}"]) for axis in "lab"])


@pytest.mark.parametrize("pair", SHARMA)
def test_ciede2000_agrees_with_sharma_2005(pair):
    """Our ΔE00 is the published one to its 4 decimals, either way round."""
    row = SHARMA[pair]
    lab_a, lab_b, expected = _lab(row, "a"), _lab(row, "b"), float(row["delta_e_2000"])

    assert delta_e_2000(lab_a, lab_b) == pytest.approx(expected, abs=5.1e-5)
    assert delta_e_2000(lab_b, lab_a) == pytest.approx(expected, abs=5.1e-5)


def test_the_published_table_has_all_its_pairs():
    assert list(SHARMA) == list(range(1, 35))


def test_ciede2000_agrees_with_colour_science_on_a_picture():
    from colour.difference import delta_E_CIE2000

    rng = np.random.default_rng(2000)
    lab_a, lab_b = rng.uniform([0, -90, -90], [100, 90, 90], (2, 40, 50, 3))

    np.testing.assert_allclose(delta_e_2000(lab_a, lab_b), delta_E_CIE2000(lab_a, lab_b), atol=1e-9)


@given(labs)
def test_a_colour_does_not_differ_from_itself_and_differs_alike_both_ways(pair):
    """Where the hues lie 180° apart the two ways may take two hues as the mean: left out."""
    lab_a, lab_b = pair
    assert delta_e_2000(lab_a, lab_a) == 0.0

    one, other = delta_e_2000(lab_a, lab_b), delta_e_2000(lab_b, lab_a)

    assert one >= 0.0
    turn_deg = np.degrees(np.subtract(*np.arctan2(pair[:, 2], pair[:, 1])))
    if abs(abs(turn_deg) - 180.0) > 1.0:
        assert one == pytest.approx(other, abs=1e-9)


def test_pairs_broadcast():
    greys = np.stack([np.linspace(0, 100, 5), np.zeros(5), np.zeros(5)], axis=-1)

    assert delta_e_2000(greys[:, None], greys[None, :]).shape == (5, 5)


def test_white_black_and_the_greys_have_no_hue():
    lab = lab_from_linear_srgb(np.linspace(0.0, 1.0, 11)[:, None] * np.ones(3))

    np.testing.assert_allclose(lab[:, 1:], 0.0, atol=1e-12)
    assert lab[0, 0] == pytest.approx(0.0, abs=1e-12)
    assert lab[-1, 0] == pytest.approx(100.0, abs=1e-12)


def test_lab_agrees_with_colour_science():
    """Two ways: ours, and sRGB_to_XYZ with XYZ_to_Lab, whose white has 4 decimals in xy."""
    from colour import XYZ_to_Lab, sRGB_to_XYZ, xyY_to_XYZ

    rgb8 = np.random.default_rng(8).integers(0, 256, (60, 3), dtype=np.uint8)
    expected = XYZ_to_Lab(sRGB_to_XYZ(rgb8 / 255.0))

    assert np.max(delta_e_2000(lab_from_rgb8(rgb8), expected)) < 0.03
    np.testing.assert_allclose(xyY_to_XYZ([0.3127, 0.3290, 1.0]), lab_white(), atol=3e-4)


def lab_white():
    from mockup.colorimetry.difference import WHITE_XYZ_D65

    return WHITE_XYZ_D65


def test_nan_stays_nan():
    """A pixel that failed must not look like a match."""
    assert np.isnan(delta_e_2000([np.nan, 0.0, 0.0], [50.0, 0.0, 0.0]))
