"""Findings about cutting: each fires on a piece made for it and keeps silent on a sound one."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, affinity

from mockup.checks.cutting import CutLimits, check_cutting
from mockup.checks.cutting_width import narrowest
from mockup.outputs.pieces import pieces
from tests.outputs.cut.cups import STRAIGHT, TAPERED, built, decal, design_of, wrap


def drawing(body, box="0 0 40 30"):
    text = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}">{body}</svg>'
    return text.encode()


def found_on(*layers, blank=STRAIGHT, limits=None, **drawings):
    design = design_of(*layers, blank=blank, **drawings)
    cut = pieces(design, built(blank))
    return check_cutting(design, built(blank).wall, cut, *([limits] if limits else []))


def rules(findings):
    return [finding.rule for finding in findings]


def shape_of(*parts):
    return MultiPolygon(list(shapely.get_parts(shapely.union_all(parts))))


def test_a_sound_disc_has_nothing_to_tell():
    assert found_on(decal()) == []


@pytest.mark.parametrize("width", [0.3, 0.6, 1.0, 1.3])
def test_a_bar_is_measured_across(width):
    """A bar 30 mm long: its stroke is its width, to the step of 0.05 mm."""
    stroke, gap = narrowest(shape_of(shapely.box(0, 0, 30, width)), 1.5)

    assert stroke == pytest.approx(width, abs=0.051)
    assert gap is None


@pytest.mark.parametrize("turn_deg", [0.0, 33.0])
@pytest.mark.parametrize("width", [0.4, 1.1])
def test_a_slot_between_two_bars_is_a_gap(width, turn_deg):
    bars = shape_of(shapely.box(0, 0, 20, 4), shapely.box(0, 4 + width, 20, 8 + width))
    stroke, gap = narrowest(affinity.rotate(bars, turn_deg), 1.5)

    assert stroke is None
    assert gap == pytest.approx(width, abs=0.051)


def test_a_slot_sawn_into_a_block_is_a_gap_and_its_bridge_a_stroke():
    """An I of two blocks on a bridge 0.6 mm wide; a comb's slot 0.9 mm wide."""
    bridge = shape_of(
        shapely.box(0, 0, 9, 9), shapely.box(9, 4, 15, 4.6), shapely.box(15, 0, 24, 9)
    )
    comb = MultiPolygon([shapely.box(0, 0, 20, 12) - shapely.box(9, 4, 9.9, 12)])

    assert narrowest(bridge, 1.5)[0] == pytest.approx(0.6, abs=0.051)
    assert narrowest(comb, 1.5) == (None, pytest.approx(0.9, abs=0.051))


def test_a_ring_too_thin_and_a_counter_too_small():
    ring = shapely.Point(0, 0).buffer(8, quad_segs=32) - shapely.Point(0, 0).buffer(
        7.3, quad_segs=32
    )
    eye = shapely.Point(0, 0).buffer(8, quad_segs=32) - shapely.Point(0, 0).buffer(
        0.5, quad_segs=32
    )

    assert narrowest(shape_of(ring), 1.5) == (pytest.approx(0.7, abs=0.06), None)
    assert narrowest(shape_of(eye), 1.5) == (None, pytest.approx(1.0, abs=0.06))


@given(st.floats(40, 140), st.floats(8, 30), st.floats(0, 360))
@settings(max_examples=25, deadline=None)
def test_corners_that_a_blade_cuts_well_are_not_called_thin(apex_deg, side_mm, turn_deg):
    """Triangles with no corner below 35°: cut shapes are full of them."""
    if min(apex_deg, (180 - apex_deg) / 2) < 35:
        apex_deg = 60.0
    half = np.radians(apex_deg / 2)
    foot = side_mm * np.sin(half), side_mm * np.cos(half)
    triangle = affinity.rotate(shapely.Polygon([(0, 0), (-foot[0], foot[1]), foot]), turn_deg)

    assert narrowest(MultiPolygon([triangle]), 0.8) == (None, None)


def test_limits_go_by_material():
    """1.1 mm passes in vinyl (0.8) and not in foil's adhesive (1.5)."""
    bar = drawing('<rect x="1" y="1" width="30" height="1.1"/>', "0 0 32 4")
    keys = {"svg": "assets/bar2.svg", "width_mm": 30.0}

    assert rules(found_on(decal(**keys), bar2=bar)) == ["thin stroke"]
    assert found_on(decal(swatch="ivory", **keys), bar2=bar) == []
    (finding,) = found_on(decal(**keys), bar2=bar)
    assert finding.measured == pytest.approx(1.1, abs=0.051)
    assert (finding.limit, finding.unit, finding.severity) == (1.5, "mm", "warn")
    assert str(finding).startswith("design.toml: layers[1]: ")


