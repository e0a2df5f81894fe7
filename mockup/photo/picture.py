"""A photo as linear light: upright, its profile applied, with what was clipped or lost in the dark.

JPEG, PNG and HEIC are read. Phones record in Display P3; what that holds beyond sRGB is kept, as
values below 0 or above 1.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.design.document import Asset
from mockup.errors import PhotoError
from mockup.files import read_up_to
from mockup.photo.profile import read_matrix_profile
from mockup.skin.picture import in_srgb, open_picture, upright_pixels

__all__ = ["MOST_PHOTO_PIXELS", "Photo", "open_photo"]

MOST_PHOTO_BYTES = 64_000_000
MOST_PHOTO_PIXELS = 50_000_000  # 12 bytes each in linear light
SMALLEST_PX = 64
CLIPPED_CODE = 250  # of 255; JPEG moves a clipped sensor's 255 by some codes
DARK_CODE = 10  # below, a code is a tenth or more of the light, and phones smear their noise
_TURNS = {3: "by 180°", 6: "by 90° to the right", 8: "by 90° to the left"}
_ORIENTATION = 0x0112  # EXIF 2.32


@dataclass(frozen=True, slots=True, eq=False)
class Photo:
    """An upright photo.

    Attributes
    ----------
    name
        Of its file, for messages.
    linear : (h, w, 3) float32
        Linear light over sRGB's primaries, 1 the file's own white; beyond [0, 1] where the file's
        profile is wider than sRGB.
    clipped, dark : (h, w) bool
        Where a channel reached the top of its range; where all of them are near its bottom.
    notes
        What was done to it, whole sentences.
    """

    name: str
    linear: NDArray[np.float32]
    clipped: NDArray[np.bool_]
    dark: NDArray[np.bool_]
    notes: tuple[str, ...] = ()

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        return self.linear.shape[1], self.linear.shape[0]


def open_photo(path: Path) -> Photo:
    """Read a photo.

    Raises
    ------
    PhotoError
        The file cannot be read, is no photo, or is too small or too large.
    AssetError
        It is damaged.
    """
    name = path.name
    data = read_up_to(
        path,
        MOST_PHOTO_BYTES,
        fault=PhotoError,
        what="photo",
        one="a photo",
        smaller="Scale the photo down first",
    )
    kind = _kind(data, name)
    if kind == "HEIF":
        from pillow_heif import register_heif_opener  # here, not at the top: most photos are JPEG

        register_heif_opener()
    asset = Asset(name, data)
    image = open_picture(asset, kind, where=name)
    width, height = image.size
    if width * height > MOST_PHOTO_PIXELS or min(width, height) < SMALLEST_PX:
        small = min(width, height) < SMALLEST_PX
        raise PhotoError(
            f"the photo has {width} × {height} pixels",
            where=name,
            remedy=f"Give one of {SMALLEST_PX} pixels a side or more"
            if small
            else f"Scale it down to {MOST_PHOTO_PIXELS // 1_000_000} million pixels or fewer",
        )
    notes = _turned(image)
    upright, icc = upright_pixels(asset, image, where=name)
    codes, linear = _linear(upright, icc, name, notes)
    brightest = codes.max(axis=-1)
    return Photo(name, linear, brightest >= CLIPPED_CODE, brightest < DARK_CODE, tuple(notes))


def _kind(data: bytes, name: str) -> str:
    if data.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if data[4:8] == b"ftyp" and data[8:12] in (b"heic", b"heix", b"mif1", b"msf1", b"heim"):
        return "HEIF"
    raise PhotoError(
        "this file is no photo that can be measured" if data else "this file is empty",
        where=name,
        remedy="Take it from the camera as JPEG, HEIC or PNG",
    )


def _turned(image: Image.Image) -> list[str]:
    """Say that the camera's note turned it; a place in the picture counts in it upright."""
    turn = int(image.info.get("original_orientation") or image.getexif().get(_ORIENTATION, 1))
    if turn == 1:
        return []
    how = _TURNS.get(turn, "over")
    return [f"The photo was turned {how}, as the camera noted; places count in it upright."]


def _linear(
    image: Image.Image, icc: bytes | None, name: str, notes: list[str]
) -> tuple[NDArray[np.uint8], NDArray[np.float32]]:
    """The codes as recorded, and linear sRGB."""
    if image.mode in ("LA", "RGBA"):
        image = image.convert(image.mode[:-1])
    profile = read_matrix_profile(icc) if icc and image.mode == "RGB" else None
    if profile is not None:
        codes = np.asarray(image)
        return codes, profile.linear(codes)
    codes = np.asarray(in_srgb(image, icc, name, notes))
    return codes, linear_from_rgb8(codes)
