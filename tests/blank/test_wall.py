import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.blank.wall import Wall, build_blank
from mockup.design.blanks import LibraryBlank, ProfileBlank, StraightBlank, TaperedBlank
from mockup.errors import GeometryError, UnknownName
from tests.blank.walls import blanks, frustums, profiles

SHARES = np.linspace(0.0, 1.0, 41)


def built(spec):
    return build_blank(spec, where="design.toml: blank")


def test_a_tapered_wall_measured_upright_has_its_slant_and_area():
    """Frustum 29 → 37 mm over 170 mm: slant √(8² + 170²), area π (29 + 37) · slant."""
    wall = built(TaperedBlank(foot_diameter_mm=58, rim_diameter_mm=74, wall_height_mm=170)).wall

    assert wall.kind == "cone"
    assert wall.length_mm == pytest.approx(170.188, abs=5e-4)
    assert wall.area_mm2 == pytest.approx(35_287.7, abs=0.1)
    assert wall.sin_half_angle == pytest.approx(8 / 170.18813)


def test_a_straight_wall_has_its_area():
    wall = built(StraightBlank(diameter_mm=73, wall_height_mm=150)).wall

    assert wall.kind == "cylinder"
    assert wall.area_mm2 == pytest.approx(34_400.4, abs=0.05)
    assert wall.sin_half_angle == 0


def test_tape_and_calipers_agree():
    by_tape = built(StraightBlank(circumference_mm=73 * np.pi, wall_height_mm=150)).wall

    assert by_tape.radius_max_mm == pytest.approx(36.5)


def test_slant_and_upright_height_agree():
    upright = built(TaperedBlank(foot_diameter_mm=58, rim_diameter_mm=74, wall_height_mm=170))
    slant = built(
        TaperedBlank(
            foot_circumference_mm=58 * np.pi, rim_diameter_mm=74, slant_height_mm=170.18813
        )
    )

    assert slant.wall.height_mm == pytest.approx(upright.wall.height_mm, abs=1e-5)


def sphere_zone(radius_mm, from_rad, to_rad, points):
    """A zone of a sphere between two latitudes, as a profile."""
    latitude = np.linspace(from_rad, to_rad, points)
    z = radius_mm * (np.sin(latitude) - np.sin(from_rad))
    return Wall("profile", tuple(z), tuple(radius_mm * np.cos(latitude)))


def test_a_zone_of_a_sphere_has_the_area_of_its_cylinder():
    """Archimedes: 2πR times its upright height; the meridian is an arc of R times its angle.

    Tolerance: chords of 1.4/60 rad err by θ²/24 = 2e-5; the curve must beat them by far.
    """
    wall = sphere_zone(45.0, -0.8, 0.6, 61)

    assert wall.area_mm2 == pytest.approx(2 * np.pi * 45.0 * wall.height_mm, rel=1e-6)
    assert wall.length_mm == pytest.approx(45.0 * 1.4, rel=1e-6)


def test_a_profile_of_two_points_is_a_cone():
    wall = built(ProfileBlank(points_mm=((0, 29), (170, 37)))).wall

    assert wall.kind == "cone"
    assert wall.length_mm == pytest.approx(170.188, abs=5e-4)


def ups_and_downs(radius_mm):
    """Widening (+) and narrowing (−) in turn, each once."""
    way = np.sign(np.diff(radius_mm))
    way = way[way != 0]
    return list(way[np.append(True, np.diff(way) != 0)]) if len(way) else []


@given(profiles())
def test_a_profile_has_no_wave_that_was_not_measured(wall):
    """It meets every point, and swings past none by more than calipers can tell, 0.3 mm."""
    radius = wall.radius_at(np.linspace(0.0, wall.length_mm, 3001))

    np.testing.assert_allclose(wall.radius_at(wall.height_at(wall.z_mm)), wall.radius_mm, atol=1e-5)
    assert ups_and_downs(radius.round(7)) == ups_and_downs(np.array(wall.radius_mm).round(7))
    assert radius.min() > min(wall.radius_mm) - 0.3
    assert radius.max() < max(wall.radius_mm) + 0.3
    assert radius.min() == pytest.approx(wall.radius_min_mm, abs=1e-3)
    assert radius.max() == pytest.approx(wall.radius_max_mm, abs=1e-3)


