"""Shares by a table of what passes for what: the table's inverse, and flakes thrown anew."""

from dataclasses import replace

import numpy as np
import pytest

from mockup.colorimetry.oklab import oklab_from_rgb8
from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.photo.flake_regions import Ground
from mockup.photo.flake_shares import _areas, _table, true_shares
from mockup.photo.flake_throw import Thrown, thrown_picture

SILVER, GOLD, BLUE = [0.9, 0.9, 0.92], [0.6, 0.33, 0.05], [0.02, 0.17, 0.5]


def _passing(rng, count):
    """Of ground and of each colour, how much of it passes for each tint: most for its own."""
    table = rng.uniform(0.0, 0.15, (1 + count, count))
    table[np.arange(1, 1 + count), np.arange(count)] += 0.5
    return table


@pytest.mark.parametrize("seed", range(5))
def test_the_counts_that_a_table_makes_give_the_areas_back(seed):
    rng = np.random.default_rng(seed)
    shares, gap = rng.dirichlet(np.full(4, 3.0)), rng.uniform(0.1, 0.7)
    areas = np.array([gap, *(1 - gap) * shares])
    tables = [_passing(rng, 4), _passing(rng, 4)]
    lost = np.zeros((4, 2), bool)
    lost[0, 0] = lost[3, 1] = True  # a grey on white, a dark one on black
    counts = [areas @ table for table in tables]
    counts[0][0], counts[1][3] = 0.9, 0.9  # what counts there is anything

    assert _areas(counts, tables, lost, gap) == pytest.approx(areas[1:], abs=1e-9)


def test_a_table_tells_what_passed_for_what():
    truth = np.array([[1.0, 0, 0], [0, 1.0, 0], [0, 0.5, 0.5], [0, 0, 1.0]])
    seen = np.array([[False, True], [True, False], [True, False], [False, False]])

    found = _table(truth, seen)

    assert found == pytest.approx(np.array([[0, 1], [1, 0], [1 / 3, 0]]))


@pytest.mark.parametrize("cut_px", [8.0, 14.0])
def test_flakes_thrown_anew_get_their_shares_from_a_wrong_guess(cut_px):
    rgb = np.array([SILVER, GOLD, BLUE])
    spread = np.exp(np.random.default_rng(2).normal(0, 0.35, 200))
    light = spread / np.median(spread)
    mix = Thrown(rgb, np.array([0.5, 0.3, 0.2]), light, np.ones(200), cut_px, 0.6, 0.85)
    grounds = tuple(
        Ground(np.zeros((1, 1, 3), np.float32), np.full(3, level), np.full(3, 0.5), pale)
        for level, pale in ((0.88, True), (0.04, False))
    )
    photos, truths = [], []
    for ground in grounds:
        picture, truth = thrown_picture(mix, ground, throw=50)
        photos.append(replace(ground, rgb=picture))
        flakes = truth[..., 1:].sum((0, 1))
        truths.append(flakes / flakes.sum())
    tints = oklab_from_rgb8(rgb8_from_linear(0.8 * rgb / rgb.max(1, keepdims=True)))
    lost = np.array([[True, False], [False, False], [False, False]])
    guess = replace(mix, shares=np.array([0.2, 0.2, 0.6]))

    found = true_shares(tuple(photos), tints, lost, guess, lambda share, what: None)

    assert found == pytest.approx(np.mean(truths, axis=0), abs=0.03)
    assert found.sum() == pytest.approx(1.0)
