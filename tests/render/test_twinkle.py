"""Glitter in motion: flakes flash where they lie; nothing crawls over the wall, nothing boils."""

from dataclasses import replace

import numpy as np
import pytest

from tests.bench.oracle.compare import linear_picture, open_session
from tests.bench.oracle.glitter import FIELD_MM, PATCHES, PIXELS, RADIUS_MM, model_of, request_of

STEP_RAD = FIELD_MM / PIXELS / RADIUS_MM  # the wall moves on by one pixel
PATCH = next(patch for patch in PATCHES if patch.name == "glitter_boxes_1_30_8")


@pytest.fixture(scope="module")
def turned():
    """Frame by the number of pixels that the wall has moved, laid over the first one."""
    with open_session() as session:
        model, table, _ = model_of(PATCH)

        def frame(pixels, samples):
            request = replace(request_of(PATCH, table, samples=samples), turn_rad=pixels * STEP_RAD)
            seen = linear_picture(session, model, request)[..., :3].mean(-1)
            return np.roll(seen, pixels, axis=1)[4:-4, 28:-4]

        return {(n, pixels): frame(pixels, n) for n in (4, 64) for pixels in (0, 1, 2, 3, 24)}


def alike(a, b):
    return np.corrcoef(np.sqrt(a).ravel(), np.sqrt(b).ravel())[0, 1]


def test_a_small_turn_changes_little(turned):
    """0.07° a frame: what differs between two frames is light, not the pattern of samples."""
    few, many = ([alike(turned[n, i], turned[n, i + 1]) for i in range(3)] for n in (4, 64))

    assert min(few) > 0.97
    np.testing.assert_allclose(few, many, atol=0.02)


def test_flakes_flash_on_and_off_as_box_filtered_ones_do(turned):
    """After 1.7° under soft light a fifth of the pattern is new, with few samples as with many."""
    few, many = (alike(turned[n, 0], turned[n, 24]) for n in (4, 64))

    assert few < 0.9
    assert few == pytest.approx(many, abs=0.05)


def test_flashes_stay_where_their_flakes_lie(turned):
    """Two frames laid over one another fit best where the wall itself fits, to the pixel."""
    first = turned[4, 0][4:-4, 4:-4]
    fits = {
        (dy, dx): alike(first, np.roll(turned[4, 3], (dy, dx), (0, 1))[4:-4, 4:-4])
        for dy in range(-3, 4)
        for dx in range(-3, 4)
    }

    assert max(fits, key=fits.get) == (0, 0)
    assert fits[0, 0] > 0.95
    assert max(fit for at, fit in fits.items() if max(map(abs, at)) > 1) < 0.7
