"""Traced bitmaps against the shapes that they were drawn from."""

import io
import math
import time

import numpy as np
import pytest
from PIL import Image

from mockup.design.document import Asset
from mockup.errors import AssetError
from mockup.skin.outline import outline_from_bitmap


def asset(pixels, kind="PNG", **options):
    data = io.BytesIO()
    Image.fromarray(np.asarray(pixels, dtype=np.uint8)).save(data, kind, **options)
    return Asset(f"assets/logo.{kind.lower()}", data.getvalue())


def trace(pixels, **more):
    return outline_from_bitmap(asset(pixels), where="design.toml", **more)


def refusal(pixels, **more):
    with pytest.raises(AssetError) as caught:
        trace(pixels, **more)
    return str(caught.value)


def disc(size, x, y, radius):
    """Coverage of each pixel by a disc, from 8 × 8 points in each; x and y from the upper left."""
    at = (np.arange(size * 8) + 0.5) / 8
    inside = np.hypot(at[None, :] - x, at[:, None] - y) <= radius
    return inside.reshape(size, 8, size, 8).mean(axis=(1, 3))


def test_a_soft_edged_disc_is_found_to_a_hundredth_of_its_size():
    """π r² and the centre, from a disc 20 px in radius; the edge lies between pixels."""
    (shape,) = trace(255 * (1 - disc(64, 30.3, 25.7, 20))).geoms
    assert shape.area == pytest.approx(math.pi * 400, rel=0.01)
    assert shape.centroid.coords[0] == pytest.approx((30.3, 64 - 25.7), abs=0.05)
    ring = np.array(shape.exterior.coords) - (30.3, 64 - 25.7)
    np.testing.assert_allclose(np.hypot(*ring.T), 20, atol=0.25)


def test_a_rectangle_has_its_pixels_area():
    """Only the corners are rounded, by less than a pixel each."""
    pixels = np.full((40, 60), 255)
    pixels[10:30, 20:50] = 0
    shape = trace(pixels)
    assert shape.bounds == pytest.approx((20, 10, 50, 30), abs=0.01)
    assert 600 - 4 * 0.5 < shape.area < 600


def test_holes_and_islands_stay():
    ring = disc(128, 64, 64, 60) - disc(128, 64, 64, 40) + disc(128, 64, 64, 20)
    shape = trace(255 * (1 - ring))
    assert shape.area == pytest.approx(math.pi * (3600 - 1600 + 400), rel=0.01)
    assert sorted(len(p.interiors) for p in shape.geoms) == [0, 1]


def test_dark_and_light_are_each_others_complement():
    pixels = 255 * (1 - disc(80, 40, 40, 25))
    dark, light = trace(pixels), trace(pixels, dark_is_shape=False)
    assert dark.area + light.area == pytest.approx(80 * 80, rel=0.001)
    assert light.bounds == pytest.approx((0, 0, 80, 80), abs=0.01)


def test_threshold_lies_between_the_tones_whatever_they_are():
    """A faint grey print on a dull ground: the same disc as in black on white."""
    faint = 180 - 60 * disc(80, 40, 40, 25)
    assert trace(faint).area == pytest.approx(math.pi * 625, rel=0.01)


def test_specks_are_dust():
    pixels = np.full((60, 60), 255)
    pixels[10:50, 10:50] = 0
    pixels[3, 3] = pixels[55, 5] = 0
    pixels[30, 30] = 255
    (shape,) = trace(pixels).geoms
    assert len(shape.interiors) == 0


def test_clear_pixels_are_never_shape():
    """Black everywhere, but clear outside a disc; and the same in white."""
    pixels = np.zeros((64, 64, 4))
    pixels[..., 3] = 255 * disc(64, 32, 32, 20)
    for tone in (0, 255):
        pixels[..., :3] = tone
        assert trace(pixels).area == pytest.approx(math.pi * 400, rel=0.01)
    pixels[20:40, 28:36, :3] = 0
    assert trace(pixels).area == pytest.approx(160, rel=0.03)  # the black within the white disc


@pytest.mark.parametrize("value", [0, 128, 255])
def test_a_blank_bitmap_is_refused(value):
    assert "is blank" in refusal(np.full((20, 20), value))
    assert "is blank" in refusal(np.zeros((20, 20, 4)))


def test_a_photo_of_noise_is_refused():
    noise = np.random.default_rng(1).integers(0, 2, (400, 400)).repeat(4, 0).repeat(4, 1) * 255
    assert "pieces" in refusal(noise)


def test_a_drawing_is_no_bitmap():
    drawing = Asset("assets/a.svg", b"<svg xmlns='http://www.w3.org/2000/svg'/>")
    with pytest.raises(AssetError, match="Name it as svg"):
        outline_from_bitmap(drawing, where="design.toml")


def test_a_large_scan_keeps_its_own_pixels_as_units():
    """5000 px wide, traced on fewer: the shape is still where it was, in px of the file."""
    pixels = np.full((2000, 5000), 255, dtype=np.uint8)
    pixels[500:1500, 1000:4000] = 0
    began = time.perf_counter()
    shape = outline_from_bitmap(asset(pixels, "JPEG", quality=80), where="design.toml")
    assert shape.bounds == pytest.approx((1000, 500, 4000, 1500), abs=0.6)
    assert time.perf_counter() - began < 10
