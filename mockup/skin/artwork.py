"""Sheet artwork: any picture or drawing as sRGB pixels with straight alpha."""

import base64
import io
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from mockup.design.document import Asset
from mockup.errors import AssetError
from mockup.skin.picture import (
    MOST_PIXELS,
    open_picture,
    picture_size_px,
    read_picture,
)
from mockup.skin.picture_kind import kind_of
from mockup.skin.picture_scale import bled, reduced
from mockup.skin.sandbox import draw_svg
from mockup.skin.svg import Drawing, admit_svg
from mockup.skin.svg_length import PX_PER_INCH
from mockup.units import MM_PER_INCH

__all__ = ["Artwork", "artwork_size_mm", "read_artwork"]

_MM_PER_PX = MM_PER_INCH / PX_PER_INCH
_KEPT = 6  # pictures as they were read last, each a few dozen MB at most


@dataclass(frozen=True, slots=True)
class Artwork:
    """Pixels of sheet artwork.

    Attributes
    ----------
    rgba8_srgb : (height, width, 4) uint8
        sRGB with straight alpha, row 0 at the top; transparent pixels carry the colour of what
        is near them, so that filtering makes no dark fringe.
    notes
        What was guessed or left out, each a sentence without its full stop.
    """

    rgba8_srgb: NDArray[np.uint8]
    notes: tuple[str, ...] = ()


def artwork_size_mm(asset: Asset, *, where: str) -> tuple[float, float]:
    """Natural width and height, mm, at 96 px to the inch; their ratio is what matters.

    Raises
    ------
    AssetError
        The file is refused, or its header cannot be read.
    """
    kind = kind_of(asset, where=where)
    if kind == "SVG":
        drawing = admit_svg(asset, where=where)
        return drawing.width_px * _MM_PER_PX, drawing.height_px * _MM_PER_PX
    width, height = picture_size_px(open_picture(asset, kind, where=where))
    return width * _MM_PER_PX, height * _MM_PER_PX


def read_artwork(
    asset: Asset, *, where: str, width_px: int, height_px: int | None = None
) -> Artwork:
    """Read artwork at the resolution that is needed, in its own proportions.

    Parameters
    ----------
    asset
        PNG, JPEG, TIFF, WebP or SVG; what counts is its content.
    where
        Who asks, for messages.
    width_px, height_px
        The most that is needed across and, if given, down. The picture is reduced until it just
        satisfies both; a bitmap is never enlarged, a drawing is made to size.

    Raises
    ------
    AssetError
        The file is damaged, too large, not what its name says, or a drawing that is refused.
    """
    return _read(asset, where, width_px, height_px)


@lru_cache(maxsize=_KEPT)
def _read(asset: Asset, where: str, width_px: int, height_px: int | None) -> Artwork:
    """Kept, so that a cup whose lettering moves need not have its wrap drawn again."""
    artwork = _read_anew(asset, where, width_px, height_px)
    artwork.rgba8_srgb.flags.writeable = False
    return artwork


def _read_anew(asset: Asset, where: str, width_px: int, height_px: int | None) -> Artwork:
    kind = kind_of(asset, where=where)
    if kind == "SVG":
        return _drawn(asset, width_px, height_px, where=where)
    image = open_picture(asset, kind, where=where)
    size = _size_needed(picture_size_px(image), width_px, height_px, most=1.0)
    picture = read_picture(asset, image, size, where=where)
    rgba = reduced(picture.image, size)
    return Artwork(bled(rgba), picture.notes)


def _drawn(asset: Asset, width_px: int, height_px: int | None, *, where: str) -> Artwork:
    drawing = admit_svg(asset, where=where)
    _check_embedded(drawing, asset.name, where)
    natural = drawing.width_px, drawing.height_px
    width, height = _size_needed(natural, width_px, height_px, most=math.inf)
    if width * height > MOST_PIXELS:
        raise AssetError(
            f"{asset.name} would be {width} by {height} px",
            where=where,
            remedy="Give the drawing proportions nearer to the wall's",
        )
    png = draw_svg(
        drawing.text(width, height), width_px=width, height_px=height, name=asset.name, where=where
    )
    return Artwork(bled(np.asarray(Image.open(io.BytesIO(png)).convert("RGBA"))))


def _check_embedded(drawing: Drawing, name: str, where: str) -> None:
    """Refuse damaged or huge pictures inside a drawing, which would be left out in silence."""
    for element in drawing.root.iter():
        reference = element.get("href", "")
        if not reference.startswith("data:"):
            continue
        kind = reference.partition("/")[2].partition(";")[0].upper().replace("JPG", "JPEG")
        try:
            data = base64.b64decode(reference.partition(",")[2])
        except ValueError:
            data = b""
        inner = Asset(f"a picture inside {name}", data)
        image = open_picture(inner, kind, where=where)
        read_picture(inner, image, image.size, where=where)


def _size_needed(
    natural: tuple[float, float], width_px: int, height_px: int | None, *, most: float
) -> tuple[int, int]:
    width, height = natural
    scale = min(most, max(width_px / width, (height_px or 0) / height))
    return max(1, round(width * scale)), max(1, round(height * scale))
