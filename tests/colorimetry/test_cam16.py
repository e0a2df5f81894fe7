import numpy as np
import pytest

from mockup.colorimetry.cam16 import (
    SRGB_VIEWING,
    Viewing,
    cam16_from_xyz,
    cam16_ucs_from_linear_srgb,
    delta_e_cam16_ucs,
)
from mockup.colorimetry.difference import XYZ_FROM_LINEAR_SRGB

COLOURS = np.random.default_rng(16).uniform(0, 1, (300, 3))


@pytest.mark.parametrize(
    "viewing",
    [SRGB_VIEWING, Viewing((95.05, 100.0, 108.88), 318.31), Viewing((98.0, 100.0, 35.0), 20, 18)],
    ids=["display", "daylight", "warm"],
)
def test_correlates_agree_with_colour_science(viewing):
    """Its CAM16 is an implementation of its own, in other steps."""
    from colour import VIEWING_CONDITIONS_CAM16, XYZ_to_CAM16

    xyz = 100 * COLOURS @ XYZ_FROM_LINEAR_SRGB.T
    there = XYZ_to_CAM16(
        xyz,
        np.array(viewing.white_xyz),
        viewing.adapting_cd_m2,
        viewing.background,
        VIEWING_CONDITIONS_CAM16["Average"],
    )

    ours = cam16_from_xyz(xyz, viewing)

    np.testing.assert_allclose(ours, np.stack([there.J, there.M, there.h], -1), rtol=1e-6)


def test_the_space_agrees_with_colour_science():
    from colour import JMh_CAM16_to_CAM16UCS

    xyz = 100 * COLOURS @ XYZ_FROM_LINEAR_SRGB.T
    expected = JMh_CAM16_to_CAM16UCS(cam16_from_xyz(xyz, SRGB_VIEWING))

    np.testing.assert_allclose(cam16_ucs_from_linear_srgb(COLOURS), expected, atol=1e-9)


def test_white_is_100_and_black_is_0():
    ends = cam16_ucs_from_linear_srgb([[1.0, 1.0, 1.0], [0.0, 0.0, 0.0]])

    np.testing.assert_allclose(ends[:, 0], [100.0, 0.0], atol=1e-9)


def test_a_colour_does_not_differ_from_itself_and_differs_alike_both_ways():
    one, other = COLOURS[:150], COLOURS[150:]

    np.testing.assert_array_equal(delta_e_cam16_ucs(one, one), 0.0)
    np.testing.assert_allclose(delta_e_cam16_ucs(one, other), delta_e_cam16_ucs(other, one))