def test_a_straight_wall_with_a_shoulder_stays_straight():
    """A spline would ripple along the straight part."""
    wall = Wall("profile", (0.0, 40.0, 80.0, 100.0, 110.0), (36.0, 36.0, 36.0, 30.0, 24.0))

    np.testing.assert_allclose(wall.radius_at(np.linspace(0, 80, 81)), 36.0, atol=1e-9)


def curvature(wall, height):
    """1/mm along the meridian, by central differences of its direction."""
    step = 1e-3
    above, below = (np.arctan2(*wall.slope_at(height + s)) for s in (step, -step))
    return (below - above) / (2 * step)


def test_the_bend_does_not_jump_at_a_measured_point():
    """Else a reflection in a gloss coat would break there. A circle's bend is 1/45 mm."""
    wall = sphere_zone(45.0, -0.8, 0.6, 9)
    measured = wall.height_at(wall.z_mm[1:-1])

    above, below = (curvature(wall, measured + s) for s in (0.01, -0.01))

    np.testing.assert_allclose(above, below, atol=0.01 / 45.0)


def test_the_bend_goes_to_that_of_a_circle_as_points_are_added():
    """Second derivatives of a cubic spline err by O(h²): twice the points, a quarter the error.

    de Boor (1978), ch. V. A third allows for its higher terms.
    """
    errors = []
    for points in (17, 33, 65):
        wall = sphere_zone(45.0, -0.8, 0.6, points)
        height = np.linspace(0.1, wall.length_mm - 0.1, 400)
        errors.append(np.abs(curvature(wall, height) * 45.0 - 1).max())

    assert errors[1] < errors[0] / 3
    assert errors[2] < errors[1] / 3


@given(st.one_of(frustums, profiles()))
def test_height_is_the_way_along_the_wall(wall):
    """The tangent has length 1 and is what differences of (r, z) say."""
    heights = -10 + (wall.length_mm + 20) * SHARES
    step = 1e-4

    rise, along = wall.slope_at(heights)

    np.testing.assert_allclose(np.hypot(rise, along), 1.0, rtol=1e-12)
    np.testing.assert_allclose(
        (wall.z_at(heights + step) - wall.z_at(heights - step)) / (2 * step), along, atol=2e-4
    )
    np.testing.assert_allclose(
        (wall.radius_at(heights + step) - wall.radius_at(heights - step)) / (2 * step),
        rise,
        atol=2e-4,
    )


@given(st.one_of(frustums, profiles()))
def test_upright_height_and_height_along_the_wall_go_there_and_back(wall):
    heights = -10 + (wall.length_mm + 20) * SHARES

    np.testing.assert_allclose(wall.height_at(wall.z_at(heights)), heights, atol=1e-4)


@given(st.one_of(frustums, profiles()))
def test_area_is_circumference_times_length_summed(wall):
    """Pappus: midpoint sum of 2πr dv."""
    n = 20_000
    heights = (np.arange(n) + 0.5) * wall.length_mm / n

    summed = wall.circumference_mm(heights).sum() * wall.length_mm / n

    assert wall.area_mm2 == pytest.approx(float(summed), rel=1e-6)


@given(blanks())
def test_the_foot_gap_ends_on_the_table_and_the_lid_on_top(blank):
    foot_z = blank.wall_foot_z_mm + float(blank.wall.z_at(-blank.foot_gap_mm))

    assert foot_z == pytest.approx(0.0, abs=1e-9)
    assert (blank.total_height_mm > blank.lip_z_mm) == blank.lid


def test_gaps_and_straight_wall_add_up():
    spec = StraightBlank(diameter_mm=73, wall_height_mm=150, foot_gap_mm=6, rim_gap_mm=8)

    assert built(spec).total_height_mm == pytest.approx(6 + 150 + 8)


