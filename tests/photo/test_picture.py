"""A photo is read as linear light, whatever its file and profile."""

import io

import numpy as np
import pytest
from PIL import Image, ImageCms

from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.errors import PhotoError
from mockup.photo.picture import open_photo
from mockup.photo.profile import read_matrix_profile

RAMP = np.stack(
    np.broadcast_arrays(
        np.arange(96, dtype=np.uint8)[None, :] * 2, np.arange(64, dtype=np.uint8)[:, None] * 3, 90
    ),
    axis=-1,
).astype(np.uint8)


def _saved(folder, name, **how):
    path = folder / name
    Image.fromarray(RAMP).save(path, **how)
    return path


def test_a_png_without_a_profile_is_srgb(tmp_path):
    photo = open_photo(_saved(tmp_path, "ramp.png"))

    np.testing.assert_array_equal(photo.linear, linear_from_rgb8(RAMP))
    assert photo.size_px == (96, 64)
    assert photo.notes == ()


def test_its_own_srgb_profile_changes_nothing(tmp_path):
    """Curves and matrix of littleCMS's sRGB against ours: 16-bit curves, 4-digit matrices."""
    icc = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()

    photo = open_photo(_saved(tmp_path, "ramp.png", icc_profile=icc))

    np.testing.assert_allclose(photo.linear, linear_from_rgb8(RAMP), atol=4e-4)


def _display_p3():
    """A profile with P3's primaries (SMPTE EG 432-1, white D65) by littleCMS's own adaptation."""
    icc = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    # Display P3 colorants adapted to D50, as s15Fixed16: 0.51512, 0.24120, −0.00105 …
    columns = {
        b"rXYZ": (0.51512, 0.24120, -0.00105),
        b"gXYZ": (0.29198, 0.69225, 0.04189),
        b"bXYZ": (0.15710, 0.06657, 0.78407),
    }
    for i in range(int.from_bytes(icc[128:132], "big")):
        entry = 132 + 12 * i
        name, at = bytes(icc[entry : entry + 4]), int.from_bytes(icc[entry + 4 : entry + 8], "big")
        if name in columns:
            for j, value in enumerate(columns[name]):
                fixed = round(value * 65536).to_bytes(4, "big", signed=True)
                icc[at + 8 + 4 * j : at + 12 + 4 * j] = fixed
    return bytes(icc)


def test_a_phones_wide_red_is_kept_beyond_srgb():
    """Display P3 red in linear sRGB is (1.2249, −0.0420, −0.0197): W3C CSS Color 4, sample code."""
    profile = read_matrix_profile(_display_p3())

    red = profile.linear(np.array([255, 0, 0], np.uint8))

    np.testing.assert_allclose(red, [1.2249, -0.0420, -0.0197], atol=1.5e-3)


def test_white_stays_white_in_a_wide_profile():
    profile = read_matrix_profile(_display_p3())

    np.testing.assert_allclose(profile.linear(np.full(3, 255, np.uint8)), 1.0, atol=1e-3)


@pytest.mark.parametrize(("turn", "size"), [(6, (64, 96)), (8, (64, 96)), (3, (96, 64))])
def test_a_photo_that_the_camera_noted_as_turned_is_turned_and_told(tmp_path, turn, size):
    exif = Image.Exif()
    exif[0x0112] = turn

    photo = open_photo(_saved(tmp_path, "ramp.jpg", exif=exif, quality=95))

    assert photo.size_px == size
    assert "as the camera noted" in photo.notes[0]


def test_heic_is_read_and_its_turn_too(tmp_path):
    import pillow_heif

    exif = Image.Exif()
    exif[0x0112] = 6
    heif = pillow_heif.from_pillow(Image.fromarray(RAMP))
    heif.save(tmp_path / "ramp.heic", quality=95, exif=exif.tobytes())

    photo = open_photo(tmp_path / "ramp.heic")

    upright = linear_from_rgb8(np.rot90(RAMP, -1))
    assert photo.size_px == (64, 96)
    assert np.abs(np.sqrt(np.abs(photo.linear)) - np.sqrt(upright)).mean() < 0.02


def test_what_is_clipped_and_what_is_dark_is_marked(tmp_path):
    picture = np.full((64, 96, 3), 128, np.uint8)
    picture[:, :32, 0] = 255
    picture[:, 64:] = 4
    Image.fromarray(picture).save(tmp_path / "marks.png")

    photo = open_photo(tmp_path / "marks.png")

    assert photo.clipped[0].tolist() == [True] * 32 + [False] * 64
    assert photo.dark[0].tolist() == [False] * 64 + [True] * 32


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7 and so on", b"RIFF....WEBPVP8 ", b"<svg/>"])
def test_what_is_no_photo_is_refused_in_a_sentence(tmp_path, data):
    (tmp_path / "x.jpg").write_bytes(data)

    with pytest.raises(PhotoError, match=r"x\.jpg: this file is .*\. Take it from the camera"):
        open_photo(tmp_path / "x.jpg")


def test_a_photo_that_is_not_there_is_told(tmp_path):
    with pytest.raises(PhotoError, match="cannot be read"):
        open_photo(tmp_path / "none.jpg")


def test_a_photo_of_some_pixels_is_refused(tmp_path):
    Image.fromarray(RAMP[:20, :20]).save(tmp_path / "small.png")

    with pytest.raises(PhotoError, match="20 × 20 pixels"):
        open_photo(tmp_path / "small.png")


def test_a_damaged_photo_is_told(tmp_path):
    buffer = io.BytesIO()
    Image.fromarray(RAMP).save(buffer, "JPEG")
    (tmp_path / "cut.jpg").write_bytes(buffer.getvalue()[:400])

    with pytest.raises(Exception, match=r"damaged|ends early|no photo"):
        open_photo(tmp_path / "cut.jpg")
