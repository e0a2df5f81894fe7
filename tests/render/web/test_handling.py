"""Turning, tilting and zooming by mouse, keys and fingers."""

import pytest

from tests.render.web.chromium import Desk
from tests.render.web.cups import HEIGHT, WIDTH

pytestmark = pytest.mark.browser


def test_the_mouse_turns_tilts_and_moves(front):
    mouse = front.page.mouse
    mouse.move(150, 200)
    mouse.wheel(0, -400)
    front.ask("new Promise((done) => setTimeout(done, 200))")
    assert front.ask("shown.view()")["zoom"] == 1  # the page scrolls until the cup has focus

    mouse.down()
    mouse.move(190, 200, steps=4)
    mouse.move(190, 240, steps=4)
    mouse.up()
    view = front.ask("shown.view()")
    assert -40 < view["turn_deg"] < -10  # the cup follows the hand to the right
    assert 15 < view["elevation_deg"] < 30
    assert front.ask("told.picks") == []  # a drag is no click

    before = front.ask("shown.place(180, 240)")
    mouse.move(180, 240)
    mouse.wheel(0, -400)
    front.page.wait_for_function("shown.view().zoom > 1.5")
    after = front.ask("shown.place(180, 240)")
    assert abs(after["x_mm"] - before["x_mm"]) < 0.1  # what is under the pointer stays there
    assert abs(after["y_mm"] - before["y_mm"]) < 0.1

    centre = front.ask("shown.view()")["centre"]
    front.page.keyboard.down("Shift")
    mouse.down()
    mouse.move(160, 230, steps=4)
    mouse.up()
    front.page.keyboard.up("Shift")
    moved = front.ask("shown.view()")
    assert moved["turn_deg"] == view["turn_deg"]
    assert moved["centre"][0] > centre[0]  # the cup goes left, the eye right
    assert moved["centre"][1] < centre[1]


def test_a_key_stops_a_cup_that_glides(front):
    front.page.focus("canvas")
    front.ask("shown.setView({ turn_deg: 0, elevation_deg: 10 })")
    front.ask("shown.setView({ turn_deg: 0, elevation_deg: 30 }, { glide: true })")
    for _ in range(3):
        front.page.keyboard.press("ArrowRight")
    front.ask("new Promise((done) => setTimeout(done, 700))")  # longer than any glide

    view = front.ask("shown.view()")
    assert view["turn_deg"] == pytest.approx(18)
    assert view["elevation_deg"] < 30


def test_keys_turn_tilt_zoom_and_pick(front):
    keys = front.page.keyboard
    front.page.focus("canvas")
    for key in ("ArrowRight", "Shift+ArrowRight", "ArrowUp", "+"):
        keys.press(key)
    view = front.ask("shown.view()")
    assert view["turn_deg"] == pytest.approx(7)
    assert view["elevation_deg"] == pytest.approx(16)
    assert view["zoom"] == pytest.approx(1.25)
    assert front.page.get_attribute("canvas", "aria-valuenow") == "7"
    assert front.page.get_attribute("canvas", "role") == "slider"

    keys.press("Enter")
    (place,) = front.ask("told.picks")
    assert place["turn_deg"] == pytest.approx(7, abs=0.3)
    keys.press("Home")
    front.page.wait_for_function("shown.view().turn_deg === 0 && shown.view().zoom === 1")


def test_two_fingers_pinch_and_one_turns(browser, packed):
    """On a phone: up and down by one finger is left to the page."""
    with browser.new_context(has_touch=True, is_mobile=True) as context:
        desk = Desk(context, WIDTH, HEIGHT)
        desk.show(packed("foil").to_bytes(), samples=1)
        touch = context.new_cdp_session(desk.page)

        def send(kind, *points):
            touch.send(
                "Input.dispatchTouchEvent",
                {"type": kind, "touchPoints": [{"x": x, "y": y, "id": i} for i, x, y in points]},
            )

        send("touchStart", (0, 150, 200))
        for x in range(155, 200, 5):
            send("touchMove", (0, x, 200))
        send("touchEnd")
        view = desk.ask("shown.view()")
        assert view["turn_deg"] < -10
        assert view["elevation_deg"] == 10
        assert desk.ask("getComputedStyle(document.querySelector('canvas')).touchAction") == "pan-y"

        send("touchStart", (0, 140, 200), (1, 160, 200))
        for x in range(0, 60, 5):
            send("touchMove", (0, 140 - x, 200), (1, 160 + x, 200))
        send("touchEnd")
        assert desk.ask("shown.view()")["zoom"] > 2


def test_motion_is_left_out_where_it_is_unwanted(front):
    """`prefers-reduced-motion`: the back at once; else it is reached by way of the side."""
    front.page.emulate_media(reduced_motion="reduce")
    front.ask("shown.setView({ turn_deg: 180 }, { glide: true })")
    assert abs(front.ask("shown.view()")["turn_deg"]) == 180
    front.page.emulate_media(reduced_motion="no-preference")
    front.ask("shown.setView({ turn_deg: 0 }, { glide: true })")
    front.page.wait_for_function("shown.view().turn_deg === 0")
    turns = {round(abs(view["turn_deg"])) for view in front.ask("told.views")}
    assert any(10 < turn < 170 for turn in turns)
