import numpy as np
import pytest

from mockup.colorimetry.contrast import (
    contrast_wcag22,
    contrast_wcag22_of_rgb8,
    relative_luminance,
)
from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_hex
from tests.published_tables import rows


@pytest.mark.parametrize("row", rows("wcag_22_contrast"), ids=lambda row: row["colour_a"])
def test_the_examples_of_wcag_have_their_printed_ratio(row):
    """Within a unit of the last printed digit: WCAG rounds some of them and cuts others."""
    codes = (rgb8_from_hex("#" + row[f"colour_{c}"]) for c in "ab")
    ratio, printed = float(contrast_wcag22_of_rgb8(*codes)), float(row["ratio"])

    assert abs(ratio - printed) < (0.1 if "." in row["ratio"] else 1.0)


def test_thresholds_are_not_rounded_up():
    """#777777 on white is known for falling just short of 4.5, and #767676 for reaching it."""
    white = rgb8_from_hex("#ffffff")

    assert contrast_wcag22_of_rgb8(rgb8_from_hex("#777777"), white) < 4.5
    assert contrast_wcag22_of_rgb8(rgb8_from_hex("#767676"), white) >= 4.5


def test_no_code_lies_between_the_two_thresholds_of_the_drafts():
    """0.03928 or 0.04045: WCAG notes that it changes nothing at 8 bits."""
    codes = np.arange(256) / 255

    assert not np.any((codes > 0.03928) & (codes <= 0.04045))


def test_contrast_runs_from_1_to_21_and_is_alike_both_ways():
    luminance = np.linspace(0, 1, 21)
    table = contrast_wcag22(luminance[:, None], luminance[None, :])

    assert table.max() == pytest.approx(21.0)
    np.testing.assert_array_equal(table, table.T)
    np.testing.assert_array_equal(np.diag(table), 1.0)


def test_luminance_agrees_with_colour_science():
    """By XYZ there, with the matrix of IEC 61966-2-1: Y to 4 decimals of the matrix."""
    from colour import RGB_COLOURSPACES, RGB_to_XYZ

    rgb8 = np.random.default_rng(4).integers(0, 256, (200, 3), dtype=np.uint8)
    expected = RGB_to_XYZ(rgb8 / 255, RGB_COLOURSPACES["sRGB"], apply_cctf_decoding=True)[:, 1]

    np.testing.assert_allclose(relative_luminance(linear_from_rgb8(rgb8)), expected, atol=1e-4)
