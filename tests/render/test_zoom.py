"""Glitter at every distance: the same patch from close up to ten flakes a pixel.

The truth is our own close-up, box-filtered; that the close-up is right, the path tracer tells.
"""

from dataclasses import replace

import numpy as np
import pytest

from mockup.shading.table import HEXAGON
from tests.bench.oracle.compare import linear_picture, open_session
from tests.bench.oracle.glitter import PATCHES, model_of, request_of

FIELD_MM = 60.0
CLOSE_PX = 800
PATCH = next(patch for patch in PATCHES if patch.name == "glitter_boxes_1_30_8")
SIDES_PX = (400, 200, 100, 50, 40, 25, 16, 10)  # from .25 to 10 flakes a pixel


@pytest.fixture(scope="module")
def zoomed():
    """Luminance of the patch by side in pixels, and of the close-up."""
    with open_session() as session:
        patch = replace(PATCH, name="zoom")
        model, table, _ = model_of(patch)

        def seen(pixels, samples):
            request = request_of(patch, table, samples=samples, pixels=pixels, field_mm=FIELD_MM)
            return linear_picture(session, model, request)[..., :3].mean(-1)

        return {side: seen(side, 16) for side in SIDES_PX} | {CLOSE_PX: seen(CLOSE_PX, 16)}


def flakes_a_pixel(side):
    return FIELD_MM / side / (PATCH.cut_mm / HEXAGON)


def test_the_mean_does_not_drift(zoomed):
    """From a quarter of a flake to ten flakes a pixel."""
    assert flakes_a_pixel(SIDES_PX[0]) < 0.26
    assert flakes_a_pixel(SIDES_PX[-1]) > 9.9
    means = [zoomed[side].mean() / zoomed[CLOSE_PX].mean() for side in SIDES_PX]

    np.testing.assert_allclose(means, 1, atol=0.02)


@pytest.mark.parametrize("side", [400, 200, 100, 50, 40, 25, 16])
def test_sparkle_is_that_of_the_box_filtered_truth(zoomed, side):
    """p99 over mean, to 6 flakes a pixel; 8 a pixel leave too few pixels for a percentile."""
    whole = CLOSE_PX // side * side
    truth = zoomed[CLOSE_PX][:whole, :whole].reshape(side, whole // side, side, -1).mean((1, 3))
    ours = zoomed[side]

    assert np.percentile(ours, 99) / ours.mean() == pytest.approx(
        np.percentile(truth, 99) / truth.mean(), rel=0.1
    )