BAD = {
    "slant shorter than the radii differ": (
        TaperedBlank(foot_diameter_mm=40, rim_diameter_mm=80, slant_height_mm=15),
        "slant_height_mm: a slant of 15.0 mm cannot span",
    ),
    "a disc": (
        TaperedBlank(foot_diameter_mm=40, rim_diameter_mm=140, wall_height_mm=20),
        "nearly a disc",
    ),
    "hair-thin": (
        ProfileBlank(points_mm=((0, 30), (50, 0.4), (100, 30))),
        "points_mm[1]: a radius of 0.4 mm",
    ),
    "negative radius": (
        ProfileBlank(points_mm=((0, 30), (50, -20), (100, 30))),
        "points_mm[1]: a radius of -20 mm",
    ),
    "huge": (ProfileBlank(points_mm=((0, 3000), (50, 3100), (90, 3000))), "a radius of 3000 mm"),
    "not from 0": (ProfileBlank(points_mm=((6, 30), (50, 35))), "the first height is 6 mm"),
    "turning back": (
        ProfileBlank(points_mm=((0, 30), (50, 35), (40, 30))),
        "points_mm[2]: a height of 40 mm follows one of 50 mm",
    ),
    "a ledge": (
        ProfileBlank(points_mm=((0, 30), (50, 31), (50.5, 45), (100, 46))),
        "nearly flat near a height of 50",
    ),
    "too low": (ProfileBlank(points_mm=((0, 30), (1, 30), (2, 30))), "the wall is 2 mm high"),
    "a point below": (
        TaperedBlank(foot_diameter_mm=20, rim_diameter_mm=90, wall_height_mm=100, foot_gap_mm=20),
        "foot_gap_mm: going on for 20 mm the steel would run to a point",
    ),
    "a point above": (
        TaperedBlank(foot_diameter_mm=90, rim_diameter_mm=20, wall_height_mm=100, rim_gap_mm=20),
        "rim_gap_mm: going on for 20 mm the steel would run to a point",
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_measures_that_make_no_cup_are_refused_in_one_sentence(case):
    spec, words = BAD[case]

    with pytest.raises(GeometryError) as caught:
        built(spec)

    assert words in str(caught.value)
    assert str(caught.value).startswith("design.toml: blank")
    assert "\n" not in str(caught.value)


def test_an_unknown_library_blank_is_refused_with_a_near_name():
    with pytest.raises(UnknownName, match="slim straight 20 fl oz"):
        built(LibraryBlank(name="slim strait 20 fl oz"))


@pytest.mark.parametrize(
    ("kind", "z_mm", "radius_mm"),
    [
        ("cylinder", (0.0, 100.0), (30.0, 31.0)),
        ("cone", (0.0, 50.0, 100.0), (30.0, 31.0, 32.0)),
        ("profile", (0.0,), (30.0,)),
        ("profile", (0.0, 10.0, 10.0), (30.0, 31.0, 32.0)),
        ("profile", (0.0, 10.0), (30.0, 31.0, 32.0)),
        ("cone", (0.0, 100.0), (30.0, 0.0)),
    ],
)
def test_a_wall_cannot_be_wrong(kind, z_mm, radius_mm):
    with pytest.raises(GeometryError, match=f"make no {kind}"):
        Wall(kind, z_mm, radius_mm)


measures = st.floats(10.5, 399.0)


@given(measures, measures, st.floats(5.5, 599.0), st.floats(0.0, 80.0), st.floats(0.0, 80.0))
def test_any_measures_make_a_blank_or_a_plain_refusal(foot, rim, height, below, above):
    spec = TaperedBlank(
        foot_diameter_mm=foot,
        rim_diameter_mm=rim,
        slant_height_mm=height,
        foot_gap_mm=below,
        rim_gap_mm=above,
    )
    try:
        blank = built(spec)
    except GeometryError:
        return

    assert blank.wall.length_mm == pytest.approx(height)
    assert blank.wall.radius_at(-below) > 0
    assert blank.wall.radius_at(height + above) > 0
