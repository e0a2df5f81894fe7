"""Contrast round the turn, worked out by hand from a frame's radiance and mask."""

import numpy as np
import pytest
import shapely

from mockup.checks.decal_shape import decal_shapes
from mockup.checks.legibility import (
    CELL_MM,
    Mask,
    contrast_in,
    legibility_of,
    luminance_shown,
    mask_of,
)
from mockup.checks.stations import REACH_MM
from mockup.pipeline.checking import Survey, Views, judge, survey
from mockup.pipeline.cup import build_cup
from mockup.pipeline.looking import camera_of, request_of
from mockup.render.develop import KNEE
from mockup.render.lights import find_light
from mockup.render.process import RenderProcess
from mockup.render.sight import look_at
from tests.checks.cups import BASE, COAT, GOLD, NAVY, PALE_GOLD, design, glitter, scatter, word

TURN_DEG, UP_DEG = 30.0, 20.0


@pytest.fixture(scope="module")
def renderer():
    with RenderProcess() as process:
        yield process


@pytest.fixture(scope="module")
def cup():
    layers = [BASE, glitter(scatter(0.3)), word("OAR", letter_height_mm=10), COAT]
    return build_cup(design(layers, base=NAVY, flake=PALE_GOLD, foil=GOLD))


def shown(linear, exposure):
    """Relative luminance of one pixel as WCAG and the tone curve have it."""
    total = 0.0
    for value, weight in zip(linear[:3] * exposure, (0.2126, 0.7152, 0.0722), strict=True):
        if value > KNEE:
            value = KNEE + (1 - KNEE) * (1 - np.exp(-(value - KNEE) / (1 - KNEE)))
        total += weight * float(value)
    return total


