import sys
from contextlib import suppress

import numpy as np
import OpenEXR
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.errors import AssetError
from mockup.render.light_file import decode_rgbe, is_panorama_name, read_panorama
from mockup.render.lights import WHITE_CARD, directions, find_light, illuminant_of

HEAD = b"#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n"


def encoded(picture):
    """Mantissas and exponents of a picture (Ward 1991): (rows, columns, 4) uint8."""
    largest = np.maximum(picture.max(-1), 1e-30)
    exponent = np.floor(np.log2(largest)).astype(int) + 1
    mantissa = np.floor(picture * np.exp2(8.0 - exponent)[..., None])
    rgbe = np.concatenate([mantissa, (exponent + 128)[..., None]], -1)
    return np.where(largest[..., None] > 1e-20, rgbe, 0).astype(np.uint8)


def packed(rgbe):
    """Scanlines of runs and literals, as the manual has them."""
    out = bytearray()
    for row in rgbe:
        out += bytes((2, 2, len(row) >> 8, len(row) & 255))
        for channel in row.T:
            x = 0
            while x < len(channel):
                end = x
                while end < len(channel) and channel[end] == channel[x] and end - x < 127:
                    end += 1
                if end - x > 2:
                    out += bytes((128 + end - x, channel[x]))
                else:
                    end = min(x + 5, len(channel))
                    out += bytes((end - x, *channel[x:end]))
                x = end
    return bytes(out)


def hdr(picture, *, head=HEAD, pack=True):
    rgbe = encoded(picture)
    size = f"\n-Y {len(rgbe)} +X {len(rgbe[0])}\n".encode()
    return head + size + (packed(rgbe) if pack else rgbe.tobytes())


