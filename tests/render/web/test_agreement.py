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
