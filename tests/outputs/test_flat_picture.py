"""The flat shows the stack at true size, in the stack's order."""

import numpy as np
import pytest

from mockup.blank.wall import Wall
from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_linear
from mockup.errors import OutputError
from mockup.outputs.flat_picture import FlatColours, draw_flat
from mockup.skin.skin import Clear

STRAIGHT = Wall("cylinder", (0.0, 185.0), (36.5, 36.5))
TAPERED = Wall("cone", (0.0, 160.0), (35.0, 44.0))
NARROWING = Wall("cone", (0.0, 160.0), (44.0, 35.0))
CHIPS = {"base": (13, 35, 72), "foil": (216, 140, 104), "flake": (255, 255, 255)}


def band(low_mm, high_mm):
    return lambda height, turn: np.maximum(low_mm - height, height - high_mm) + 0 * turn


def area_mm2(flat, rgb8):
    each = flat.width_mm * flat.height_mm / (flat.rgb8_srgb.shape[0] * flat.rgb8_srgb.shape[1])
    return (np.abs(flat.rgb8_srgb.astype(int) - rgb8).max(axis=-1) <= 2).sum() * each


def test_a_straight_wall_is_once_round_wide(make_skin):
    """Width = π × diameter."""
    flat = draw_flat(make_skin(STRAIGHT), STRAIGHT, FlatColours(CHIPS), px_per_mm=2.0)

    assert (flat.width_mm, flat.height_mm) == pytest.approx((np.pi * 73.0, 185.0), abs=1e-3)
    assert flat.rgb8_srgb.shape == (370, 459, 3)
    assert (flat.rgb8_srgb == CHIPS["base"]).all()
    assert flat.front_mm[:, 0] == pytest.approx(np.pi * 36.5)
    assert flat.right_seam_mm[:, 0] - flat.left_seam_mm[:, 0] == pytest.approx(np.pi * 73.0)


def test_what_lies_under_a_clear_film_is_seen_through_it(make_skin):
    """Its own colour and the share that it leaves of the base coat's, in linear light."""
    left = np.array([0.5, 0.25, 0.0])
    skin = make_skin(STRAIGHT, edge_mm=band(50, 90))
    flat = draw_flat(skin, STRAIGHT, FlatColours(CHIPS, {"foil": left}), px_per_mm=1.0)

    foil, base = (linear_from_rgb8(np.array(CHIPS[role], np.uint8)) for role in ("foil", "base"))
    expected = rgb8_from_linear(foil + left * base)
    assert np.abs(flat.rgb8_srgb[115, 100].astype(int) - expected).max() <= 1


@pytest.mark.parametrize("wall", [STRAIGHT, TAPERED, NARROWING], ids=["straight", "up", "down"])
def test_areas_on_the_flat_are_those_on_the_cup(make_skin, wall):
    """The development is an isometry: a band of foil has its lateral area, the wall all of it.

    A pixel either way at each edge: 1.5 % of the band and 1 % of the wall at 3 pixels per mm.
    """
    flat = draw_flat(make_skin(wall, edge_mm=band(50, 90)), wall, FlatColours(CHIPS), px_per_mm=3.0)

    foil = 2 * np.pi * float(wall.radius_at(70.0)) * 40.0
    assert area_mm2(flat, CHIPS["foil"]) == pytest.approx(foil, rel=0.015)
    bare = wall.area_mm2 - foil
    assert area_mm2(flat, CHIPS["base"]) == pytest.approx(bare, rel=0.01)


def test_beside_a_tapered_wall_the_paper_is_white(make_skin):
    flat = draw_flat(make_skin(TAPERED), TAPERED, FlatColours(CHIPS), px_per_mm=1.0)

    assert (flat.rgb8_srgb[-1, [0, -1]] == 255).all()
    assert (flat.rgb8_srgb[-1, flat.rgb8_srgb.shape[1] // 2] == 255).all(), "below the foot's arc"
    assert flat.outline_mm.min(axis=0) == pytest.approx([0, 0])
    assert flat.outline_mm.max(axis=0) == pytest.approx([flat.width_mm, flat.height_mm])


def test_half_covered_black_with_white_flakes_gives_half_the_light(make_skin):
    """Coverage mixes light, not codes: linear .5 is sRGB code 188 (IEC 61966-2-1)."""
    chips = CHIPS | {"base": (0, 0, 0)}
    flat = draw_flat(make_skin(STRAIGHT, coverage=0.5), STRAIGHT, FlatColours(chips), px_per_mm=1.0)

    assert flat.rgb8_srgb.astype(int) == pytest.approx(188, abs=1)


@pytest.mark.parametrize(("sheet_order", "shown"), [(2, "foil"), (0, "flake")])
def test_what_lies_further_out_hides_what_lies_below(make_skin, sheet_order, shown):
    skin = make_skin(STRAIGHT, edge_mm=band(0, 185), coverage=1.0, sheet_order=sheet_order)
    flat = draw_flat(skin, STRAIGHT, FlatColours(CHIPS), px_per_mm=1.0)

    assert (flat.rgb8_srgb[90, 100] == CHIPS[shown]).all()


def test_a_tinted_coat_filters_the_light_twice(make_skin):
    """Beer and Lambert: .5 mm of a tint, in and out, takes what 1 mm takes in one pass."""
    chips = CHIPS | {"base": (255, 255, 255), "amber": (230, 160, 90)}
    skin = make_skin(STRAIGHT, clear=Clear(0.5, "gloss", tints=(("amber", 0.5),)))
    flat = draw_flat(skin, STRAIGHT, FlatColours(chips), px_per_mm=1.0)

    assert flat.rgb8_srgb[90, 100].astype(int) == pytest.approx(chips["amber"], abs=1)


def test_a_role_without_a_colour_is_named(make_skin):
    skin = make_skin(STRAIGHT, coverage=0.5)

    with pytest.raises(OutputError, match="'flake' has no colour"):
        draw_flat(skin, STRAIGHT, FlatColours({"base": (0, 0, 0)}))


def test_a_picture_beyond_reason_is_refused(make_skin):
    with pytest.raises(OutputError, match="million pixels"):
        draw_flat(make_skin(STRAIGHT), STRAIGHT, FlatColours(CHIPS), px_per_mm=100.0)
