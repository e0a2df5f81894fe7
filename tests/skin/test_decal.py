"""Cut shapes on the wall: their place, size and sense, and the plain word when they do not fit."""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.errors import DesignError, GeometryError
from mockup.skin.decal import decal_outline, decal_pieces
from tests.skin.cups import (
    BASE,
    STRAIGHT,
    TAPERED,
    area_mm2,
    built_of,
    cup,
    design_of,
    edges_mm,
    middle,
    seen_from_outside,
    wall_of,
)

FINE_MM = 0.1


def decal(svg="assets/disc.svg", **keys):
    keys = {"swatch": "foil", "width_mm": 10.0, "place": {"height_mm": 30.0}} | keys
    return {"kind": "decal"} | ({"svg": svg} if "text" not in keys else {}) | keys


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
@pytest.mark.parametrize("angle_deg", [0.0, -75.0, 178.0])
def test_a_disc_keeps_its_area_and_its_place(blank, angle_deg):
    """The sheet is laid without stretch: 0.2 %, at the front as across the back."""
    place = {"height_mm": 28.0, "angle_deg": angle_deg}
    skin = cup([BASE, decal(width_mm=16.0, place=place)], blank, FINE_MM)

    turn, height = middle(skin, wall_of(blank))

    assert area_mm2(skin, wall_of(blank)) == pytest.approx(np.pi * 64, rel=2e-3)
    assert np.degrees(turn) == pytest.approx(angle_deg, abs=0.05)
    assert height == pytest.approx(28.0, abs=0.15)  # the taper moves the middle by 0.1 mm


def test_a_shape_on_a_profile_keeps_its_area_at_its_place():
    """On a bulging cup the sheet fits exactly only at its middle, so a small one hardly gives."""
    bulging = {"shape": "profile", "points_mm": [[0, 20], [30, 26], [60, 21]]}
    skin = cup([BASE, decal(width_mm=6.0)], bulging, FINE_MM)

    assert area_mm2(skin, wall_of(bulging)) == pytest.approx(np.pi * 9, rel=1e-2)


