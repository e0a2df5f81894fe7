"""Bitmaps from cameras, scanners and editors → upright sRGB with straight alpha."""

import io
import struct
import warnings
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from PIL import Image, ImageCms, ImageOps

from mockup.design.document import Asset
from mockup.errors import AssetError

__all__ = [
    "MOST_PIXELS",
    "Picture",
    "in_srgb",
    "open_picture",
    "picture_size_px",
    "read_picture",
    "upright_pixels",
]

MOST_PIXELS = 120_000_000
_DECODER_FAULTS = (
    OSError,
    SyntaxError,
    ValueError,
    EOFError,
    IndexError,
    KeyError,
    TypeError,
    OverflowError,
    NotImplementedError,
    struct.error,
    zlib.error,
)
_ORIENTATION = 0x0112  # EXIF 2.32, tag Orientation
_TURNED = (5, 6, 7, 8)  # its values that swap width and height


@dataclass(frozen=True, slots=True)
class Picture:
    """An upright picture in sRGB: mode RGBA with straight alpha, or RGB without."""

    image: Image.Image
    notes: tuple[str, ...]


def open_picture(asset: Asset, kind: str, *, where: str) -> Image.Image:
    """The picture with its pixels not yet read; its size is within `MOST_PIXELS`.

    Raises
    ------
    AssetError
        The header cannot be read or promises too many pixels.
    """
    try:
        with _quiet():  # our own limit follows
            image = Image.open(io.BytesIO(asset.data), formats=[kind])
            width, height = image.size
    except Image.DecompressionBombError as error:
        raise _too_large(asset, where) from error
    except _DECODER_FAULTS as error:
        raise _damaged(asset, where) from error
    if width * height > MOST_PIXELS:
        raise _too_large(asset, where)
    return image


def picture_size_px(image: Image.Image) -> tuple[int, int]:
    """Width and height as it will stand upright."""
    width, height = image.size
    return (height, width) if _orientation(image) in _TURNED else (width, height)


def _orientation(image: Image.Image) -> int:
    """EXIF's orientation, 1 (upright) if there is none; Pillow turns TIFF upright by itself."""
    if image.format == "TIFF":
        return 1
    try:
        with _quiet():
            return int(image.getexif().get(_ORIENTATION, 1))
    except _DECODER_FAULTS:
        return 1


@contextmanager
def _quiet() -> Iterator[None]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def read_picture(
    asset: Asset, image: Image.Image, need_px: tuple[int, int], *, where: str
) -> Picture:
    """Read the pixels, upright and in sRGB.

    Parameters
    ----------
    image
        From `open_picture`.
    need_px
        Upright width and height that it will be reduced to. A JPEG at least four times as large
        is halved as it is decoded, which is quick but averages codes; twice what is needed is
        left for linear light, and a camera's detail at the scale of a pixel is faint.

    Raises
    ------
    AssetError
        The data end early or are damaged, or the pixels are of a kind that is not read.
    """
    notes: list[str] = []
    if getattr(image, "n_frames", 1) > 1 and image.format != "TIFF":
        notes.append(f"{asset.name} is an animation; its first frame is used")
    elif getattr(image, "n_frames", 1) > 1:
        notes.append(f"{asset.name} has several pages; its first is used")
    if image.format == "JPEG":
        width, height = need_px if _orientation(image) not in _TURNED else need_px[::-1]
        image.draft(None, (2 * width, 2 * height))
    image, icc = upright_pixels(asset, image, where=where)
    return Picture(in_srgb(image, icc, asset.name, notes), tuple(notes))


def upright_pixels(
    asset: Asset, image: Image.Image, *, where: str
) -> tuple[Image.Image, bytes | None]:
    """The codes as the file holds them, turned upright, and its colour profile.

    Returns
    -------
    image
        Mode L, LA, RGB, RGBA, CMYK or LAB with 8 bits.
    bytes or None
        The ICC profile that says what the codes mean.

    Raises
    ------
    AssetError
        The data end early or are damaged, or the pixels are of a kind that is not read.
    """
    try:
        with _quiet():  # faults in metadata; the pixels are what counts
            image.load()
            icc = image.info.get("icc_profile")
            if _orientation(image) != 1:
                image = ImageOps.exif_transpose(image)
    except _DECODER_FAULTS as error:
        raise _damaged(asset, where) from error
    except MemoryError as error:
        raise _too_large(asset, where) from error
    return _plain(asset, image, where), icc


def _plain(asset: Asset, image: Image.Image, where: str) -> Image.Image:
    """One of the modes L, LA, RGB, RGBA, CMYK, LAB with 8 bits."""
    if image.mode.startswith("I;16"):
        return Image.frombytes("L", image.size, _high_bytes(image))
    if image.mode in ("I", "F"):
        raise AssetError(
            f"{asset.name} holds {'32-bit' if image.mode == 'I' else 'floating-point'} values",
            where=where,
            remedy="Save it with 8 or 16 bits",
        )
    if image.mode in ("L", "RGB") and "transparency" in image.info:
        return image.convert("RGBA")
    modes = {"1": "L", "P": "RGBA", "PA": "RGBA", "La": "LA", "RGBa": "RGBA", "RGBX": "RGB"}
    return (
        image.convert(modes.get(image.mode, "RGB"))
        if image.mode not in ("L", "LA", "RGB", "RGBA", "CMYK", "LAB")
        else image
    )


def _high_bytes(image: Image.Image) -> bytes:
    """16 bits to 8 with rounding: v / 257."""
    import numpy as np

    wide = np.asarray(image).astype(np.uint32)
    return ((wide + 128) // 257).astype(np.uint8).tobytes()


def in_srgb(image: Image.Image, icc: bytes | None, name: str, notes: list[str]) -> Image.Image:
    """Convert by the embedded profile; without one, pictures are taken as sRGB."""
    alpha = image.getchannel("A") if image.mode in ("LA", "RGBA") else None
    colour = image.convert(image.mode[:-1]) if alpha is not None else image
    converted = _by_profile(colour, icc, name, notes)
    if converted is None:
        if colour.mode in ("CMYK", "LAB"):
            notes.append(f"{name} is {colour.mode} without a usable profile; colours are a guess")
        converted = colour.convert("RGB")
    if alpha is not None:
        converted.putalpha(alpha)
    return converted


def _by_profile(
    colour: Image.Image, icc: bytes | None, name: str, notes: list[str]
) -> Image.Image | None:
    srgb = ImageCms.createProfile("sRGB")
    try:
        if colour.mode == "LAB":
            source: object = ImageCms.createProfile("LAB")
        elif icc:
            source = ImageCms.ImageCmsProfile(io.BytesIO(icc))
            space = str(source.profile.xcolor_space).strip()
            if space == "RGB" and colour.mode == "L":
                colour = colour.convert("RGB")
            elif space == "GRAY" and colour.mode == "RGB":
                colour = colour.convert("L")
        else:
            return None
        return ImageCms.profileToProfile(
            colour,
            source,  # type: ignore[arg-type]
            srgb,
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
            outputMode="RGB",
            flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        notes.append(f"{name} has a colour profile that cannot be used; it is left out")
        return None


def _damaged(asset: Asset, where: str) -> AssetError:
    return AssetError(
        f"{asset.name} is damaged or ends early",
        where=where,
        remedy="Open it in a picture editor and save it again",
    )


def _too_large(asset: Asset, where: str) -> AssetError:
    return AssetError(
        f"{asset.name} has more than {MOST_PIXELS // 1_000_000} million pixels",
        where=where,
        remedy="Scale it down first",
    )
