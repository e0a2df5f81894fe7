"""What is cut fits the wall as the picture shows it."""

import numpy as np
import pytest
import shapely
from shapely import affinity

from mockup.blank.flat import flat_outline, sector, wall_from_sheet
from mockup.material.channels import MAPS
from mockup.outputs.pieces import pieces, sector_outline
from mockup.skin.compile import compile_skin
from tests.outputs.cut.cups import STRAIGHT, TAPERED, built, decal, design_of, wrap


def pieces_of(*layers, blank=STRAIGHT):
    return pieces(design_of(*layers, blank=blank), built(blank))


def test_a_straight_wall_unrolls_to_the_rectangle_that_a_tape_measures():
    """Ø 73.0 mm, 150 mm: π·73 = 229.336 mm wide, 34,400.4 mm²."""
    wall = built(STRAIGHT).wall

    outline = sector_outline(wall, 0.0, wall.length_mm, -np.pi, np.pi)

    west, south, east, north = outline.bounds
    assert (east - west, north - south) == pytest.approx((229.336, 150.0), abs=5e-4)
    assert outline.area == pytest.approx(34_400.4, abs=0.05)


def test_a_tapered_wall_unrolls_to_the_sector_that_a_compass_draws():
    """Radii 29 → 37 mm over 170 mm upright, worked out by hand.

    Slant √(170² + 8²) = 170.188; outer radius 37·slant/8 = 787.12; angle 360°·8/slant = 16.922°;
    area π(29 + 37)·slant = 35,287.7 mm².
    """
    wall = built(TAPERED).wall
    unrolled = sector(wall)

    assert unrolled.slant_mm == pytest.approx(170.188, abs=5e-4)
    assert unrolled.outer_radius_mm == pytest.approx(787.12, abs=5e-3)
    assert unrolled.angle_deg == pytest.approx(16.922, abs=5e-4)
    outline = sector_outline(wall, 0.0, wall.length_mm, -np.pi, np.pi)
    assert outline.area == pytest.approx(35_287.7, abs=0.1)
    assert shapely.Polygon(flat_outline(wall, 4000)).area == pytest.approx(35_287.7, abs=0.1)


def test_a_wrap_is_cut_as_wide_as_the_cup_and_its_overlap():
    (sheet,) = pieces_of(wrap(fit="tile", width_mm=40, overlap_mm=3.0, from_mm=10, to_mm=60))

    west, south, east, north = sheet.outline.bounds
    assert (east - west, south, north) == pytest.approx((np.pi * 73 + 3, 10, 60), abs=1e-3)
    assert (sheet.kind, sheet.material, sheet.role) == ("wrap", "film", "assets/wave.svg")


def test_a_placed_wrap_is_trimmed_where_it_passes_the_rim():
    place = {"height_mm": 140.0, "angle_deg": 30.0}
    (sheet,) = pieces_of(wrap(fit="placed", width_mm=50, height_mm=40, place=place))

    assert sheet.outline.bounds == pytest.approx((-25, -20, 25, 10), abs=1e-6)
    assert sheet.turn_deg == pytest.approx(30.0)


def test_the_sheet_begins_at_its_own_seam():
    """Its middle lies opposite the seam."""
    (sheet,) = pieces_of(wrap(fit="tile", width_mm=40, seam_deg=90.0))

    assert sheet.turn_deg == pytest.approx(-90.0)


def test_backings_come_first_and_foil_is_cut_from_behind():
    under, over = pieces_of(decal(backing=[{"swatch": "ivory", "outset_mm": 2.0}]))

    assert [(p.role, p.material, p.mirrored) for p in (under, over)] == [
        ("ivory", "vinyl", False),
        ("copper", "foil", True),
    ]
    assert (under.order, over.order) == (0, 1)
    assert under.area_mm2 == pytest.approx(np.pi * 12**2, rel=2e-3)
    assert over.area_mm2 == pytest.approx(np.pi * 10**2, rel=2e-3)


@pytest.mark.parametrize("rotation_deg", [0.0, 25.0])
@pytest.mark.parametrize("lie", ["level", "straight"])
def test_on_a_cylinder_both_ways_to_lie_are_one(lie, rotation_deg):
    """Nothing is bent: the cut is the drawing, turned."""
    place = {"height_mm": 75.0, "rotation_deg": rotation_deg}
    (piece,) = pieces_of(decal(svg="assets/bar.svg", width_mm=60.0, place=place, lie=lie))

    bar = affinity.rotate(shapely.box(-30, -1.5, 30, 1.5), rotation_deg, origin=(0, 0))
    assert shapely.hausdorff_distance(piece.outline, bar) < 1e-6


