"""Flat and cup are one surface: lengths, angles and areas are the same on both."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.blank.flat import (
    flat_from_wall,
    flat_outline,
    flat_size,
    object_from_wall,
    sector,
    sheet_from_wall,
    stretch,
    wall_from_flat,
    wall_from_object,
    wall_from_sheet,
    wrapped_turn,
)
from mockup.blank.wall import Wall
from tests.blank.walls import blank_of, cones, frustums, profiles, turns

COMPASS = Wall("cone", (0.0, 170.0), (29.0, 37.0))
STRAIGHT = Wall("cylinder", (0.0, 150.0), (36.5, 36.5))
shares = st.floats(0.0, 1.0)
anchors = st.tuples(turns, shares)
amounts = st.lists(st.floats(-1.0, 1.0), min_size=6, max_size=6)


def length_of(points_mm):
    return np.linalg.norm(np.diff(points_mm, axis=0), axis=1).sum()


def polygon_area(points_mm):
    """Gauss's shoelace, about the first point."""
    x, y = (points_mm - points_mm[0]).T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))


def a_curve(wall, amounts, n=4001):
    """A wandering line on the wall: (turn, height), seam and edges not crossed."""
    t = np.linspace(0.0, 1.0, n)
    waves = [np.sin((k + 1) * 2.1 * t + k) for k in range(3)]
    turn = sum(a * w for a, w in zip(amounts[:3], waves, strict=True))
    along = sum(a * w for a, w in zip(amounts[3:], waves, strict=True))
    return turn, wall.length_mm * (0.5 + along / 6)


def tangents(points_from, turn, height, step=1e-4):
    """Derivatives by turn and by height of a map from wall coordinates, by central differences."""
    by_turn = (points_from(turn + step, height) - points_from(turn - step, height)) / (2 * step)
    by_height = (points_from(turn, height + step) - points_from(turn, height - step)) / (2 * step)
    return np.stack([by_turn, by_height])


def assert_same_metric(one, other):
    """First fundamental forms agree: so do all lengths, angles and areas there.

    Tolerance: central differences of step 1e-4 err by about 1e-7 of R.
    """
    scale = np.abs(other).max() ** 2
    np.testing.assert_allclose(one @ one.T / scale, other @ other.T / scale, atol=1e-6)


def test_a_tapered_flat_is_the_sector_that_a_compass_draws():
    """Foot radius 29, rim radius 37, 170 mm upright: R = r / sin α, angle = 360° sin α."""
    drawn = sector(COMPASS)

    assert drawn.slant_mm == pytest.approx(170.188, abs=5e-4)
    assert drawn.outer_radius_mm == pytest.approx(787.12, abs=5e-3)
    assert drawn.inner_radius_mm == pytest.approx(787.12 - 170.188, abs=5e-3)
    assert drawn.angle_deg == pytest.approx(16.922, abs=5e-4)


def test_the_flat_lies_on_the_compass_arcs():
    """Every point of either edge is as far from the apex as the sector says."""
    drawn = sector(COMPASS)
    apex = np.array([np.pi * 29.0, -drawn.inner_radius_mm])
    turn = np.linspace(-np.pi, np.pi, 33)

    foot = np.linalg.norm(flat_from_wall(COMPASS, turn, 0.0) - apex, axis=-1)
    rim = np.linalg.norm(flat_from_wall(COMPASS, turn, COMPASS.length_mm) - apex, axis=-1)

    np.testing.assert_allclose(foot, drawn.inner_radius_mm, rtol=1e-12)
    np.testing.assert_allclose(rim, drawn.outer_radius_mm, rtol=1e-12)


def test_a_straight_flat_is_a_rectangle():
    outline = flat_outline(STRAIGHT, 5)

    assert flat_size(STRAIGHT) == pytest.approx((229.336, 150.0), abs=5e-4)
    assert polygon_area(outline) == pytest.approx(34_400.4, abs=0.05)
    np.testing.assert_allclose(outline.min(axis=0), [0.0, 0.0], atol=1e-12)
    assert sector(STRAIGHT).angle_deg == 0


def test_the_front_stands_upright_in_the_middle():
    heights = np.array([0.0, 50.0, 170.0])
    for wall in (STRAIGHT, COMPASS):
        front = flat_from_wall(wall, 0.0, heights)

        np.testing.assert_allclose(front[:, 0], np.pi * wall.radius_mm[0])
        np.testing.assert_allclose(front[:, 1], heights, atol=1e-12)


def test_turn_grows_to_the_right_as_seen_from_outside():
    """Seen from the front (−y, z up), +x is to the right."""
    point = object_from_wall(blank_of(STRAIGHT), [0.0, 0.5, np.pi / 2], 10.0)

    np.testing.assert_allclose(point[0], [0.0, -36.5, 16.0], atol=1e-12)
    assert point[1, 0] > 0
    np.testing.assert_allclose(point[2], [36.5, 0.0, 16.0], atol=1e-12)


