"""A word on a tapered cup, as the camera sees it: its letters stand on one level line."""

import numpy as np
import pytest

from mockup import pipeline
from mockup.render.request import Request, camera_for
from tests.outputs.cut.cups import TAPERED, decal, design_of

SIZE_PX = (900, 600)


@pytest.fixture(scope="module")
def seen(radiance):
    """(blank, request, green radiance) of the word from the front, level with it."""
    word = decal(swatch="ivory", text="HIHHIHHIH", letter_height_mm=12.0)
    cup = pipeline.build_cup(design_of(word, blank=TAPERED))
    middle_z = cup.blank.wall_foot_z_mm + float(cup.blank.wall.z_at(75.0))
    camera = camera_for(
        cup.model.height_mm,
        cup.model.radius_mm,
        aspect=SIZE_PX[0] / SIZE_PX[1],
        elevation_deg=0.0,
        target=(0.0, 0.0, middle_z),
        field_mm=46.0,
    )
    request = Request(*SIZE_PX, 2, 0.0, camera, "uniform", cup.table(), (8, 2))
    return cup.blank, request, radiance(cup, request)[..., 1]


def heights_at(blank, request, column, row):
    """Heights up the wall, mm, that pixels (from the upper left corner, px) show.

    The ray meets the cone r(z) = a + k z: a quadratic in the way along it.
    """
    camera = request.camera
    right, up, forward = camera.axes()
    half = np.tan(np.radians(camera.fov_deg) / 2)
    x = (2 * column / request.width_px - 1) * half * request.width_px / request.height_px
    y = (1 - 2 * row / request.height_px) * half
    ray = forward + x[:, None] * right + y[:, None] * up
    start = np.array(camera.position_mm)
    radii = blank.wall.radius_mm
    k = (radii[1] - radii[0]) / blank.wall.height_mm
    a = radii[0] - k * blank.wall_foot_z_mm
    here, slope = a + k * start[2], k * ray[:, 2]
    square = (ray[:, :2] ** 2).sum(axis=1) - slope**2
    mixed = ray[:, :2] @ start[:2] - here * slope
    rest = start[:2] @ start[:2] - here**2
    way = (-mixed - np.sqrt(mixed**2 - square * rest)) / square
    return blank.wall.height_at(start[2] + way * ray[:, 2] - blank.wall_foot_z_mm)


def test_the_rendered_words_baseline_is_level(seen):
    """Feet of the letters, found between dark and bright pixels, within 0.3 mm of one height.

    Read over the middle four fifths of the picture: up to 53° to either side.
    """
    blank, request, green = seen
    tenth = SIZE_PX[0] // 10
    inside = green > (green.max() + np.median(green)) / 2
    level = (green.max() + np.median(green)) / 2
    columns = np.flatnonzero(inside.any(axis=0))
    columns = columns[(columns > tenth) & (columns < SIZE_PX[0] - tenth)]
    last = SIZE_PX[1] - 1 - inside[::-1, columns].argmax(axis=0)
    bright, dark = green[last, columns], green[last + 1, columns]
    rows = last + 0.5 + (bright - level) / (bright - dark)

    heights = heights_at(blank, request, columns + 0.5, rows)
    stem = inside[last - 8, columns - 3] & inside[last - 8, columns + 3]  # not at a letter's side
    feet = heights[stem & (heights < np.median(heights) + 2.0)]  # else a crossbar

    assert np.ptp(columns) > 0.6 * SIZE_PX[0]
    assert len(feet) > 150
    assert np.ptp(feet) <= 0.3
    assert np.median(feet) == pytest.approx(69.0, abs=0.3)
