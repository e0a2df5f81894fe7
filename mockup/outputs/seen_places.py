"""A photo made small, with the places outlined that were measured."""

import io
from collections.abc import Sequence
from dataclasses import dataclass

import font_source_sans_pro
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from mockup.colorimetry.srgb import srgb_from_linear

__all__ = ["LONGEST_PX", "Place", "outlined", "small_picture"]

LONGEST_PX = 900
"""The longer side of a small picture, at most."""
_LETTERS, _LINE = 20, 130  # a line of letters, and of an outline, in the shorter side
_DARK, _PALE = (20, 24, 28), (255, 255, 255)


@dataclass(frozen=True, slots=True)
class Place:
    """A polygon of the photo, corners (n, 2) px with (0, 0) the middle of the first pixel."""

    name: str
    corners_px: NDArray[np.float64]


def small_picture(linear: NDArray[np.float32]) -> bytes:
    """A photo at `LONGEST_PX` or less, as PNG.

    Parameters
    ----------
    linear : (h, w, 3) float32
        Linear sRGB.
    """
    return _png(_small(linear)[0])


def outlined(linear: NDArray[np.float32], places: Sequence[Place]) -> bytes:
    """As `small_picture`, with each place in a pale line on a dark one, and its name above it."""
    image, factor = _small(linear)
    draw = ImageDraw.Draw(image)
    font = ImageFont.truetype(
        font_source_sans_pro.font_files_ttf["SourceSansProSemibold"],
        max(min(image.size) // _LETTERS, 10),
    )
    for place in places:
        around = [tuple(at) for at in (place.corners_px + 0.5) / factor - 0.5]
        ring = [*around, around[0], around[1]]  # once over the first side: its corner is whole
        thin = max(min(image.size) // _LINE, 2)
        for width, colour in ((thin + 4, _DARK), (thin, _PALE)):
            draw.line(ring, fill=colour, width=width, joint="curve")
    for place in places:
        _label(draw, image.size, place.name, (place.corners_px / factor).min(axis=0), font)
    return _png(image)


def _label(
    draw: ImageDraw.ImageDraw,
    size: tuple[int, int],
    name: str,
    at: NDArray[np.float64],
    font: ImageFont.FreeTypeFont,
) -> None:
    """On a plate whose lower left corner lies at `at`, or as near as it stays in the picture."""
    pad = font.size / 4
    width, height = draw.textlength(name, font=font) + 2 * pad, 1.3 * font.size
    x = min(max(at[0] - 3, 0), size[0] - width)
    y = min(max(at[1] - height, 0), size[1] - height)
    draw.rectangle((x, y, x + width, y + height), fill=_DARK)
    draw.text((x + pad, y + height / 2), name, fill=_PALE, font=font, anchor="lm")


def _small(linear: NDArray[np.float32]) -> tuple[Image.Image, int]:
    """Means of blocks in linear light, and the side of a block, px."""
    factor = -(-max(linear.shape[:2]) // LONGEST_PX)
    height, width = (side // factor for side in linear.shape[:2])
    blocks = linear[: height * factor, : width * factor].reshape(height, factor, width, factor, 3)
    codes = 255.0 * srgb_from_linear(np.clip(blocks.mean(axis=(1, 3)), 0.0, 1.0))
    return Image.fromarray(np.rint(codes).astype(np.uint8)), factor


def _png(image: Image.Image) -> bytes:
    file = io.BytesIO()
    image.save(file, "PNG")
    return file.getvalue()
