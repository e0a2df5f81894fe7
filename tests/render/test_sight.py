"""What a pixel's ray is worked out to see, held to what the renderer shows there."""

from dataclasses import replace

import numpy as np
import pytest

from mockup.blank.wall import Wall
from mockup.render.request import Camera
from mockup.render.sight import look_at
from tests.render.cups import LENGTH_MM, RADIUS_MM, band_cup, pigment, request

SQUARE_MM, SQUARES = 5.0, 48  # up the wall, and round it
CONE = Wall("cone", (0.0, LENGTH_MM), (30.0, 42.0))
FLASK = Wall("profile", (0.0, 30.0, 60.0, LENGTH_MM), (28.0, 40.0, 38.0, 33.0))
SIZE_PX = (150, 220)


def checkered(wall, depth_mm):
    """A cup whose whole wall is a chequered print under `depth_mm` of resin."""
    bands = band_cup(f"checks {wall} {depth_mm}", depth_mm=depth_mm, wall=wall)
    skin = bands.model.skin
    grid = skin.grid
    dark = _is_dark(grid.turns_rad()[None, :], grid.heights_mm()[:, None])
    art = np.full((*grid.shape, 4), 255, np.uint8)
    art[dark, :3] = 10
    none = np.zeros((*skin.flake_coverage.shape[:2], 0), np.uint8)
    skin = replace(
        skin, art_rgba8_srgb=art, edge_distance=np.zeros((*grid.shape, 0), np.uint8),
        flake_coverage=none, sheets=(), flakes=(),
    )  # fmt: skip
    return replace(bands, model=replace(bands.model, skin=skin))


def _is_dark(turn_rad, height_mm):
    column = np.floor(turn_rad / (2 * np.pi) * SQUARES)
    return (column + np.floor(height_mm / SQUARE_MM)) % 2 == 0


def _inside_square_mm(wall, turn_rad, height_mm):
    """How far a place lies within its square."""
    column = turn_rad / (2 * np.pi) * SQUARES
    across = np.abs(column - np.round(column)) * 2 * np.pi / SQUARES * wall.radius_at(height_mm)
    row = height_mm / SQUARE_MM
    return np.minimum(across, np.abs(row - np.round(row)) * SQUARE_MM)


@pytest.mark.parametrize("wall", [None, CONE, FLASK], ids=["cylinder", "cone", "flask"])
@pytest.mark.parametrize("elevation_deg", [0.0, 35.0, -12.0])
def test_every_pixel_shows_the_square_it_is_worked_out_to_see(radiance, wall, elevation_deg):
    """Turned by 40°, under 1.2 mm of resin, whose refraction shifts what is seen.

    A quarter of a millimetre allows for a texel of 0.2 mm and for the mesh's facets. Were the rays
    not bent, several times as many pixels would be told wrong as now near the squares' edges.
    """
    wall = wall or Wall("cylinder", (0.0, LENGTH_MM), (RADIUS_MM, RADIUS_MM))
    cup = checkered(wall, 1.2)
    shot = request(
        cup, cup.table(paint=pigment(0.5)), size_px=SIZE_PX, turn_rad=np.radians(40),
        elevation_deg=elevation_deg,
    )  # fmt: skip
    picture = radiance(cup, shot)

    sight = look_at(cup.model, shot.camera, *SIZE_PX)

    pale = picture[..., 0].ravel()[sight.pixel] > 0.3
    turn, height = sight.under_resin(1.2)
    turn = turn + np.radians(40)
    clear = (sight.facing > 0.35) & (height > 0) & (height < wall.length_mm)
    wrong = pale == _is_dark(turn, height)
    unbent = pale == _is_dark(sight.turn_rad + np.radians(40), sight.height_mm)
    assert clear.sum() > 4000
    assert not np.any(wrong & clear & (_inside_square_mm(wall, turn, height) > 0.25))
    assert 4 * wrong[clear].mean() < unbent[clear].mean()


def test_the_wall_fills_the_pixels_that_the_renderer_fills(radiance):
    """All wall pixels are covered; a level camera's middle column is wall from foot gap to lip."""
    cup = checkered(CONE, 0.0)
    shot = request(cup, cup.table(paint=pigment(0.5)), size_px=SIZE_PX)
    covered = radiance(cup, shot)[..., 3].ravel() > 0

    sight = look_at(cup.model, shot.camera, *SIZE_PX)

    assert covered[sight.pixel].all()
    assert 0.85 < len(sight.pixel) / covered.sum() < 0.98
    assert sight.height_mm.min() >= 0
    assert sight.height_mm.max() <= CONE.length_mm


def test_what_stands_in_front_hides_the_wall():
    """From high above, the far inside and the lip hide what a ray would meet behind them."""
    cup = band_cup("above")
    camera = Camera((0.0, -300.0, 500.0), (0.0, 0.0, 50.0), 30.0)

    sight = look_at(cup.model, camera, 80, 80)

    assert np.abs(sight.turn_rad).max() < np.pi / 2


def test_the_middle_of_the_picture_faces_the_camera():
    """By hand: a level camera sees turn 0 in its middle column, at height z − gap of its target."""
    cup = band_cup("middle")
    camera = Camera((0.0, -1000.0, 50.0), (0.0, 0.0, 50.0), 12.0)
    width, height = 41, 61

    sight = look_at(cup.model, camera, width, height)

    middle = int(np.flatnonzero(sight.pixel == (height // 2) * width + width // 2)[0])
    assert sight.turn_rad[middle] == pytest.approx(0.0, abs=1e-9)
    assert sight.height_mm[middle] == pytest.approx(50.0 - cup.blank.wall_foot_z_mm, abs=1e-4)
    assert sight.facing[middle] == pytest.approx(1.0)
    size_mm = 2 * (1000 - RADIUS_MM) * np.tan(np.radians(6)) / height
    assert sight.footprint_mm[middle] == pytest.approx(size_mm, rel=1e-3)