def test_a_level_bar_is_cut_bent_and_lies_at_one_height():
    """A bar of 100 mm on a cone: its edges on the wall keep their height within 0.001 mm."""
    wall = built(TAPERED).wall
    (piece,) = pieces_of(decal(svg="assets/bar.svg", width_mm=100.0), blank=TAPERED)

    edge = shapely.get_coordinates(shapely.segmentize(piece.outline, 0.5))
    turn, height = wall_from_sheet(wall, 0.0, 75.0, edge)

    inside = np.abs(turn) < np.abs(turn).max() - 1e-4  # all but the bar's two ends
    assert np.abs(np.abs(height[inside] - 75.0) - 2.5).max() < 2e-3
    radius = float(wall.radius_at(75.0))
    assert np.ptp(turn) * radius == pytest.approx(100.0, abs=1e-3)


def test_a_straight_bar_is_cut_as_drawn_and_sags_on_the_cone():
    """Its ends lie where a ruler on the flat puts them: ρ cos φ is kept, ρ the apex distance."""
    wall = built(TAPERED).wall
    keys = {"svg": "assets/bar.svg", "width_mm": 100.0, "lie": "straight"}
    (piece,) = pieces_of(decal(**keys), blank=TAPERED)

    assert piece.outline.bounds == pytest.approx((-50, -2.5, 50, 2.5), abs=1e-9)
    _, height = wall_from_sheet(wall, 0.0, 75.0, np.array([50.0, 0.0]))
    apex_mm = float(wall.radius_at(75.0)) / wall.sin_half_angle
    assert height - 75.0 == pytest.approx(np.hypot(apex_mm, 50.0) - apex_mm, abs=1e-6)


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
@pytest.mark.parametrize("lie", ["level", "straight"])
@pytest.mark.parametrize("rotation_deg", [0.0, 70.0])
def test_the_cut_laid_on_the_cup_is_where_the_map_shows_it(blank, lie, rotation_deg):
    """Points of the cut edge, rolled on to the wall, lie on the map's edge.

    The map stores distance in steps of 0.01 mm at texels of 0.2 mm; within a texel of a corner its
    bilinear distance is rounded, and a tenth of these letters' edge lies there.
    """
    place = {"height_mm": 80.0, "angle_deg": 20.0, "rotation_deg": rotation_deg}
    keys = {"text": "Seat 7", "letter_height_mm": 14.0, "place": place, "lie": lie}
    design, blank_built = design_of(decal(**keys), blank=blank), built(blank)
    skin = compile_skin(design, blank_built, texel_mm=0.2)
    (piece,) = pieces(design, blank_built)

    edge = shapely.get_coordinates(shapely.segmentize(piece.outline, 0.7))
    turn, height = wall_from_sheet(blank_built.wall, np.radians(20.0), 80.0, edge)

    grid = skin.grid
    rows = height / grid.row_mm - 0.5
    columns = (turn + np.pi) * grid.columns / (2 * np.pi) - 0.5
    r, c = np.floor(rows).astype(int), np.floor(columns).astype(int)
    mm = MAPS["edge_distance"].decode(skin.edge_distance[..., 0]).astype(float)
    up, right = rows - r, columns - c
    found = (mm[r, c] * (1 - right) + mm[r, c + 1] * right) * (1 - up) + (
        mm[r + 1, c] * (1 - right) + mm[r + 1, c + 1] * right
    ) * up
    assert np.percentile(np.abs(found), 85) < 0.02
    assert np.abs(found).max() < 0.14


def test_a_word_on_the_cone_stands_on_a_level_line():
    """In the compiled maps the feet of flat-footed letters lie within 0.3 mm of one height."""
    keys = {"text": "HIH HIH HIH HIH", "letter_height_mm": 14.0}
    design, blank = design_of(decal(**keys), blank=TAPERED), built(TAPERED)
    skin = compile_skin(design, blank, texel_mm=0.15)
    inside = MAPS["edge_distance"].decode(skin.edge_distance[..., 0]) < 0

    columns = np.flatnonzero(inside.any(axis=0))
    lowest = inside[:, columns].argmax(axis=0) * skin.grid.row_mm
    feet = lowest[lowest < np.median(lowest) + 3.0]

    assert len(columns) * skin.grid.row_mm > 80  # a long word: a straight cut would sag by 1.3 mm
    assert np.ptp(feet) <= 0.3