def panorama(rows=32):
    """A grey sphere with a bright spot right of its middle, above the horizon."""
    picture = np.full((rows, 2 * rows, 3), 0.25)
    picture[rows // 4, rows + rows // 4] = 40.0, 30.0, 20.0
    return picture


def saved(path, picture):
    if path.suffix == ".exr":
        channels = {c: picture[..., i].astype(np.float32) for i, c in enumerate("RGB")}
        header = {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.scanlineimage}
        with OpenEXR.File(header, channels) as file:
            file.write(str(path))
    else:
        path.write_bytes(hdr(picture))
    return path


def test_a_pixel_is_worth_what_ward_says(tmp_path):
    """Graphics Gems II: (m + 1/2) / 256 · 2^(e − 128), and 0 where the exponent is 0."""
    pixels = bytes((128, 64, 0, 129, 9, 9, 9, 0)) * 128

    light = decode_rgbe(HEAD + b"\n-Y 8 +X 16\n" + pixels[: 8 * 16 * 4], tmp_path)

    np.testing.assert_array_equal(light[0, 0], np.array([128.5, 64.5, 0.5]) / 128)
    np.testing.assert_array_equal(light[0, 1], 0.0)


@given(st.integers(0, 2**32 - 1), st.floats(0.5, 0.999))
def test_runs_and_plain_pixels_read_alike(seed, repeated):
    rng = np.random.default_rng(seed)
    picture = np.exp(rng.uniform(-6, 6, (8, 16, 3)))
    same = rng.random((8, 16)) < repeated
    picture[same] = picture[0, 0]

    runs, plain = (decode_rgbe(hdr(picture, pack=pack), None) for pack in (True, False))

    np.testing.assert_array_equal(runs, plain)
    off = np.abs(runs - picture).max(-1) / picture.max(-1)
    assert off.max() <= 1 / 256 + 1e-6  # half of the coarsest step


def test_an_exposure_in_the_header_is_taken_back(tmp_path):
    twice = HEAD + b"EXPOSURE=  2.0\nEXPOSURE=4\n"

    light = decode_rgbe(hdr(np.ones((8, 16, 3)), head=twice), tmp_path)

    np.testing.assert_allclose(light, 1 / 8, rtol=1 / 128)


@pytest.mark.parametrize("name", ["sky.hdr", "sky.exr"])
def test_what_lies_right_of_the_middle_shines_from_behind_at_the_right(tmp_path, name):
    """The camera looks along +y with +x at its right; the spot is 45° right and 43° up."""
    radiance = read_panorama(saved(tmp_path / name, panorama()))

    brightest = np.unravel_index(radiance[..., 0].argmax(), radiance.shape[:2])
    towards = directions(*radiance.shape[:2])[brightest]
    up = np.radians(90 - (8 + 0.5) / 32 * 180)
    right = np.radians((40 + 0.5) / 64 * 360 - 180)
    expected = np.array([np.sin(right) * np.cos(up), np.cos(right) * np.cos(up), np.sin(up)])
    assert towards @ expected > np.cos(np.radians(4.0))  # a texel is 5.6° wide


@pytest.mark.parametrize("rows", [64, 700])
def test_the_light_that_comes_in_stays_the_same(tmp_path, rows):
    """Means over areas survive the change of size: the map's sum over solid angle."""

    def whole(radiance):
        z = directions(*radiance.shape[:2])[..., 2]
        weight = np.sqrt(1 - z**2)[..., None]
        return (radiance * weight).sum((0, 1)) / weight.sum((0, 1))

    picture = panorama(rows)
    radiance = read_panorama(saved(tmp_path / "sky.exr", picture))

    np.testing.assert_allclose(whole(radiance), whole(picture), rtol=2e-3)


def test_a_panorama_lights_the_cup_and_its_table(tmp_path):
    path = saved(tmp_path / "sky.hdr", panorama())

    light = find_light(str(path))

    assert (light.name, illuminant_of(str(path))) == (str(path), "D65")
    assert WHITE_CARD < light.exposure * 0.25 < 2 * WHITE_CARD  # the card sees the darker table too
    np.testing.assert_allclose(light.backdrop, 0.25, rtol=0.01)
    assert (light.table > 0.4 * 0.25).all()


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("gone.hdr", None, "the light gone.hdr cannot be read (No such file or directory)"),
        ("p.hdr", b"\x89PNG\r\n", "it is not a Radiance picture"),
        ("p.exr", b"#?RADIANCE\n", "it is not an OpenEXR picture"),
        ("p.exr", b"\x76\x2f\x31\x01\x02\x00", "its pixels break off or are damaged"),
        ("p.hdr", HEAD, "'' is not the size of an upright picture"),
        ("p.hdr", HEAD + b"\n+X 64 -Y 32\n", "'+X 64 -Y 32' is not the size of an upright picture"),
        ("p.hdr", HEAD + b"\n-Y 64 +X 64\n", "64 × 64 px is not twice as wide as high"),
        ("p.hdr", HEAD + b"\n-Y 99999 +X 199998\n", "199998 × 99999 px is more than we take"),
        ("p.hdr", hdr(panorama())[:-9], "its pixels break off or are damaged"),
        ("p.hdr", hdr(np.zeros((32, 64, 3))), "it is black all over"),
        ("p.hdr", HEAD.replace(b"rgbe", b"xyze") + b"\n-Y 32 +X 64\n", "its colours are XYZ"),
    ],
)
def test_a_file_that_is_no_panorama_is_told_in_one_sentence(tmp_path, name, data, sentence):
    path = tmp_path / name
    if data is not None:
        path.write_bytes(data)

    with pytest.raises(AssetError) as told:
        find_light(str(path))

    assert told.value.problem == sentence


def test_pixels_that_are_not_numbers_are_told(tmp_path):
    picture = panorama()
    picture[3, 3] = np.nan

    with pytest.raises(AssetError, match="some of its pixels are not numbers"):
        read_panorama(saved(tmp_path / "p.exr", picture))


def test_without_the_library_exr_files_say_what_to_install(tmp_path, monkeypatch):
    path = saved(tmp_path / "p.exr", panorama())
    monkeypatch.setitem(sys.modules, "OpenEXR", None)

    with pytest.raises(AssetError, match=r"pip install \"tumbler-mockup\[exr\]\""):
        read_panorama(path)


@given(st.binary(max_size=200))
def test_any_bytes_at_all_are_refused_or_read(data):
    with suppress(AssetError):
        light = decode_rgbe(HEAD + b"\n-Y 8 +X 16\n" + data, None)
        assert np.isfinite(light).all()


def test_files_are_told_from_our_own_lights():
    assert is_panorama_name("lights/Noon.HDR")
    assert not is_panorama_name("market")