@given(frustums, amounts)
def test_a_strip_is_as_long_flat_as_round(wall, amounts):
    turn, height = a_curve(wall, amounts)

    flat = length_of(flat_from_wall(wall, turn, height))
    round_it = length_of(object_from_wall(blank_of(wall), turn, height))

    assert flat == pytest.approx(round_it, rel=1e-5, abs=1e-6)


@given(frustums, turns, shares)
def test_the_flat_has_the_metric_of_the_cup(wall, turn, share):
    height = share * wall.length_mm
    flat = tangents(lambda t, v: flat_from_wall(wall, t, v), turn, height)
    cup = tangents(lambda t, v: object_from_wall(blank_of(wall), t, v), turn, height)

    assert_same_metric(flat, cup)


@given(frustums, turns, shares)
def test_the_flat_is_seen_from_outside(wall, turn, share):
    """The flat keeps its sense: lettering is not mirrored."""
    flat = tangents(lambda t, v: flat_from_wall(wall, t, v), turn, share * wall.length_mm)

    assert np.linalg.det(flat) > 0


@given(frustums)
def test_the_flat_has_the_area_of_the_wall(wall):
    """Tolerance: 4001 chords in place of each arc."""
    assert polygon_area(flat_outline(wall, 4001)) == pytest.approx(wall.area_mm2, rel=1e-5)


@given(frustums)
def test_the_size_holds_the_outline(wall):
    extent = np.ptp(flat_outline(wall, 2001), axis=0)

    np.testing.assert_allclose(flat_size(wall), extent, rtol=1e-5)


@given(st.one_of(frustums, profiles()), turns, shares)
def test_flat_and_wall_go_there_and_back(wall, turn, share):
    height = share * wall.length_mm

    back = wall_from_flat(wall, flat_from_wall(wall, turn, height))

    assert back[0] == pytest.approx(turn, abs=1e-9)
    assert back[1] == pytest.approx(height, abs=1e-9)


@given(st.one_of(frustums, profiles()), turns, st.floats(-0.1, 1.1))
def test_object_and_wall_go_there_and_back(wall, turn, share):
    blank, height = blank_of(wall), share * wall.length_mm

    back = wall_from_object(blank, object_from_wall(blank, turn, height))

    assert abs(wrapped_turn(back[0] - turn)) < 1e-9
    assert back[1] == pytest.approx(height, abs=1e-4)


def test_an_overlap_goes_on_past_the_seam():
    """3 mm beyond the right edge of a straight flat is 3 mm past the seam on the cup."""
    turn, _ = wall_from_flat(STRAIGHT, [STRAIGHT.circumference_mm(0.0) + 3.0, 40.0])

    assert turn == pytest.approx(np.pi + 3.0 / 36.5)
    assert wrapped_turn(turn) == pytest.approx(-np.pi + 3.0 / 36.5)


@given(st.one_of(frustums, profiles()), shares, shares)
def test_the_two_edges_of_the_seam_match(wall, one, other):
    """A rigid motion lays the left edge on the right one, and the cup's points are the same."""
    height = np.array([one, other]) * wall.length_mm
    left, right = (flat_from_wall(wall, turn, height) for turn in (-np.pi, np.pi))
    cup = [object_from_wall(blank_of(wall), turn, height) for turn in (-np.pi, np.pi)]

    np.testing.assert_allclose(length_of(left), length_of(right), atol=1e-9)
    np.testing.assert_allclose(cup[0], cup[1], atol=1e-9)
    angle = 2 * np.pi * wall.sin_half_angle
    turned = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    np.testing.assert_allclose(turned @ (left[1] - left[0]), right[1] - right[0], atol=1e-9)


@given(st.floats(-15.0, -3.0), st.sampled_from([-1.0, 1.0]), turns, shares)
def test_the_flat_becomes_the_rectangle_as_the_taper_goes(exponent, way, turn, share):
    """The distance to the rectangle's point shrinks in proportion to the taper, either way."""
    rise = way * 10.0**exponent
    nearly = Wall("cone", (0.0, 150.0), (36.5, 36.5 + rise))
    height = share * nearly.length_mm

    gap = flat_from_wall(nearly, turn, height) - flat_from_wall(STRAIGHT, turn, height)

    assert np.abs(gap).max() <= 10 * abs(rise) + 1e-12


@given(cones(), turns, shares)
def test_the_development_agrees_with_the_polar_one(wall, turn, share):
    """Distance r / sin α from the apex and angle θ sin α, as the books write it.

    Only for tapers where that form keeps enough digits.
    """
    s = wall.sin_half_angle
    if abs(s) < 1e-4:
        return
    height = share * wall.length_mm
    distance, angle = float(wall.radius_at(height)) / s, turn * s
    apex_to_foot = wall.radius_mm[0] / s
    polar = [distance * np.sin(angle), distance * np.cos(angle) - apex_to_foot]

    mine = flat_from_wall(wall, turn, height) - [np.pi * wall.radius_mm[0], 0.0]

    np.testing.assert_allclose(mine, polar, atol=1e-7)


