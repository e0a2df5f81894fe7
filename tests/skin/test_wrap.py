"""Sheet artwork on the wall: its size, its seam, its limits, and what resin does to it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.errors import DesignError, GeometryError
from mockup.material.channels import MAPS
from mockup.skin.relief import SHEET_MM, seam_slope, weave_slopes
from mockup.skin.soak import RESIN_IOR, blotches, soaked
from tests.skin.cups import BASE, STRAIGHT, TAPERED, cup, png, texel_areas_mm2, wall_of

AROUND_MM = 40 * np.pi
COAT = {"kind": "coat", "thickness_mm": 0.5}


def wrap(**keys):
    return {"kind": "wrap", "artwork": "assets/art.png"} | keys


def halves(left=(200, 30, 30), right=(30, 30, 200), width=400, height=200):
    """Left half one colour, right half another."""
    art = np.empty((height, width, 3), np.uint8)
    art[:, : width // 2], art[:, width // 2 :] = left, right
    return png(art)


def ramp(width=1024, height=64):
    """Grey that grows from left to right, with the top row's blue telling up from down."""
    art = np.zeros((height, width, 3), np.uint8)
    art[..., 0] = np.linspace(0, 255, width)[None, :]
    art[..., 2] = np.linspace(255, 0, height)[:, None]
    return png(art)


