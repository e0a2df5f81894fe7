"""The law of the flakes: a Poisson process that hides the share of the wall it is asked to hide."""

import numpy as np
import pytest

from mockup.blank.wall import Wall
from mockup.material.channels import MAPS
from mockup.shading.flakes import flake_list, pcg3d, poisson, top_flake
from mockup.shading.table import ROW_ROLES, mean_upright
from tests.shading.trial import DEPTH_MM, STRAIGHT, TAPERED, strewn, tables

FLAKE_MM2 = np.sqrt(3) / 2 * 0.38**2  # area of the default cut


@pytest.mark.parametrize(
    ("given", "hashed"),
    [
        ((0, 0, 0), "9bafd7c6 a8e88a6b 3f15482c"),
        ((1, 2, 3), "fa9f79a6 48f2f44c 596f5ab1"),
        ((65536, 65600, 100), "48bdbda7 defcab74 503e4892"),
        ((0xFFFFFFFF, 7, 301), "012cbad9 9f7ddfc6 b231c473"),
    ],
)
def test_pcg3d_gives_the_known_hashes(given, hashed):
    """Worked out with exact integers by the steps printed in Jarzynski & Olano (2020)."""
    mask = 0xFFFFFFFF
    x, y, z = ((a * 1664525 + 1013904223) & mask for a in given)
    for last in (False, True):
        x = (x + y * z) & mask
        y = (y + z * x) & mask
        z = (z + x * y) & mask
        if not last:
            x, y, z = (a ^ (a >> 16) for a in (x, y, z))

    assert " ".join(f"{a:08x}" for a in (x, y, z)) == hashed
    assert " ".join(f"{a:08x}" for a in pcg3d(given)) == hashed


def test_counts_by_inversion_follow_poissons_law():
    """Over all 32-bit numbers: e⁻¹ / k!, with everything above 4 counted as 5."""
    even = np.linspace(0, 2**32 - 1, 2_000_001).astype(np.uint32)
    shares = np.bincount(poisson(even)) / len(even)
    law = np.exp(-1) / np.array([1, 1, 2, 6, 24])

    np.testing.assert_allclose(shares, np.append(law, 1 - law.sum()), atol=1e-6)


def _points(wall, count, seed=0):
    """Points of the layer, even over its area, and the block of the wall that each lies in."""
    rng = np.random.default_rng(seed)
    turn, up = rng.uniform(-np.pi, np.pi, count), rng.uniform(0, 1, count)
    low, high = wall.radius_mm[0] - DEPTH_MM, wall.radius_mm[-1] - DEPTH_MM
    grows = np.sqrt(low**2 + up * (high**2 - low**2))  # even over a cone's area
    share = up if low == high else (grows - low) / (high - low)
    height = share * wall.length_mm
    block = (turn / np.pi * 4 + 4).astype(int) * 8 + (up * 8).astype(int)
    return turn, height, wall.radius_at(height) - DEPTH_MM, block


def _mean_of_blocks(values, block):
    means = np.bincount(block, values) / np.bincount(block)
    return means.mean(), means.std(ddof=1) / np.sqrt(len(means))


