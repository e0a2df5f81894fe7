"""Paint and glitter measured in photos of what our own renderer has drawn, as `bench` does more."""

import numpy as np
import pytest

from tests.photo.drawn import ASIDE, measured_drawn_glitter, measured_drawn_paints, renderer
from tests.photo.strewn import Jar
from tests.photo.test_glitter import apart, matched
from tests.photo.test_swatch import LIGHTS, paint_error, published_spectra

SPECTRA = published_spectra()[1:18:6]
GOLD_AND_ROSE = Jar(("#e8c050", "#c03050"), (0.65, 0.35), 1.2, 0.85, 4.0, "kitchen")


@pytest.fixture(scope="module")
def session():
    return renderer()


def test_paint_that_was_drawn_is_right_to_two(session, tmp_path):
    """The swatch goes through the renderer's optics and face, the camera, and back."""
    cases = [
        case
        for light in LIGHTS
        for case in measured_drawn_paints(session, ASIDE, SPECTRA, light, tmp_path)
    ]
    errors = np.array([paint_error(paint, one.swatches[0].swatch) for paint, one in cases])

    assert np.median(errors) <= 2.0
    assert (
        np.mean(errors <= [one.swatches[0].delta_e for _, one in cases]) > 0.85
    )  # one of nine may be off


def test_glitter_that_was_drawn_dry_has_its_mean_shares_cut_and_coverage(session, tmp_path):
    jar = GOLD_AND_ROSE

    measured, means = measured_drawn_glitter(session, jar, "LED-B3", tmp_path)

    for rgb, drawn in zip(measured.mean_rgb, means, strict=True):
        assert apart(rgb, drawn) <= 3.0
    coverage = measured.figures["coverage"]
    assert coverage.value == pytest.approx(jar.coverage, abs=0.05)
    assert measured.figures["cut_mm"].value == pytest.approx(jar.cut_mm, rel=0.1)
    for share, i in zip(jar.shares, matched(jar, measured), strict=True):
        assert measured.swatches[i].share == pytest.approx(share, abs=0.05)