@pytest.mark.parametrize("seam_deg", [180.0, -90.0, 10.0])
def test_round_artwork_begins_at_the_seam_and_goes_once_round_to_the_right(seam_deg):
    skin = cup([BASE, wrap(seam_deg=seam_deg)], art=ramp())
    row = skin.art_rgba8_srgb[skin.grid.rows // 8, :, 0].astype(float)

    turn_deg = np.degrees(skin.grid.turns_rad())
    share = np.mod(turn_deg - seam_deg, 360) / 360

    away_from_seam = (share > 0.01) & (share < 0.99)
    np.testing.assert_allclose(row[away_from_seam], 255 * share[away_from_seam], atol=1.5)


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
def test_round_artwork_keeps_its_proportions_at_its_middle(blank):
    """A picture 4 by 1 is a quarter as high as the cup is round at half that height."""
    skin = cup([BASE, wrap(from_mm=5.0)], blank, art=halves(width=400, height=100))

    covered = skin.art_rgba8_srgb[:, 0, 3].astype(float).sum() / 255 * skin.grid.row_mm

    wall = wall_of(blank)
    middle = 5.0 + covered / 2
    assert covered == pytest.approx(float(wall.circumference_mm(middle)) / 4, abs=0.02)


def test_artwork_is_neither_mirrored_nor_upside_down():
    """Red grows to the right as seen from outside, blue is at the top of the picture."""
    skin = cup([BASE, wrap(height_mm=40.0)], art=ramp())
    art = skin.art_rgba8_srgb.astype(int)
    quarter = skin.grid.columns // 4

    assert art[40, quarter, 0] < art[40, 2 * quarter, 0] < art[40, 3 * quarter, 0]
    assert art[10, 50, 2] < art[80, 50, 2] < art[150, 50, 2]


def test_quarter_turns_of_round_artwork_are_anticlockwise():
    """Turned by 90°, what was at the right lies at the top."""
    skin = cup([BASE, wrap(height_mm=40.0, rotation_deg=90.0)], art=ramp())
    art = skin.art_rgba8_srgb.astype(int)

    assert art[10, 50, 0] < art[80, 50, 0] < art[150, 50, 0]
    with pytest.raises(DesignError, match=r"cannot be rotated by 45°"):
        cup([BASE, wrap(rotation_deg=45.0)], art=ramp())


def test_a_tile_repeats_in_its_own_size():
    """Stripes of 5 mm: on a cylinder the colour changes every 5 mm from the seam."""
    skin = cup([BASE, wrap(fit="tile", width_mm=10.0)], texel_mm=0.1, art=halves())
    red = skin.art_rgba8_srgb[100, :, 0] > 115
    edges = (np.flatnonzero(red[1:] != red[:-1]) + 1) * AROUND_MM / skin.grid.columns

    np.testing.assert_allclose(edges, 5.0 * np.arange(1, len(edges) + 1), atol=0.11)
    assert len(edges) == int(AROUND_MM / 5)


def test_a_tile_stays_true_on_a_taper():
    """Each square of the pattern has the same area on the wall, high up and low down."""
    skin = cup([BASE, wrap(fit="tile", width_mm=8.0)], TAPERED, 0.1, art=halves(height=400))
    share = (skin.art_rgba8_srgb[..., 0] > 115) * texel_areas_mm2(skin.grid, wall_of(TAPERED))

    low, high = share[: skin.grid.rows // 2].sum(), share[skin.grid.rows // 2 :].sum()

    wall = wall_of(TAPERED)
    areas = texel_areas_mm2(skin.grid, wall)[:, 0] * skin.grid.columns
    half = skin.grid.rows // 2
    assert low == pytest.approx(areas[:half].sum() / 2, rel=0.03)
    assert high == pytest.approx(areas[half:].sum() / 2, rel=0.03)


def test_a_tile_on_a_taper_is_as_wide_at_the_rim_as_at_the_foot():
    """Beside the front, where the flat's x is the arc, stripes are 4 mm at every height."""
    skin = cup([BASE, wrap(fit="tile", width_mm=8.0)], TAPERED, 0.1, art=halves())
    wall = wall_of(TAPERED)
    for row in (20, skin.grid.rows - 20):
        red = skin.art_rgba8_srgb[row, :, 0] > 115
        turns = skin.grid.turns_rad()[1:][red[1:] != red[:-1]]
        near = np.abs(turns) < 0.35
        widths = np.diff(turns[near]) * float(wall.radius_at(skin.grid.heights_mm()[row]))

        np.testing.assert_allclose(widths, 4.0, atol=0.15)


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
def test_tiles_begin_at_the_sheets_lower_edge(blank):
    """A tile 10 mm high, bright at its foot: upright it begins so, turned by 180° it ends so."""
    column = np.linspace(0, 255, 200).astype(np.uint8)
    art = png(np.tile(column[:, None, None], (1, 50, 3)))
    keys = {"fit": "tile", "width_mm": 2.5, "from_mm": 14.0}
    upright, turned = (
        cup([BASE, wrap(rotation_deg=angle, **keys)], blank, 0.1, art=art) for angle in (0.0, 180.0)
    )

    rows = [round(mm / upright.grid.row_mm) for mm in (14.5, 18.0, 23.5)]
    front = upright.grid.columns // 2

    assert list(upright.art_rgba8_srgb[rows, front, 0] > 128) == [True, True, False]
    assert list(turned.art_rgba8_srgb[rows, front, 0] > 128) == [False, False, True]


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
def test_rotation_of_tiles_is_anticlockwise(blank):
    """Upright stripes turned by 30° lean to the left: further up they lie further left."""
    keys = {"fit": "tile", "width_mm": 12.0, "rotation_deg": 30.0}
    skin = cup([BASE, wrap(**keys)], blank, 0.1, art=halves())
    wall, half = wall_of(blank), skin.grid.columns // 2
    red = skin.art_rgba8_srgb[..., 0] > 115
    arcs = {}
    for row in (200, 220):
        line = red[row, half - 80 : half + 80]
        turns = skin.grid.turns_rad()[half - 80 : half + 80][1:][line[1:] & ~line[:-1]]
        arcs[row] = turns * float(wall.radius_at(skin.grid.heights_mm()[row]))

    lower = arcs[200][np.argmin(np.abs(arcs[200]))]
    moved = arcs[220] - lower

    expected = -20 * skin.grid.row_mm * np.tan(np.radians(30))
    assert np.abs(moved - expected).min() < 0.15


@pytest.mark.parametrize(
    ("fit", "middle_mm"), [("tile", (30, 15)), ("round", (20 * np.pi, 15)), ("placed", (62.8, 25))]
)
def test_an_offset_moves_artwork_right_and_up(fit, middle_mm):
    """By 10 mm and 6 mm, whichever way the sheet meets the wall."""
    art = np.full((200, 400, 3), 40, np.uint8)
    art[90:110, 190:210] = 230  # a spot in the middle
    keys = {"fit": fit, "height_mm": 30.0, "width_mm": 60.0, "place": {"height_mm": 25.0}}
    for offset in ((0.0, 0.0), (10.0, 6.0)):
        skin = cup([BASE, wrap(offset_mm=offset, **keys)], art=png(art))
        rows, columns = np.nonzero(skin.art_rgba8_srgb[..., 0] > 135)
        x, y = (columns + 0.5) * AROUND_MM / skin.grid.columns, (rows + 0.5) * skin.grid.row_mm
        expected = np.add(middle_mm, offset)
        near = np.hypot(x - expected[0], y - expected[1]) < 9.0

        assert (x[near].mean(), y[near].mean()) == pytest.approx(tuple(expected), abs=0.15)


@pytest.mark.parametrize(("width_mm", "breaks"), [(AROUND_MM / 12, False), (11.3, True)])
def test_the_pattern_breaks_at_the_seam_unless_it_fits(width_mm, breaks):
    """A smooth pattern jumps at the seam, there only, and not at all if 12 of it fit round."""
    phase = np.arange(240) / 240 * 2 * np.pi
    row = (128 + 100 * np.cos(phase)).astype(np.uint8)
    art = png(np.repeat(np.repeat(row[None, :, None], 40, axis=0), 3, axis=2))
    keys = {"fit": "tile", "width_mm": width_mm, "seam_deg": 45.0, "overlap_mm": 0.0}
    skin = cup([BASE, wrap(**keys)], art=art)
    line = skin.art_rgba8_srgb[50, :, 0].astype(float)

    jumps = np.abs(line - np.roll(line, 1))

    steepest = 100 * 2 * np.pi / width_mm * AROUND_MM / skin.grid.columns
    rough = np.flatnonzero(jumps > steepest + 3)
    assert bool(rough.size) == breaks
    at_seam = (45 + 180) / 360 * skin.grid.columns
    assert np.all(np.abs(rough - at_seam) <= 1)


def test_moving_the_seam_rolls_artwork_and_relief():
    columns = cup([BASE]).grid.columns
    for keys in ({"fit": "tile", "width_mm": 9.0}, {"fit": "round"}):
        at_back = wrap(sheet="paper", **keys)
        moved = at_back | {"seam_deg": -180.0 + 50 * 360 / columns}
        first, second = (cup([BASE, layer], art=ramp()) for layer in (at_back, moved))
        rolled = np.roll(first.art_rgba8_srgb, 50, axis=1).astype(int)

        assert np.abs(rolled - second.art_rgba8_srgb).max() <= 1
        relief = np.roll(first.relief, 50, axis=1).astype(int)
        assert np.abs(relief - second.relief).max() <= 1


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
def test_a_placed_piece_keeps_its_area(blank):
    keys = {"fit": "placed", "width_mm": 24.0, "height_mm": 12.0}
    place = {"height_mm": 30.0, "angle_deg": 170.0, "rotation_deg": 25.0}
    skin = cup([BASE, wrap(place=place, **keys)], blank, 0.1, art=halves())

    opacity = skin.art_rgba8_srgb[..., 3] / 255

    area = (opacity * texel_areas_mm2(skin.grid, wall_of(blank))).sum()
    assert area == pytest.approx(24 * 12, rel=3e-3)


def test_a_placed_piece_is_trimmed_at_the_wall_and_refused_round_the_back():
    high = {"fit": "placed", "width_mm": 20.0, "place": {"height_mm": 59.0}}
    skin = cup([BASE, wrap(**high)], art=halves())
    assert skin.art_rgba8_srgb[-1, skin.grid.columns // 2, 3] == 255
    wide = {"fit": "placed", "width_mm": 130.0, "place": {"height_mm": 30.0}}
    with pytest.raises(GeometryError, match="overlap itself"):
        cup([BASE, wrap(**wide)], art=halves())


@given(st.floats(0.0, 25.0), st.floats(26.0, 60.0))
def test_limits_are_crisp_and_exact(low, high):
    keys = {"fit": "tile", "width_mm": 30.0, "from_mm": low, "to_mm": high}
    skin = cup([BASE, wrap(**keys)], texel_mm=0.5, art=halves(width=40, height=20))
    column = skin.art_rgba8_srgb[:, 7, 3] / 255

    assert column.sum() * skin.grid.row_mm == pytest.approx(high - low, abs=0.005)
    assert np.count_nonzero((column > 0) & (column < 1)) <= 2


def test_a_sheet_that_begins_above_the_rim_is_told():
    with pytest.raises(DesignError, match=r"layers\[1\]\.from_mm.*begins at 70 mm"):
        cup([BASE, wrap(from_mm=70.0)], art=ramp())


def test_the_base_coat_shows_through_transparent_artwork():
    """Opacity is kept, and colour does not darken towards transparent pixels."""
    art = np.zeros((100, 200, 4), np.uint8)
    art[:, 60:140] = (240, 200, 20, 255)
    skin = cup([BASE, wrap(height_mm=50.0)], art=png(art))
    rgba = skin.art_rgba8_srgb[80]

    assert rgba[0, 3] == 0
    assert rgba[len(rgba) // 2, 3] == 255
    seen = rgba[rgba[:, 3] > 0]
    assert 0 < np.count_nonzero(seen[:, 3] < 255) <= 8
    np.testing.assert_allclose(seen[:, :3], [[240, 200, 20]] * len(seen), atol=2)


def test_fine_patterns_keep_their_mean_light():
    """A chequer finer than the texels becomes the even grey that sends the same light."""
    art = np.zeros((1200, 2400), np.uint8)
    art[::2, ::2] = art[1::2, 1::2] = 255
    skin = cup([BASE, wrap(height_mm=60.0)], texel_mm=0.4, art=png(np.stack([art] * 3, -1)))

    light = linear_from_rgb8(skin.art_rgba8_srgb[5:-5, 5:-5, :3])

    assert light.mean() == pytest.approx(0.5, abs=0.01)
    assert light.std() < 0.02


def test_a_second_sheet_lies_over_the_first():
    """Half-transparent white over black, mixed in linear light."""
    white = np.full((50, 100, 4), 255, np.uint8)
    white[..., 3] = 128
    black = np.zeros((50, 100, 3), np.uint8)
    keys = {"height_mm": 60.0}
    layers = [BASE, wrap(**keys), wrap(**keys) | {"artwork": "assets/veil.png"}]
    skin = cup(layers, art=png(black), veil=png(white))

    light = linear_from_rgb8(skin.art_rgba8_srgb[100, 200, :3])

    assert skin.art_rgba8_srgb[100, 200, 3] == 255
    np.testing.assert_allclose(light, 128 / 255, atol=0.004)


# --- resin in the pores ---------------------------------------------------------------------


@given(st.floats(0.01, 0.99), st.floats(0, 1))
def test_soaking_follows_the_law_of_wet_surfaces(reflectance, filled):
    """(1 − ρ)/ρ grows by 1/(1 − k): Lekner & Dorf (1988), after Ångström (1925)."""
    wet = soaked(np.full((1, 3), reflectance, np.float32), np.full(1, filled, np.float32))
    k = (1 - 1 / RESIN_IOR**2) * filled

    expected = (1 - reflectance) / reflectance / (1 - k)

    np.testing.assert_allclose((1 - wet) / wet, expected, rtol=2e-3)


def test_soaking_darkens_and_saturates():
    """Black and white stay; of a brown every channel falls, the darkest by the largest share."""
    dry = np.array([[0.0, 0.0, 0.0], [1.0, 1.0, 1.0], [0.6, 0.35, 0.15]], np.float32)
    wet = soaked(dry, np.ones(3, np.float32))

    np.testing.assert_allclose(wet[:2], dry[:2], atol=1e-6)
    share = wet[2] / dry[2]
    assert share[2] < share[1] < share[0] < 1


@pytest.mark.parametrize(
    ("keys", "coats", "soaks"),
    [
        ({"sheet": "fabric", "sealed": False}, [COAT], True),
        ({"sheet": "paper", "sealed": False}, [COAT], True),
        ({"sheet": "paper", "sealed": False}, [], False),
        ({"sheet": "paper", "sealed": True}, [COAT], False),
        ({"sheet": "film", "sealed": False}, [COAT], False),
    ],
)
def test_only_an_unsealed_porous_sheet_under_resin_soaks(keys, coats, soaks):
    art = png(np.full((60, 120, 3), 150, np.uint8))
    skin = cup([BASE, wrap(height_mm=60.0, **keys), *coats], art=art)
    grey = skin.art_rgba8_srgb[..., 0].astype(int)

    if soaks:
        assert grey.max() <= 150
        assert np.ptp(grey) > 15  # blotches
        steps = np.abs(np.diff(grey, axis=0)).max(), np.abs(np.diff(grey, axis=1)).max()
        assert max(steps) <= 6  # soft
    else:
        assert np.ptp(grey) == 0
        assert grey[0, 0] == 150


def test_blotches_are_periodic_and_their_own_for_each_seed():
    first, _ = blotches(125.0, 60.0, seed=3)
    again, _ = blotches(125.0, 60.0, seed=3)
    other, _ = blotches(125.0, 60.0, seed=4)
    map_ = first[..., 0]

    np.testing.assert_array_equal(first, again)
    assert np.abs(first - other).max() > 0.2
    inside = np.abs(np.diff(map_, axis=1)).max()
    assert np.abs(map_[:, 0] - map_[:, -1]).max() <= inside * 1.5
    assert 0 <= map_.min() < map_.max() <= 1


# --- relief ---------------------------------------------------------------------------------


@pytest.mark.parametrize("sheet", ["film", "paper", "fabric"])
def test_the_step_at_the_seam_is_as_high_as_the_sheet_is_thick(sheet):
    x = np.linspace(-2, 2, 40_001)

    height = np.trapezoid(seam_slope(x, SHEET_MM[sheet]), x)

    assert height == pytest.approx(SHEET_MM[sheet], rel=1e-3)


def test_the_joint_shows_where_the_sheet_covers_and_nowhere_else():
    keys = {"fit": "tile", "width_mm": 20.0, "from_mm": 10.0, "to_mm": 40.0, "seam_deg": 30.0}
    skin = cup([BASE, wrap(**keys)], texel_mm=0.1, art=halves())
    slopes = MAPS["relief"].decode(skin.relief[..., 0])
    joint = np.flatnonzero(np.abs(slopes[250]) > 0.01)

    at_seam = (30 + 180) / 360 * skin.grid.columns
    assert joint.size
    assert np.all(np.abs(joint + 0.5 - at_seam) * AROUND_MM / skin.grid.columns < 0.2)
    assert np.abs(slopes[:98]).max() < 0.003
    assert np.abs(slopes[402:]).max() < 0.003
    assert skin.relief[..., 1].min() == skin.relief[..., 1].max()


def test_film_laid_edge_to_edge_has_no_relief():
    assert cup([BASE, wrap(overlap_mm=0.0)], art=ramp()).relief is None


def test_a_weave_goes_over_one_and_under_one():
    """Its slopes are those of one surface, level on average, alike after two threads each way."""
    step = 0.45 / 45
    x, y = np.meshgrid(np.arange(90) * step, np.arange(90) * step)
    slope_x, slope_y = weave_slopes(x, y)

    curl = (np.roll(slope_x, -1, 0) - np.roll(slope_x, 1, 0)) - (
        np.roll(slope_y, -1, 1) - np.roll(slope_y, 1, 1)
    )

    assert np.abs(curl).max() / (2 * step) < 0.02 * np.abs(slope_x).max() / step
    assert abs(slope_x.mean()) < 1e-6
    np.testing.assert_allclose(slope_x, weave_slopes(x + 0.9, y - 0.9)[0], atol=1e-5)
    np.testing.assert_allclose(slope_x, weave_slopes(y, x + 0.45)[1], atol=1e-5)
    assert 0.15 < np.abs(slope_x).max() < 0.6


def test_fabric_relief_lies_on_the_wall():
    skin = cup([BASE, wrap(sheet="fabric", height_mm=60.0, overlap_mm=0.0)], art=ramp())
    slopes = MAPS["relief"].decode(skin.relief)

    assert 0.05 < slopes.std() < 0.3
    assert abs(slopes.mean()) < 0.005


def test_threads_turn_with_the_cloth():
    """Laid at 90°, what rose to the right rises upward, and what rose upward rises to the left."""
    keys = {"fit": "placed", "width_mm": 18.0, "height_mm": 18.0, "sheet": "fabric"}
    flat, turned = (
        MAPS["relief"].decode(
            cup([BASE, wrap(place=place, **keys)], art=ramp(), texel_mm=0.1).relief
        )
        for place in ({"height_mm": 30.0}, {"height_mm": 30.0, "rotation_deg": 90.0})
    )
    row, column = flat.shape[0] // 2, flat.shape[1] // 2
    box = np.s_[row - 12 : row + 12, column - 12 : column + 12]

    expected = np.rot90(flat[box], -1)  # rows go up the wall, so this is anticlockwise there

    np.testing.assert_allclose(turned[box][..., 1], expected[..., 0], atol=0.015)
    np.testing.assert_allclose(turned[box][..., 0], -expected[..., 1], atol=0.015)