@pytest.mark.parametrize("angle_deg", [0.0, 130.0])
def test_a_letter_reads_the_right_way_from_outside(angle_deg):
    """An F, seen by an eye before it: its stem on the left, its bars on the right and on top."""
    place = {"height_mm": 30.0, "angle_deg": angle_deg}
    skin = cup([BASE, decal("assets/f.svg", width_mm=18.0, place=place)])

    seen = seen_from_outside(skin, built_of(STRAIGHT), 0, angle_deg)

    columns = np.flatnonzero(seen.any(axis=0))
    rows = np.flatnonzero(seen.any(axis=1))
    stem, tip = seen[:, columns[3]], seen[:, columns[-4]]
    assert stem.sum() > 0.8 * len(rows)  # the stem runs all the way down on the left
    assert tip.sum() < 0.35 * len(rows)  # on the right there is the end of the top bar only
    assert np.flatnonzero(tip).mean() < rows[len(rows) // 4]


def test_rotation_is_anticlockwise_as_seen_from_outside():
    """An F turned by 90° lies on its back: the stem's foot points right, its bars up."""
    place = {"height_mm": 30.0, "rotation_deg": 90.0}
    skin = cup([BASE, decal("assets/f.svg", width_mm=9.0, place=place)])

    seen = seen_from_outside(skin, built_of(STRAIGHT), 0, 0.0)

    rows, columns = np.flatnonzero(seen.any(axis=1)), np.flatnonzero(seen.any(axis=0))
    assert seen[rows[-4]].sum() > 0.8 * len(columns)  # the stem is the lowest part
    assert np.flatnonzero(seen[rows[3]]).mean() < columns[len(columns) // 4]  # top bar at the left


def test_turning_the_place_rolls_the_map():
    """A decal has no seam: moved by whole texels, its map is moved and else the same."""
    columns = cup([BASE]).grid.columns
    for shift in (37, columns // 2):
        turned = {"height_mm": 30.0, "angle_deg": shift * 360 / columns, "rotation_deg": 15.0}
        front = {"height_mm": 30.0, "rotation_deg": 15.0}
        first = cup([BASE, decal("assets/f.svg", place=front)]).edge_distance[..., 0]
        second = cup([BASE, decal("assets/f.svg", place=turned)]).edge_distance[..., 0]

        difference = np.roll(first, shift, axis=1).astype(int) - second

        assert np.abs(difference).max() <= 1  # rounding to 0.01 mm


@given(st.floats(-180, 180), st.floats(-180, 180), st.floats(14.0, 46.0))
@settings(max_examples=10, deadline=None)
def test_distances_grow_no_faster_than_the_way(angle_deg, rotation_deg, height_mm):
    """From texel to texel, round the back too, the distance changes by a texel at most."""
    place = {"height_mm": height_mm, "angle_deg": angle_deg, "rotation_deg": rotation_deg}
    skin = cup([BASE, decal("assets/f.svg", width_mm=8.0, place=place)], TAPERED)
    edges = edges_mm(skin)

    across = np.abs(edges - np.roll(edges, 1, axis=1)).max()
    up = np.abs(np.diff(edges, axis=0)).max()

    assert max(across, up) <= skin.grid.row_mm * 1.02 + 0.011


def test_a_backing_is_the_shape_grown_all_round():
    """Steiner (1840): a convex shape of area A and edge P grows by P r + π r²."""
    layer = decal("assets/square.svg", width_mm=12.0, backing=[{"swatch": "w", "outset_mm": 2.0}])
    skin = cup([BASE, layer], STRAIGHT, FINE_MM)

    assert [sheet.role for sheet in skin.sheets] == ["w", "foil"]
    assert skin.sheets[0].order < skin.sheets[1].order
    backing = area_mm2(skin, wall_of(STRAIGHT), 0)
    assert backing == pytest.approx(144 + 48 * 2 + np.pi * 4, rel=2e-3)
    assert area_mm2(skin, wall_of(STRAIGHT), 1) == pytest.approx(144, rel=2e-3)


def test_a_backing_is_measured_from_the_shape_as_cut():
    keys = {"outset_mm": 0.5, "backing": [{"swatch": "w", "outset_mm": 1.0}]}
    layer = design_of([decal("assets/square.svg", **keys)]).document.layers[0]

    under, shape = decal_pieces(design_of([BASE]), layer, 0)

    assert np.ptp(np.reshape(shape.shape.bounds, (2, 2)), axis=0) == pytest.approx([11, 11])
    assert np.ptp(np.reshape(under.shape.bounds, (2, 2)), axis=0) == pytest.approx([13, 13])


def test_an_inset_that_leaves_nothing_is_told():
    layer = decal(backing=[{"swatch": "w", "outset_mm": -6.0}])
    with pytest.raises(DesignError, match=r"layers\[1\]\.backing\[0\].*inset of 6 mm leaves no"):
        cup([BASE, layer])


@pytest.mark.parametrize("size", [{"width_mm": 31.0}, {"height_mm": 9.0}])
@pytest.mark.parametrize("spacing_mm", [0.0, 1.5])
def test_text_comes_out_in_the_size_that_was_asked_for(size, spacing_mm):
    keys = {"width_mm": None, "text": "Four", "letter_spacing_mm": spacing_mm} | size
    design = design_of([decal(**keys)])

    west, south, east, north = decal_outline(design, design.document.layers[0], 0).bounds

    measured = east - west if "width_mm" in size else north - south
    assert measured == pytest.approx(next(iter(size.values())), abs=1e-6)


def test_letter_spacing_stays_in_mm_when_text_is_sized_by_its_width():
    """Opening a word of two letters by 3 mm at one letter height, either way of asking."""
    apart = {"text": "II", "letter_spacing_mm": 3.0, "width_mm": None}
    design = design_of([decal(**apart, letter_height_mm=10.0)])
    whole = decal_outline(design, design.document.layers[0], 0)
    width = whole.bounds[2] - whole.bounds[0]

    again = design_of([decal(**(apart | {"width_mm": width}))])
    same = decal_outline(again, again.document.layers[0], 0)

    assert same.bounds == pytest.approx(whole.bounds, abs=0.05)


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
@pytest.mark.parametrize(("height_mm", "edge"), [(3.0, "foot"), (57.5, "rim")])
@pytest.mark.parametrize("svg", ["assets/disc.svg", "assets/f.svg"])
def test_a_decal_beyond_the_wall_is_told_where_it_would_fit(blank, height_mm, edge, svg):
    """The height in the remedy works, and 0.3 mm further out does not."""
    layer = decal(svg, width_mm=12.0, place={"height_mm": height_mm, "rotation_deg": 10.0})
    with pytest.raises(GeometryError) as told:
        cup([BASE, layer], blank)

    assert f"beyond the wall's {edge}" in str(told.value)
    assert told.value.where == "design.toml: layers[1].place"
    fits = float(re.search(r"height_mm to ([\d.]+)", told.value.remedy)[1])
    outward = -0.3 if edge == "foot" else 0.3
    cup([BASE, layer | {"place": {"height_mm": fits, "rotation_deg": 10.0}}], blank)
    still = {"height_mm": fits + outward, "rotation_deg": 10.0}
    with pytest.raises(GeometryError):
        cup([BASE, layer | {"place": still}], blank)


def test_the_overhang_is_told_in_mm():
    """A disc of 5 mm radius, 3 mm above the foot, hangs over by 2 mm."""
    with pytest.raises(GeometryError, match=r"reaches 2\.0 mm beyond the wall's foot"):
        cup([BASE, decal(place={"height_mm": 3.0})])


def test_a_backing_must_fit_too():
    layer = decal(place={"height_mm": 6.0}, backing=[{"swatch": "w", "outset_mm": 3.0}])
    with pytest.raises(GeometryError, match=r"reaches 2\.0 mm beyond"):
        cup([BASE, layer])


def test_what_is_taller_than_the_wall_is_told_so():
    with pytest.raises(GeometryError, match=r"too tall for a wall of 60\.0 mm"):
        cup([BASE, decal("assets/square.svg", width_mm=70.0)])


def test_a_decal_wider_than_the_way_round_is_refused():
    """126 mm round: 120 mm of it fit, 130 mm do not."""
    place = {"height_mm": 30.0, "angle_deg": 60.0}
    cup([decal("assets/bar.svg", width_mm=120.0, place=place)])
    with pytest.raises(GeometryError, match=r"130\.0 mm across.*overlap itself.*125\.7 mm round"):
        cup([decal("assets/bar.svg", width_mm=130.0, place=place)])