def test_the_makers_own_limits_stand_above_the_typical_ones():
    bar = drawing('<rect x="1" y="1" width="30" height="1.1"/>', "0 0 32 4")
    keys = {"svg": "assets/bar2.svg", "width_mm": 30.0}

    assert found_on(decal(**keys), limits=CutLimits(foil_mm=1.0), bar2=bar) == []


def test_an_island_in_a_hole_and_a_speck_are_told():
    target = drawing(
        '<path fill-rule="evenodd" d="M2 2H30V28H2zM6 6V24H26V6z"/>'
        '<rect x="11" y="11" width="9" height="8"/><circle cx="36" cy="15" r=".6"/>'
    )
    found = found_on(decal(svg="assets/target.svg", width_mm=34.0), target=target)

    assert {"island", "speck"} <= set(rules(found))
    island = next(f for f in found if f.rule == "island")
    assert (island.measured, island.severity) == (1.0, "note")


@pytest.mark.parametrize(
    ("height_mm", "told"), [(11.5, ["near the foot"]), (138.6, ["near the rim"]), (75.0, [])]
)
def test_a_piece_near_an_end_of_the_wall_is_told(height_mm, told):
    """A disc of 20 mm on a wall of 150 mm needs 12 mm below its middle, and above."""
    found = found_on(decal(place={"height_mm": height_mm}))

    assert rules(found) == told
    if told:
        room = min(height_mm, 150 - height_mm) - 10
        assert found[0].measured == pytest.approx(room, abs=0.01)


def test_a_piece_across_the_seam_of_a_wrap_below_it_is_told():
    """At the back only, at the wrap's heights only, and only if the wrap lies below."""
    sheet = wrap(fit="tile", width_mm=40.0, from_mm=40.0, to_mm=110.0)
    back, front = {"height_mm": 75.0, "angle_deg": 178.0}, {"height_mm": 75.0}
    above = {"height_mm": 130.0, "angle_deg": 180.0}

    assert rules(found_on(sheet, decal(place=back))) == ["across the seam"]
    assert found_on(sheet, decal(place=front)) == []
    assert found_on(sheet, decal(place=above)) == []
    assert found_on(decal(place=back), sheet) == []
    assert found_on(decal(place=back)) == []
    moved = sheet | {"seam_deg": 90.0}
    assert found_on(moved, decal(place=back)) == []


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
def test_small_letters_are_told_however_their_size_was_given(blank):
    by_height = decal(swatch="ivory", text="HI", letter_height_mm=4.0)
    by_size = decal(swatch="ivory", text="HI", height_mm=4.0)
    large = decal(swatch="ivory", text="HI", letter_height_mm=9.0)

    for layer in (by_height, by_size):
        found = [f for f in found_on(layer, blank=blank) if f.rule == "small letters"]
        assert [f.measured for f in found] == [pytest.approx(4.0, abs=0.01)]
    assert "small letters" not in rules(found_on(large, blank=blank))


def test_a_piece_larger_than_the_glitter_patch_behind_it_is_told():
    """A disc of radius 10 on a patch of radius 6 that fades over 4: half gone at 8 mm."""

    def glitter(radius_mm, angle_deg=0.0):
        patch = {"shape": "patch", "height_mm": 75.0, "angle_deg": angle_deg}
        patch |= {"radius_mm": radius_mm, "feather_mm": 4.0, "coverage": 0.9}
        return {
            "kind": "glitter",
            "cut_mm": 0.4,
            "mix": [{"swatch": "copper"}],
            "coverage": [patch],
        }

    (finding,) = found_on(glitter(6.0), decal())
    assert finding.rule == "larger than its patch"
    assert (finding.measured, finding.limit) == (pytest.approx(10.0, abs=0.02), 8.0)
    assert found_on(glitter(12.0), decal()) == []
    assert found_on(glitter(6.0, angle_deg=120.0), decal()) == []


def test_a_wrap_on_a_curved_wall_is_told_to_give():
    """Radii 35, 42 and 35: the best cone is a cylinder between them, so it gives by 8 to 11 %."""
    bulging = {"shape": "profile", "points_mm": [[0, 35], [50, 42], [100, 35]]}
    sheet = wrap(fit="tile", width_mm=40.0)

    (finding,) = found_on(sheet, blank=bulging)
    assert finding.rule == "curved wall"
    assert 8 < finding.measured < 11
    assert found_on(sheet, blank=TAPERED) == []
