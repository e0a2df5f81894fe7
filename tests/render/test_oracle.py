"""Our renderer against a path tracer's converged pictures, which lie beside the bench.

Gates are the figures that were reached, rounded up; `python -m tests.bench.oracle` prints them.
"""

import numpy as np
import pytest

from tests.bench.oracle.__main__ import DEMO
from tests.bench.oracle.compare import cupful, open_session, smooth, sparkle, stored
from tests.bench.oracle.glitter import PATCHES
from tests.bench.oracle.scenes import CASES
from tests.bench.oracle.whole import whole

OTHER_SEEDS = {"glitter_boxes_0.25_30_8", "glitter_boxes_1_0_8", "glitter_boxes_4_30_8"}


@pytest.fixture(scope="module")
def session():
    with open_session() as opened:
        yield opened


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_smooth_materials_are_those_of_the_path_tracer(session, case):
    """Paint, foil and brushed metal under resin, in ΔE00 over the cup's pixels."""
    found = smooth(session, case)

    assert found.median <= 1.0
    assert found.p95 <= 3.0


@pytest.mark.parametrize("patch", PATCHES, ids=lambda patch: patch.name)
def test_glitter_is_that_of_the_path_tracer(session, patch):
    """The same flakes: their mean, their brightest, and which of them flash."""
    found = sparkle(session, patch)

    assert found.mean == pytest.approx(1, abs=0.02)
    assert found.p99 == pytest.approx(1, abs=0.1)
    assert found.correlation > 0.85


def test_a_whole_design_is_that_of_the_path_tracer(session):
    """The demo's paint, print, three fades of glitter and foil, on which nothing was fitted."""
    found = cupful(session, whole(DEMO, samples=16), stored("whole_regatta"))

    assert found.median <= 2.0
    np.testing.assert_allclose(found.ratio, 1, atol=0.045)  # 1.041 at most


@pytest.mark.parametrize("patch", [p for p in PATCHES if p.name in OTHER_SEEDS])
def test_other_flakes_of_the_same_law_are_as_bright(session, patch):
    """Patches of 24 mm over three seeds, none of them the traced one's."""
    means = [sparkle(session, patch, seed=seed).mean for seed in (6, 7, 8)]

    assert np.mean(means) == pytest.approx(1, abs=0.05)