def by_hand(linear, exposure, shape, sight, turn_rad, depth_mm, radius_mm):
    """Pixel by pixel: which side of the outline, which cell; the quarter that stands out least."""
    cells = {}
    turn, height = sight.under_resin(depth_mm)
    for i, pixel in enumerate(sight.pixel):
        if sight.facing[i] < 0.5:
            continue
        x = (turn[i] + turn_rad - shape.spot.turn_rad) * radius_mm
        y = height[i] - shape.spot.height_mm
        if abs(x) > 30:
            continue
        point = shapely.Point(x, y)
        away = shape.outline.boundary.distance(point)
        half = sight.footprint_mm[i] / sight.facing[i] / 2
        if not half < away <= REACH_MM:
            continue
        side = 0 if shape.outline.contains(point) else 1
        cell = cells.setdefault((x // CELL_MM, y // CELL_MM), ([], []))
        cell[side].append(shown(linear.reshape(-1, 4)[pixel], exposure))
    ratios = []
    for inside, outside in cells.values():
        if min(len(inside), len(outside)) >= 3:
            a, b = np.mean(inside) + 0.05, np.mean(outside) + 0.05
            ratios += [max(a, b) / min(a, b)] * len(inside)
    ratios.sort(reverse=True)
    return ratios[int(np.ceil(0.75 * len(ratios))) - 1]


def test_legibility_at_one_angle_equals_the_figure_by_hand(renderer, cup, monkeypatch):
    """A frame of a real cup, looked at from above and aside.

    Within 1 %: a few pixels whose distance to the edge is told by a grid of .1 mm change sides.
    """
    monkeypatch.setattr(Views, "turns_deg", property(lambda views: (TURN_DEG,)))
    views = Views(1, (UP_DEG,), ("kitchen",))
    surveyed = survey(cup)
    camera, size = camera_of(cup, surveyed.shapes, UP_DEG)
    request = request_of(cup, camera, size, TURN_DEG, "kitchen")
    linear = renderer.draw(cup.model, request, transparent=True, keep_linear=True).linear
    (shape,) = surveyed.shapes
    expected = by_hand(
        linear, find_light("kitchen").exposure, shape, look_at(cup.model, camera, *size),
        np.radians(TURN_DEG), cup.model.skin.sheets[0].depth_mm, cup.blank.wall.radius_max_mm,
    )  # fmt: skip

    (judged,) = judge(cup, renderer, surveyed=surveyed, views=views).decals

    assert judged.legibility.contrast[0, 0, 0] == pytest.approx(expected, rel=0.01)
    assert 1.2 < expected < 15


def test_a_decal_counts_where_it_faces_the_eye(renderer, cup):
    """A word of the front is in view from 45° to either side."""
    judged = judge(cup, renderer, views=Views(8, (10.0,), ("softbox",)))

    seen = np.isfinite(judged.decals[0].legibility.contrast[0, 0])

    assert seen.tolist() == [True, True, False, False, False, False, False, True]


def test_pixels_on_the_edge_and_of_the_same_foil_are_left_out(cup):
    surveyed = survey(cup)
    (shape,) = surveyed.shapes
    camera, size = camera_of(cup, surveyed.shapes, 0.0)
    sight = look_at(cup.model, camera, *size)

    mask = mask_of(shape, cup.model.skin, cup.blank.wall, sight, 0.0)

    picture = np.zeros(sight.shape)
    picture.ravel()[mask.within] = 1.0
    picture.ravel()[mask.around] = 2.0
    assert not set(mask.within) & set(mask.around)
    assert min(len(mask.within), len(mask.around)) > 100
    for axis in (0, 1):  # a pixel that the edge runs through lies between them
        beside = picture[1:] * picture[:-1] if axis == 0 else picture[:, 1:] * picture[:, :-1]
        assert np.mean(beside == 2.0) < 0.02


def test_foil_that_mirrors_a_lamp_counts_as_white_and_no_more():
    linear = np.array([[[0.1, 0.1, 0.1, 1.0], [500.0, 500.0, 500.0, 1.0]]], np.float32)

    dark, bright = luminance_shown(linear, 2.0)[0]

    assert dark == pytest.approx(0.2, rel=1e-6)
    assert bright == pytest.approx(1.0, abs=1e-6)


def cells(*pairs, pixels=4):
    """A picture and its mask: each (inside, outside) is a cell of `pixels` on either side."""
    flat, within, around, of = [], [], [], []
    for nth, (inside, outside) in enumerate(pairs):
        within += range(len(flat), len(flat) + pixels)
        flat += [inside] * pixels
        around += range(len(flat), len(flat) + pixels)
        flat += [outside] * pixels
        of += [nth] * pixels
    mask = Mask(np.array(within), np.array(of), np.array(around), np.array(of), 1.0)
    return np.array([flat]), mask


def test_a_word_half_bright_and_half_dark_is_legible_all_along():
    """A mean over the word would call it grey on grey."""
    picture, mask = cells((0.95, 0.3), (0.02, 0.3))

    assert contrast_in(picture, mask) == pytest.approx(1.0 / 0.35)


def test_three_quarters_must_reach_the_figure():
    picture, mask = cells((0.95, 0.05), (0.55, 0.05), (0.25, 0.05), (0.05, 0.05))

    assert contrast_in(picture, mask) == pytest.approx(3.0)


def test_a_cell_with_few_pixels_on_a_side_says_nothing():
    picture, mask = cells((0.95, 0.05), pixels=2)

    assert np.isnan(contrast_in(picture, mask))


def test_shares_worst_and_median_are_of_the_views_it_is_in(cup):
    (shape,) = decal_shapes(cup.design, cup.model.skin)
    contrast = np.array([[[8.0, 4.0, 2.0, 9.0]], [[5.0, 3.0, 4.5, 9.0]]])
    area = np.array([[10.0, 8.0, 5.0, 4.9]])

    told = legibility_of(
        shape, contrast, area,
        lights=("window", "kitchen"), elevations_deg=(10.0,), turns_deg=(0.0, 90.0, 180.0, 270.0),
    )  # fmt: skip

    assert told.share_above(3.0) == pytest.approx(5 / 6)
    assert told.share_above(4.5, "kitchen") == pytest.approx(2 / 3)
    assert told.worst("window") == 2.0
    assert told.median("window") == 4.0
    np.testing.assert_allclose(told.round_the_turn("kitchen"), [5.0, 3.0, 4.5, np.nan])


def test_a_stroke_is_told_in_minutes_of_arc(cup):
    """1 mm at 1 m is 3.44′; a bar of 2 × 20 mm has strokes of its width, but for its ends."""
    (shape,) = decal_shapes(
        design([BASE, word(None, svg="assets/bar.svg", letter_height_mm=None, width_mm=40), COAT],
               base=NAVY, foil=GOLD), cup.model.skin
    )  # fmt: skip
    told = legibility_of(
        shape, np.ones((1, 1, 1)), np.ones((1, 1)), lights=("window",), elevations_deg=(0.0,),
        turns_deg=(0.0,),
    )  # fmt: skip

    assert told.stroke_arcmin == pytest.approx(3.438, rel=0.03)


def test_palettes_share_a_survey_of_the_shapes(renderer, cup):
    """Masks are made once, and a second palette is judged from them."""
    surveyed = survey(cup)
    views = Views(2, (10.0,), ("softbox",))
    first = judge(cup, renderer, surveyed=surveyed, views=views)
    kept = dict(surveyed.masks)

    second = judge(cup, renderer, surveyed=surveyed, views=views)

    assert isinstance(surveyed, Survey)
    assert {k: id(v) for k, v in kept.items()} == {k: id(v) for k, v in surveyed.masks.items()}
    a, b = (j.decals[0].legibility.contrast for j in (first, second))
    np.testing.assert_array_equal(a, b)
