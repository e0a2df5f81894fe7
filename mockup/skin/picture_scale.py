"""Reduces pictures in linear light and bleeds colour under what is transparent.

Light adds up in linear light, not in sRGB codes: reduced in codes, fine bright detail (type,
bunting, glitter) comes out too dark. Colours are weighted by alpha, so that what cannot be seen
adds nothing. Whole factors are averaged over boxes, band by band; the rest, a factor of 2 to 4,
goes through a Hamming-windowed sinc, which has no negative lobes that would ring beside edges.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image

__all__ = ["bled", "reduced"]

_BAND_ROWS = 256
_STEPS = 65_535


def reduced(image: Image.Image, size: tuple[int, int]) -> NDArray[np.uint8]:
    """A picture of mode RGB or RGBA at `size` = (width, height), no larger than it is.

    Returns
    -------
    (height, width, 4) uint8, sRGB with straight alpha.
    """
    width, height = size
    if (width, height) == image.size:
        return np.asarray(image.convert("RGBA"))
    box = max(1, min(image.width // width, image.height // height) // 2)
    light = _boxed(np.asarray(image), box)
    share = (0.0, 0.0, image.width / box, image.height / box)  # the last boxes may stick out
    planes = [
        np.asarray(Image.fromarray(plane).resize(size, Image.Resampling.HAMMING, box=share))
        for plane in light
    ]
    return _encoded(planes)


def _boxed(codes: NDArray[np.uint8], box: int) -> NDArray[np.float32]:
    """Means over `box` × `box` pixels, edges repeated.

    Returns
    -------
    (3 or 4, rows, columns) float32: linear r, g, b, each times alpha if there is any, and alpha.
    """
    height, width, channels = codes.shape
    rows, columns = -(-height // box), -(-width // box)
    light = np.zeros((channels, rows, columns), dtype=np.float32)
    linear = _linear_from_code()
    for first in range(0, rows, _BAND_ROWS):
        last = min(first + _BAND_ROWS, rows)
        band = codes[first * box : last * box]
        spare = ((0, (last - first) * box - len(band)), (0, columns * box - width), (0, 0))
        band = np.pad(band, spare, mode="edge") if box > 1 else band
        alpha = (band[..., 3] if channels == 4 else np.full(band.shape[:2], 255)) / np.float32(255)
        for i in range(channels):
            part = alpha if i == 3 else linear[band[..., i]] * alpha
            blocks = part.reshape(last - first, box, columns, box)
            light[i, first:last] = blocks.mean(axis=(1, 3)) if box > 1 else part
    return light


def _encoded(planes: Sequence[NDArray[np.float32]]) -> NDArray[np.uint8]:
    """Straight sRGB codes; the curve is read from a table of 2^16 steps, 1/20 of a code each."""
    x = np.arange(_STEPS + 1) / _STEPS
    curve = np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.power(x, 1 / 2.4) - 0.055)
    code_from_step = np.rint(curve * 255).astype(np.uint8)
    rgba = np.full((*planes[0].shape, 4), 255, dtype=np.uint8)
    gain: np.floating | NDArray[np.floating] = np.float32(_STEPS)
    if len(planes) == 4:
        rgba[..., 3] = np.rint(np.clip(planes[3], 0, 1) * 255)
        gain = gain / np.maximum(planes[3], np.float32(1e-6))
    for i, plane in enumerate(planes[:3]):
        step = np.clip(plane * gain, 0, _STEPS) + np.float32(0.5)
        rgba[..., i] = code_from_step[step.astype(np.uint16)]
    return rgba


def _linear_from_code() -> NDArray[np.float32]:
    """Linear light of each sRGB code; IEC 61966-2-1."""
    x = np.arange(256) / 255
    linear = np.where(x <= 0.04045, x / 12.92, ((x + 0.055) / 1.055) ** 2.4)
    return linear.astype(np.float32)


def bled(rgba: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The same picture with the colour of what can be seen spread under what cannot.

    Pull and push: the visible colours are averaged in ever larger boxes, then each empty pixel
    takes the smallest box that saw any (Gortler et al. 1996, doi:10.1145/237170.237200, sec. 3.4).
    """
    hidden = rgba[..., 3] == 0
    if not hidden.any() or hidden.all():
        return rgba
    weight = (~hidden).astype(np.float32)[..., None]
    filled = _pushed(rgba[..., :3].astype(np.float32), weight)
    whole = rgba.copy()
    whole[..., :3][hidden] = np.rint(filled[hidden])
    return whole


def _pushed(colour: NDArray[np.float32], weight: NDArray[np.float32]) -> NDArray[np.float32]:
    height, width = weight.shape[:2]
    if weight.all() or max(height, width) == 1:
        return colour
    spare = ((0, height % 2), (0, width % 2), (0, 0))
    seen = np.pad(weight, spare)
    light = np.pad(colour * weight, spare)
    half = (len(seen) // 2, 2, seen.shape[1] // 2, 2, -1)
    total = seen.reshape(half).sum(axis=(1, 3))
    mean = light.reshape(half).sum(axis=(1, 3)) / np.maximum(total, 1)
    coarse = _pushed(mean, (total > 0).astype(np.float32))
    spread = coarse.repeat(2, axis=0).repeat(2, axis=1)[:height, :width]
    return np.where(weight > 0, colour, spread)