@given(frustums, anchors, st.tuples(turns, shares))
def test_a_sheet_laid_on_the_wall_keeps_its_metric(wall, anchor, point):
    turn0, height0 = anchor[0], anchor[1] * wall.length_mm
    turn, height = turn0 + 0.99 * point[0], point[1] * wall.length_mm
    sheet = tangents(lambda t, v: sheet_from_wall(wall, turn0, height0, t, v), turn, height)
    cup = tangents(lambda t, v: object_from_wall(blank_of(wall), t, v), turn, height)

    assert_same_metric(sheet, cup)
    assert np.linalg.det(sheet) > 0


@given(frustums, anchors, st.tuples(turns, shares), st.tuples(turns, shares))
def test_sheet_and_flat_differ_by_a_rigid_motion(wall, anchor, one, other):
    """Away from either cut, two points are as far apart on the sheet as on the flat."""
    turn0, height0 = anchor[0] / 3, anchor[1] * wall.length_mm
    turn = np.array([one[0], other[0]]) / 2
    height = np.array([one[1], other[1]]) * wall.length_mm

    on_sheet = length_of(sheet_from_wall(wall, turn0, height0, turn, height))
    on_flat = length_of(flat_from_wall(wall, turn, height))

    assert on_sheet == pytest.approx(on_flat, abs=1e-8)


@given(st.one_of(frustums, profiles()), anchors, shares)
def test_a_sheet_is_upright_at_its_anchor(wall, anchor, share):
    turn0, height0 = anchor[0], anchor[1] * wall.length_mm
    height = share * wall.length_mm

    meridian = sheet_from_wall(wall, turn0, height0, turn0, np.array([height0, height]))

    np.testing.assert_allclose(meridian, [[0.0, 0.0], [0.0, height - height0]], atol=1e-9)


@given(profiles(), anchors)
def test_a_sheet_touches_a_profile_without_stretch_at_its_anchor(wall, anchor):
    turn0, height0 = anchor[0], anchor[1] * wall.length_mm
    radius = float(wall.radius_at(height0))

    across = tangents(lambda t, v: sheet_from_wall(wall, turn0, height0, t, v), turn0, height0)[0]

    np.testing.assert_allclose(across, [radius, 0.0], rtol=1e-6, atol=1e-6)


@given(st.one_of(frustums, profiles()), anchors, st.tuples(turns, shares))
def test_sheet_and_wall_go_there_and_back(wall, anchor, point):
    turn0, height0 = anchor[0], anchor[1] * wall.length_mm
    turn, height = turn0 + 0.999 * point[0], point[1] * wall.length_mm

    back = wall_from_sheet(
        wall, turn0, height0, sheet_from_wall(wall, turn0, height0, turn, height)
    )

    assert back[0] == pytest.approx(turn, abs=1e-9)
    assert back[1] == pytest.approx(height, abs=1e-9)


def test_what_can_be_unrolled_does_not_stretch():
    assert stretch(COMPASS).least == stretch(COMPASS).most == 1
    assert stretch(STRAIGHT).least == stretch(STRAIGHT).most == 1


def test_a_barrel_stretches_in_the_middle_and_gathers_at_its_ends():
    """Symmetric: the best cone is a cylinder whose radius is the geometric mean of 36 and 44."""
    barrel = Wall("profile", (0.0, 25.0, 50.0, 75.0, 100.0), (36.0, 42.0, 44.0, 42.0, 36.0))

    found = stretch(barrel)

    assert barrel.sin_half_angle == pytest.approx(0.0, abs=1e-6)
    assert found.most == pytest.approx(np.sqrt(44 / 36), rel=1e-3)
    assert found.least == pytest.approx(np.sqrt(36 / 44), rel=1e-3)


@given(profiles(), st.floats(-0.05, 0.05), st.floats(0.9, 1.1))
def test_no_other_cone_fits_a_profile_better(wall, tilt, size):
    """Least worst stretch in ratio: turning or scaling the cone never helps.

    Tolerance: the linear programme's own, and the fit's sampling.
    """
    height = np.linspace(0.0, wall.length_mm, 2001)
    cone = wall.development
    other = size * cone.radius_at(height) + tilt * (height - wall.length_mm / 2)
    if other.min() <= 0:
        return

    best = max(stretch(wall).most, 1 / stretch(wall).least)
    worse = np.exp(np.abs(np.log(wall.radius_at(height) / other)).max())

    assert best <= worse * (1 + 1e-3)


@given(profiles())
def test_stretch_is_what_the_flat_shows(wall):
    """Once round on the cup over once round on the flat, at the worst height."""
    found = stretch(wall)
    turn = np.linspace(-np.pi, np.pi, 4001)

    arc = length_of(flat_from_wall(wall, turn, found.worst_height_mm))

    ratio = float(wall.circumference_mm(found.worst_height_mm)) / arc
    worst = max((found.least, found.most), key=lambda x: abs(np.log(x)))
    assert abs(np.log(ratio)) == pytest.approx(abs(np.log(worst)), abs=1e-5)
