"""Distances to a cut shape's edge: exact, against shapely's and against the plane's own laws."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, affinity, box

from mockup.skin.distance import BAND_MM, signed_distance


@st.composite
def blobs(draw):
    """Several star-shaped pieces with holes, some of them spiky; valid, mm."""
    seed = draw(st.integers(0, 10_000))
    random = np.random.default_rng(seed)
    pieces = []
    for k in range(draw(st.integers(1, 3))):
        angles = np.sort(random.uniform(0, 2 * np.pi, draw(st.integers(5, 40))))
        radii = random.uniform(2.0, 6.0, len(angles))
        ring = np.c_[radii * np.cos(angles) + 14 * k, radii * np.sin(angles)]
        piece = Polygon(ring).buffer(0)
        pieces += list(shapely.get_parts(piece.difference(piece.buffer(-1.0))))
    return MultiPolygon([p for p in pieces if p.geom_type == "Polygon"])


def shapely_distance(shape, x, y):
    """The oracle: distance to the boundary, negative inside, saturated like ours."""
    away = shapely.distance(shape.boundary, shapely.points(x, y))
    signed = np.where(shapely.contains_xy(shape, x, y), -away, away)
    return np.clip(signed, -BAND_MM, BAND_MM)


@given(blobs(), st.sampled_from([0.07, 0.1, 0.25]))
@settings(max_examples=25, deadline=None)
def test_distances_are_those_of_exact_geometry(shape, texel_mm):
    """Within the 0.002 mm by which nearly straight vertices may be dropped, and rounding."""
    grid = signed_distance(shape, texel_mm)
    x, y = np.meshgrid(grid.xs_mm().astype(float), grid.ys_mm().astype(float))
    pick = np.random.default_rng(0).integers(0, x.size, 3000)

    expected = shapely_distance(shape, x.ravel()[pick], y.ravel()[pick])

    np.testing.assert_allclose(grid.distance_mm.ravel()[pick], expected, atol=0.004)


@given(blobs())
@settings(max_examples=25, deadline=None)
def test_between_texels_distances_stay_within_a_hundredth(shape):
    """Bilinear reading bends only where two edges are equally near, so most points are closer."""
    grid = signed_distance(shape, 0.1)
    west, south, east, north = shape.bounds
    random = np.random.default_rng(1)
    x, y = random.uniform(west - 1, east + 1, 3000), random.uniform(south - 1, north + 1, 3000)

    error = np.abs(grid.at(x, y) - shapely_distance(shape, x, y))

    assert np.median(error) < 0.003
    assert np.percentile(error, 95) < 0.02
    assert error.max() < 0.08  # less than the step between texels


@given(blobs())
@settings(max_examples=25, deadline=None)
def test_as_much_lies_inside_as_the_shape_is_large(shape):
    """Texel middles inside, counted: 0.2 %, or four standard errors of counting along the edge.

    Each texel that the edge crosses is counted or not at random, which errs by up to half of it.
    """
    texel = 0.05
    grid = signed_distance(shape, texel)

    inside = np.count_nonzero(grid.distance_mm < 0) * texel**2

    crossed = shape.length / texel * 1.3
    by_chance = 4 * 0.29 * crossed**0.5 * texel**2  # 0.29: deviation of an even draw in [0, 1]
    assert inside == pytest.approx(shape.area, abs=max(2e-3 * shape.area, by_chance))


def test_a_corner_is_rounded_outside_and_sharp_inside():
    """Distance to a square: Pythagoras beyond the corner, the nearer side within."""
    grid = signed_distance(MultiPolygon([box(0, 0, 5, 5)]), 0.1)

    beyond, within, side = grid.at(np.array([5.6, 4.6, 5.5]), np.array([5.8, 4.7, 2.0]))

    assert beyond == pytest.approx(1.0, abs=2e-3)
    assert within == pytest.approx(-0.3, abs=2e-3)
    assert side == pytest.approx(0.5, abs=1e-4)


def test_a_hole_is_outside():
    ring = Point(0, 0).buffer(6, quad_segs=64).difference(Point(0, 0).buffer(3, quad_segs=64))
    grid = signed_distance(MultiPolygon([ring]), 0.1)

    middle, just_in, band = grid.at(np.array([0.0, 2.5, 4.5]), np.array([0.0, 0.0, 0.0]))

    assert middle == pytest.approx(BAND_MM)
    assert just_in == pytest.approx(0.5, abs=5e-3)
    assert band == pytest.approx(-BAND_MM)


def test_vertices_on_scan_lines_count_once():
    """A diamond whose points lie exactly on rows of texels is filled without streaks."""
    texel = 0.125
    diamond = Polygon([(0, -4), (4, 0), (0, 4), (-4, 0)])
    shape = MultiPolygon([diamond])
    west, south = signed_distance(shape, texel).left_mm, signed_distance(shape, texel).bottom_mm
    onto = (-west) % texel, (-south) % texel
    moved = MultiPolygon([affinity.translate(diamond, -onto[0], -onto[1])])
    grid = signed_distance(moved, texel)
    x, y = np.meshgrid(grid.xs_mm().astype(float), grid.ys_mm().astype(float))

    expected = shapely_distance(moved, x, y)

    clear_of_the_edge = np.abs(expected) > 1e-4
    np.testing.assert_array_equal(
        grid.distance_mm[clear_of_the_edge] < 0, expected[clear_of_the_edge] < 0
    )