@pytest.mark.parametrize("wall", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
@pytest.mark.parametrize("share", [0.05, 0.3, 0.6, 0.95])
def test_flakes_hide_the_share_of_the_wall_that_the_field_asks_for(wall, share):
    """Within three standard errors, taken from 64 separate blocks of the wall."""
    skin = strewn(wall, share)
    stored = MAPS["flake_coverage"].decode(skin.flake_coverage[0, 0, 0])
    turn, height, radius, block = _points(wall, 100_000)

    hit = top_flake(skin, tables(skin, wall), 0, turn, height, radius).hit
    mean, error = _mean_of_blocks(hit, block)

    assert error < 0.004
    assert mean == pytest.approx(stored, abs=3 * error)


def test_a_fade_is_met_at_every_height():
    skin = strewn(STRAIGHT, lambda height, _: 0.9 * height / 60)
    turn, height, radius, _ = _points(STRAIGHT, 120_000)
    hit = top_flake(skin, tables(skin, STRAIGHT), 0, turn, height, radius).hit

    for low in (5, 25, 45):
        band = (height > low) & (height < low + 10)
        sectors = (turn[band] / np.pi * 16 + 16).astype(int)
        mean, error = _mean_of_blocks(hit[band], sectors)
        assert mean == pytest.approx(0.9 * height[band].mean() / 60, abs=3 * error + 0.002)


@pytest.mark.parametrize("wall", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
def test_the_list_and_the_look_at_points_show_the_same_flake(wall):
    """Two ways: draw every listed hexagon over the points, or ask the cells around a point."""
    skin = strewn(wall, 0.7)
    table = tables(skin, wall)
    flakes = flake_list(skin, table, 0, wall)
    rng = np.random.default_rng(3)
    turn, height = rng.uniform(0.4, 0.6, 1500), rng.uniform(30, 36, 1500)
    radius = wall.radius_at(height) - DEPTH_MM
    near = (np.abs(flakes.turn_rad - 0.5) < 0.15) & (np.abs(flakes.height_mm - 33) < 5)

    dx = (turn[:, None] - flakes.turn_rad[near]) * radius[:, None]
    dy = height[:, None] - flakes.height_mm[near]
    apothem = 0.38 / 2 * np.sqrt(mean_upright(7.0))
    sides = flakes.rotation_rad[near][:, None] + np.arange(6) * np.pi / 3
    reach = dx[..., None] * np.cos(sides) + dy[..., None] * np.sin(sides)
    t = np.where(reach.max(-1) < apothem, flakes.t[near], np.inf)
    seen = top_flake(skin, table, 0, turn, height, radius)

    expected = flakes.ids[near][t.argmin(1)]
    same = np.where(seen.hit, (seen.ids == expected).all(1), np.isinf(t.min(1)))
    assert same.mean() > 0.998  # float32 against float64 at the flakes' rims
    listed = seen.hit & same
    depth = flakes.depth[near][t.argmin(1)]
    # on a taper the cell is as wide as the wall where it is looked at, not at the flake's middle
    np.testing.assert_allclose(seen.depth[listed], depth[listed], rtol=0.25 * 0.22 / 30)


def test_flakes_are_strewn_by_poissons_law():
    """Counts over patches of several sizes have the variance of their mean."""
    skin = strewn(STRAIGHT, 0.6)
    flakes = flake_list(skin, tables(skin, STRAIGHT), 0, STRAIGHT)
    for columns, rows in ((300, 80), (150, 40), (60, 15)):
        counts, _, _ = np.histogram2d(
            flakes.turn_rad, flakes.height_mm, (columns, rows), ((-np.pi, np.pi), (0, 60))
        )
        error = np.sqrt(2 / counts.size)  # of a variance, for counts that are nearly normal
        assert counts.var() / counts.mean() == pytest.approx(1, abs=4 * error)


def test_there_are_as_many_flakes_as_the_grams_are_worked_out_from():
    """λ = −ln(1 − C) / (A ⟨m_z⟩), to three standard errors of a Poisson number."""
    skin = strewn(STRAIGHT, 0.6)
    flakes = flake_list(skin, tables(skin, STRAIGHT), 0, STRAIGHT)
    inside = (flakes.height_mm >= 0) & (flakes.height_mm < 60)
    area = 2 * np.pi * (36.5 - DEPTH_MM) * 60
    expected = -np.log(1 - 0.6) / (FLAKE_MM2 * mean_upright(7.0)) * area

    assert inside.sum() == pytest.approx(expected, abs=3 * np.sqrt(expected))


def test_more_coverage_only_adds_flakes():
    """A slider that is pushed up moves nothing that already lies there."""
    lists = []
    for share in (0.2, 0.5, 0.9):
        skin = strewn(TAPERED, share)
        flakes = flake_list(skin, tables(skin, TAPERED), 0, TAPERED)
        lists.append({tuple(i) for i in flakes.ids.tolist()})

    assert lists[0] < lists[1] < lists[2]


def test_flakes_go_on_across_the_seam():
    skin = strewn(STRAIGHT, 0.6)
    table = tables(skin, STRAIGHT)
    height = np.linspace(2, 58, 4000)
    radius = np.full(4000, 36.5 - DEPTH_MM)
    beyond = np.linspace(-0.004, 0.004, 4000)

    left = top_flake(skin, table, 0, np.pi + beyond, height, radius)
    right = top_flake(skin, table, 0, beyond - np.pi, height, radius)

    assert left.hit.any()
    assert ((left.ids == right.ids).all(1) & (left.hit == right.hit)).mean() > 0.998


@pytest.mark.parametrize("at", [0.0, 60.0], ids=["foot", "rim"])
def test_the_field_is_held_at_the_walls_ends(at):
    """Flakes beside one end know nothing of the other: bare at one, dense at the other."""
    skin = strewn(STRAIGHT, lambda height, _: np.where(height < 30, 0.0, 0.9))
    turn = np.random.default_rng(1).uniform(-np.pi, np.pi, 20_000)
    near = np.full(20_000, abs(at - 0.1))
    hit = top_flake(skin, tables(skin, STRAIGHT), 0, turn, near, np.full(20_000, 35.3)).hit

    assert hit.mean() == pytest.approx(0.0 if at == 0 else 0.9, abs=0.015)


def test_tilt_and_colour_have_the_law_they_are_asked_for():
    """Rayleigh slopes of mode tan 7°, even in direction; three flakes in four of the first role."""
    skin = strewn(STRAIGHT, 0.6)
    flakes = flake_list(skin, tables(skin, STRAIGHT), 0, STRAIGHT)
    count = len(flakes.t)
    size2 = (flakes.slopes**2).sum(1)

    assert size2.mean() == pytest.approx(2 * np.tan(np.radians(7)) ** 2, rel=4 / np.sqrt(count))
    assert np.abs(flakes.slopes.mean(0)).max() < 4 * np.tan(np.radians(7)) / np.sqrt(count)
    upright = (1 / np.sqrt(1 + size2)).mean()
    assert upright == pytest.approx(mean_upright(7.0), abs=1e-3)
    first = (flakes.row == ROW_ROLES).mean()  # roles are sorted: flake, paint
    assert first == pytest.approx(0.75, abs=4 * np.sqrt(0.75 * 0.25 / count))


def test_populations_and_seeds_share_no_flake():
    skin = strewn(STRAIGHT, 0.3, 0.3)
    other = strewn(STRAIGHT, 0.3, seed=2)
    lists = [flake_list(skin, tables(skin, STRAIGHT), i, STRAIGHT) for i in (0, 1)]
    lists.append(flake_list(other, tables(other, STRAIGHT), 0, STRAIGHT))
    ids = [{tuple(i) for i in flakes.ids.tolist()} for flakes in lists]

    assert not ids[0] & ids[1]
    assert not ids[0] & ids[2]


def test_a_wall_without_flakes_has_an_empty_list():
    skin = strewn(STRAIGHT, 0.0)
    flakes = flake_list(skin, tables(skin, STRAIGHT), 0, STRAIGHT)

    assert len(flakes.t) == len(flakes.ids) == 0
    assert not top_flake(skin, tables(skin, STRAIGHT), 0, [0.0], [30.0], [35.3]).hit.any()


def test_a_profiles_flakes_know_its_radius():
    """Twice the flakes a mm of height where the wall is twice as wide."""
    wall = Wall("profile", (0.0, 30.0, 60.0), (20.0, 30.0, 40.0))
    skin = strewn(wall, 0.5)
    flakes = flake_list(skin, tables(skin, wall), 0, wall)
    counts, _ = np.histogram(flakes.height_mm, 3, (0, wall.length_mm))
    radii = wall.radius_at(wall.length_mm * np.array([1, 3, 5]) / 6) - DEPTH_MM

    np.testing.assert_allclose(counts / counts.sum(), radii / radii.sum(), rtol=0.02)
