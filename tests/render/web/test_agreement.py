"""What the page shows is what `render` draws."""

import base64
import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from mockup.colorimetry.difference import delta_e_2000, lab_from_rgb8
from mockup.pipeline.cup import Shot, render_cup
from tests.render.web.cups import HEIGHT, VIEWS, WIDTH

pytestmark = pytest.mark.browser

SAMPLES = 4  # 2 × 2 a pixel
LUMA = np.array([0.2126, 0.7152, 0.0722])  # ITU-R BT.709


def differences(shown, still):
    """Mean ΔE00 over the cup, and over what lies behind it."""
    far = delta_e_2000(lab_from_rgb8(shown), lab_from_rgb8(still.rgba8_srgb))
    on_cup = still.linear[..., 3] > 0
    return far[on_cup].mean(), far[~on_cup].mean()


@pytest.mark.parametrize("light", ["softbox", "evening"])
@pytest.mark.parametrize(
    ("name", "most"), [("foil", 0.2), ("demo", 0.6), ("taper", 0.2), ("rainbow", 0.6)]
)
def test_the_page_shows_what_the_still_shows(desk, cups, packed, renderer, name, most, light):
    """Same camera, same sub-samples, in two renderers and two drivers."""
    view = VIEWS[name]
    desk.show(packed(name, light).to_bytes(), samples=SAMPLES, view=view)
    shot = Shot(WIDTH, HEIGHT, samples=SAMPLES, **view)
    still = render_cup(cups[name], shot, renderer, light=light, keep_linear=True)
    desk.settle()

    on_cup, behind = differences(desk.shot(), still)

    print(f"{name} {light}: cup {on_cup:.3f}, behind {behind:.3f}")
    assert on_cup <= most
    assert behind <= 0.2
    assert desk.faults == []


def test_while_it_turns_the_cup_s_edge_is_as_bright_as_at_rest(desk, packed):
    """One sub-sample a pixel, yet no bars: over five pixels across the edge the light is the same.

    Codes of luma; with each pixel of the edge drawn whole and as it is in its middle, 13.
    """
    desk.show(packed("demo").to_bytes(), samples=16)
    desk.settle()
    still = desk.shot() @ LUMA
    try:
        desk.page.evaluate("performance.now = () => 0")  # it never comes to rest, and is never slow
        for turn_deg in range(12, -1, -1):  # until its pixels are the screen's
            desk.ask(f"shown.setView({{ turn_deg: {turn_deg} }})")
            desk.page.wait_for_timeout(100)
        desk.page.wait_for_timeout(500)
        assert desk.ask("shown.state()") == "moving"
        turning = desk.shot() @ LUMA
    finally:
        desk.page.evaluate("delete performance.now")

    assert not np.array_equal(turning, still)
    wall = slice(HEIGHT // 5, 3 * HEIGHT // 4)
    for side in (1, -1):
        rest, moves = still[wall, ::side], turning[wall, ::side]
        edge = (np.abs(rest - rest[:, :1]) > 25).argmax(axis=1)
        assert edge.min() > 20
        across = edge[:, None] + np.arange(-2, 3)
        means = [np.take_along_axis(one, across, axis=1).mean(axis=1) for one in (rest, moves)]
        assert np.sqrt(np.mean((means[1] - means[0]) ** 2)) < 9


def test_a_zoomed_view_is_a_part_of_a_larger_still(desk, cups, packed, renderer):
    """Zoom 2 shows the middle half of a still of twice the size; bloom's width is the picture's."""
    view = VIEWS["foil"]
    desk.show(packed("foil").to_bytes(), samples=1, view={**view, "zoom": 2, "centre": [0, 0.25]})
    shot = Shot(2 * WIDTH, 2 * HEIGHT, samples=1, **view)
    still = render_cup(cups["foil"], shot, renderer, light="softbox", keep_linear=True)
    desk.settle()

    top, left = HEIGHT // 4, WIDTH // 2
    part = slice(top, top + HEIGHT), slice(left, left + WIDTH)
    seen = replace(still, rgba8_srgb=still.rgba8_srgb[part], linear=still.linear[part])
    on_cup, _ = differences(desk.shot(), seen)
    assert on_cup <= 0.6


def test_a_picture_is_drawn_apart(front):
    """Another side, while the front stays on screen; the same as that side on screen."""
    before = front.shot()
    front.page.evaluate(
        """async () => {
          const bitmap = await shown.picture({ samples: 1, view: { turn_deg: 90 } });
          const { width, height } = bitmap, sheet = document.createElement("canvas");
          Object.assign(sheet, { width, height });
          sheet.getContext("2d").drawImage(bitmap, 0, 0);
          window.apart = sheet.toDataURL();
        }"""
    )
    png = base64.b64decode(front.ask("apart").split(",")[1])
    apart = np.asarray(Image.open(io.BytesIO(png)).convert("RGB"))
    np.testing.assert_array_equal(front.shot(), before)

    front.ask("shown.setView({ turn_deg: 90 })")
    front.settle()

    np.testing.assert_array_equal(front.shot(), apart)
