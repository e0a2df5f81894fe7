import subprocess
import sys

import numpy as np
import pytest

from mockup.colorimetry.difference import WHITE_XYZ_D65, delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.spectra import (
    BRADFORD,
    illuminant_names,
    illuminant_power,
    linear_srgb_from_reflectance,
    linear_srgb_weights,
    observer_2deg,
    wavelengths_nm,
)
from mockup.errors import DesignError, UnknownName

GRID = np.arange(380.0, 781.0, 5.0)


def test_our_observer_is_that_of_the_cie():
    """Typed to the 6 decimals of CIE 15:2004, Table T.4."""
    from colour import MSDS_CMFS

    published = MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]

    np.testing.assert_array_equal(wavelengths_nm(), GRID)
    np.testing.assert_allclose(observer_2deg(), [published[w] for w in GRID], atol=5.1e-7)


def test_our_d65_is_that_of_the_cie():
    from colour import SDS_ILLUMINANTS

    expected = [SDS_ILLUMINANTS["D65"][w] for w in GRID]

    np.testing.assert_allclose(illuminant_power("D65"), expected, atol=5e-5)


def test_d65_has_its_published_chromaticity():
    """CIE 15:2004, Table T.3: x 0.31272, y 0.32903; 1e-4 for leaving out what is beyond 780 nm."""
    xyz = illuminant_power("D65") @ observer_2deg()

    np.testing.assert_allclose(xyz[:2] / xyz.sum(), [0.31272, 0.32903], atol=1e-4)


# White points for the 2° observer as CIE 15:2018 prints them, lamps to 4 decimals; 1e-4 is that
# rounding and what is left out beyond 380 to 780 nm.
WHITE_POINTS = {
    "D50": (0.34567, 0.35851),
    "A": (0.44758, 0.40745),
    "LED-B1": (0.4560, 0.4078),
    "LED-B2": (0.4357, 0.4012),
    "LED-B3": (0.3756, 0.3723),
    "LED-B4": (0.3422, 0.3502),
    "LED-B5": (0.3118, 0.3236),
    "FL2": (0.3721, 0.3751),
    "FL11": (0.3805, 0.3769),
}


@pytest.mark.parametrize("name", WHITE_POINTS)
def test_other_illuminants_have_their_published_chromaticity(name):
    xyz = illuminant_power(name) @ observer_2deg()

    np.testing.assert_allclose(xyz[:2] / xyz.sum(), WHITE_POINTS[name], atol=1e-4)


@pytest.mark.parametrize("name", WHITE_POINTS)
def test_our_illuminants_are_those_of_the_cie(name):
    """As colour-science holds them, to 6 digits."""
    from colour import SDS_ILLUMINANTS

    expected = [SDS_ILLUMINANTS[name][w] for w in GRID]

    np.testing.assert_allclose(illuminant_power(name), expected, rtol=1e-5, atol=1e-9)


def test_bradford_is_the_published_matrix():
    from colour.adaptation import CHROMATIC_ADAPTATION_TRANSFORMS

    np.testing.assert_array_equal(BRADFORD, CHROMATIC_ADAPTATION_TRANSFORMS["Bradford"])


@pytest.mark.parametrize("name", ["D65", "A", "D50", "FL11", "LED-B3"])
def test_perfect_white_stays_white_under_every_light(name):
    white = linear_srgb_from_reflectance([380, 780], [1.0, 1.0], illuminant=name)

    np.testing.assert_allclose(white, 1.0, atol=1e-12)


@pytest.mark.parametrize("name", ["D65", "A", "FL2", "LED-B3"])
def test_colour_patches_agree_with_colour_science(name):
    """The 24 patches of a colour chart, ours against the integration and adaptation there.

    The largest difference allowed, ΔE00 0.1, is that of steps and ends: 5 nm from 380 to 780 nm
    here, 1 nm from 360 nm there. FL2's lines and the LED's peak are treated alike by both.
    """
    import colour

    chart = colour.SDS_COLOURCHECKERS["ColorChecker N Ohta"]
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    light = colour.SDS_ILLUMINANTS[name].copy().align(colour.SpectralShape(380, 780, 5))
    observer = observer.copy().align(light.shape)
    white = colour.sd_to_XYZ(colour.sd_ones(light.shape), observer, light, method="Integration")

    for patch in chart.values():
        patch = patch.copy().align(light.shape)
        ours = linear_srgb_from_reflectance(patch.wavelengths, patch.values, illuminant=name)
        xyz = colour.sd_to_XYZ(patch, observer, light, method="Integration") / 100.0
        adapted = colour.chromatic_adaptation(
            xyz, white / 100.0, WHITE_XYZ_D65, method="Von Kries", transform="Bradford"
        )
        theirs = np.linalg.solve(colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ, adapted)
        assert delta_e_2000(*map(lab_from_linear_srgb, (ours, theirs))) < 0.1


def test_weights_are_a_partition_of_white():
    np.testing.assert_allclose(linear_srgb_weights("D65").sum(axis=0), 1.0, atol=1e-12)


def test_many_spectra_at_once():
    greys = np.linspace(0.0, 1.0, 6)[:, None] * np.ones(3)

    rgb_linear = linear_srgb_from_reflectance([400, 550, 700], greys)

    np.testing.assert_allclose(rgb_linear, np.linspace(0, 1, 6)[:, None] * np.ones(3), atol=1e-12)


def test_a_misspelt_light_gets_its_near_name():
    with pytest.raises(UnknownName, match="'FL11'"):
        illuminant_power("FL 11")


def test_names_begin_with_daylight():
    assert illuminant_names()[0] == "D65"
    assert {"A", "D50", "FL2", "LED-B3"} < set(illuminant_names())


@pytest.mark.parametrize(
    ("at_nm", "reflectance"), [([400, 500], [1.0]), ([500, 400], [1.0, 1.0]), (400, 1.0)]
)
def test_a_spectrum_that_does_not_fit_is_refused(at_nm, reflectance):
    with pytest.raises(DesignError, match="one reflectance for each wavelength"):
        linear_srgb_from_reflectance(at_nm, reflectance)


def test_daylight_never_waits_for_colour_science():
    """A cold start must not pay the seconds that colour-science takes to import."""
    code = (
        "import sys; from mockup.colorimetry.spectra import linear_srgb_from_reflectance as f;"
        "[f([380, 780], [0.2, 0.8], i) for i in ('D65', 'A', 'LED-B1')];"
        "sys.exit('colour' in sys.modules or 'scipy' in sys.modules)"
    )

    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
