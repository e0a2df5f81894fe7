"""Places on the cup: picking them, rulers, the seam."""

import numpy as np
import pytest
from scipy.optimize import brentq

from mockup.blank.flat import flat_from_wall, wrapped_turn
from mockup.render.request import camera_for
from tests.render.web.cups import HEIGHT, VIEWS, WIDTH

pytestmark = pytest.mark.browser


def wall_under(cup, view, x, y):
    """Turn and height under a point of the page: the eye's ray and a root, without any mesh."""
    camera = camera_for(
        cup.model.height_mm,
        cup.model.radius_mm,
        aspect=WIDTH / HEIGHT,
        elevation_deg=view["elevation_deg"],
    )
    right, up, forward = camera.axes()
    tangent = np.tan(np.radians(camera.fov_deg) / 2)
    across, above = (2 * x - WIDTH) / HEIGHT, 1 - 2 * y / HEIGHT
    way = forward + tangent * (across * right + above * up)
    wall, foot_mm = cup.blank.wall, cup.blank.wall_foot_z_mm

    def outside(t):
        point = np.array(camera.position_mm) + t * way
        height = wall.height_at(np.clip(point[2] - foot_mm, 0, wall.z_at(wall.length_mm)))
        return np.hypot(*point[:2]) - wall.radius_at(height)

    nearest = -np.dot(camera.position_mm[:2], way[:2]) / np.dot(way[:2], way[:2])
    point = np.array(camera.position_mm) + brentq(outside, 0, nearest) * way
    turn = np.arctan2(point[0], -point[1]) + np.radians(view["turn_deg"])
    return wrapped_turn(turn), float(wall.height_at(point[2] - foot_mm))


@pytest.mark.parametrize(("name", "x", "y"), [("foil", 130, 210), ("taper", 190, 150)])
def test_a_click_tells_the_place_on_the_flat(desk, cups, packed, name, x, y):
    view = VIEWS[name]
    desk.show(packed(name).to_bytes(), samples=1, view=view)
    desk.page.mouse.click(x, y)
    turn, height = wall_under(cups[name], view, x, y)
    expected = flat_from_wall(cups[name].blank.wall, turn, height)

    (place,) = desk.ask("told.picks")

    assert abs(place["height_mm"] - height) < 0.1
    assert abs(np.degrees(turn) - place["turn_deg"]) < 0.2
    assert np.hypot(*(expected - [place["x_mm"], place["y_mm"]])) < 0.5
    spot = desk.ask(f"shown.spot({place['turn_deg']}, {place['height_mm']})")
    assert np.hypot(spot["x"] - x, spot["y"] - y) < 0.2  # and back
    assert spot["seen"]


def test_nothing_is_picked_off_the_wall(desk, packed):
    """Beside the cup, and on the steel at its rim."""
    desk.show(packed("foil").to_bytes(), samples=1)
    desk.page.mouse.click(10, 200)
    desk.page.mouse.click(WIDTH / 2, desk.ask("shown.spot(0, 150)")["y"] - 8)

    assert desk.ask("told.picks") == []


TEXTS = """[...document.querySelectorAll("svg text")].map((text) => [
  text.textContent, { x: +text.getAttribute("x"), y: +text.getAttribute("y") },
])"""


def test_rulers_and_seam_lie_where_they_are_on_the_cup(desk, packed):
    """The ruler's 100 mm mark is as high as the wall there; the seam is upright at its turn."""
    view = {"turn_deg": 180, "elevation_deg": 10, "zoom": 1, "centre": [0, 0]}
    desk.show(packed("foil").to_bytes(), samples=1, rulers="mm", seam=[170], view=view)
    texts = dict(desk.ask(TEXTS))
    edge, top = desk.ask("shown.spot(95, 100)"), desk.ask("shown.spot(170, 150)")

    assert abs(texts["100"]["y"] - 4 - edge["y"]) < 1.5
    assert texts["100"]["x"] < edge["x"]
    assert abs(texts["seam"]["x"] - top["x"]) < 0.1
    desk.ask("shown.show({ rulers: 'in' })")
    assert "in" in dict(desk.ask(TEXTS))
    desk.ask("shown.show({ rulers: null, seam: [] })")
    assert desk.ask(TEXTS) == []
