"""From the encoded frame to radiance, and from radiance to a picture.

Each sub-sample goes through the tone curve before the mean, so that a bright flake or a silhouette
against a highlight keeps smooth edges. The curve leaves values up to the knee as they are: a
swatch's colour on the picture is its colour under the light.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.render.stage import enlarged

__all__ = ["KNEE", "Developer", "Picture", "decode", "tone"]

Floats = NDArray[np.float32]

KNEE = 0.72  # displayed linear value up to which the curve is the identity
BLOOM = 0.05  # share of light above white that a lens spreads


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """A developed picture.

    Attributes
    ----------
    rgba8_srgb : (height, width, 3 or 4) uint8
        Four channels when the ground is transparent (straight alpha).
    linear : (height, width, 4) float32 or None
        Untouched radiance in linear sRGB primaries, and the cup's coverage.
    """

    rgba8_srgb: NDArray[np.uint8]
    linear: Floats | None


def tone(value: NDArray[np.floating]) -> NDArray[np.floating]:
    """Displayed linear value for exposed radiance: identity, then a shoulder up to 1."""
    room = 1 - KNEE
    over = np.maximum(value - KNEE, 0)
    shoulder: NDArray[np.floating] = np.minimum(value, KNEE) + room * (1 - np.exp(-over / room))
    return shoulder


@lru_cache(maxsize=4)
def _tables(exposure: float) -> tuple[Floats, Floats, Floats]:
    """Encoded (exponent, mantissa) → radiance, toned value, light above white: (65536,) each."""
    exponent = np.exp2((np.arange(256) - 128) / 8.0)
    exponent[0] = 0  # background
    radiance = (exponent[:, None] * np.arange(256)[None, :] / 255).ravel()
    value = radiance * exposure
    excess = np.clip(value - 1, 0, 6)
    return radiance.astype(np.float32), tone(value).astype(np.float32), excess.astype(np.float32)


def _indices(code: NDArray[np.uint8]) -> NDArray[np.uint16]:
    high = np.left_shift(code[..., 3], 8, dtype=np.uint16)
    joined: NDArray[np.uint16] = np.bitwise_or(high[..., None], code[..., :3], dtype=np.uint16)
    return joined


def decode(code: NDArray[np.uint8]) -> Floats:
    """Radiance (background counts as 0) and coverage of one frame: (height, width, 4) float32."""
    radiance, _, _ = _tables(1.0)
    covered = (code[..., 3:] > 0).astype(np.float32)
    return np.concatenate([radiance.take(_indices(code)), covered], axis=-1)


class Developer:
    """Gathers the sub-samples of one picture and develops their mean.

    Parameters
    ----------
    exposure
        Factor from radiance to displayed linear value.
    keep_linear
        Whether the untouched radiance is wanted too.
    """

    def __init__(self, *, exposure: float, keep_linear: bool) -> None:
        self._exposure, self._keep_linear = exposure, keep_linear
        self._count = 0
        self._size = (0, 0)  # height and width, px
        self._box = (slice(0, 1), slice(0, 1))
        none: Floats = np.zeros((0, 0, 3), np.float32)
        self._shown, self._linear, self._coverage, self._glare = none, none, none, none

    def add(self, code: NDArray[np.uint8]) -> None:
        """Take in one frame, a sub-sample of every pixel: (height, width, 4) uint8."""
        if self._count == 0:
            self._size = (code.shape[0], code.shape[1])
            self._box = _box_of_cup(code)
            shape = code[self._box].shape[:2]
            self._shown, self._linear = np.zeros((2, *shape, 3), np.float32)
            self._coverage = np.zeros((*shape, 1), np.float32)
        cup = code[self._box]
        radiance, toned, excess = _tables(self._exposure)
        at = _indices(cup)
        self._shown += toned.take(at)
        self._coverage += cup[..., 3:] > 0
        if self._keep_linear:
            self._linear += radiance.take(at)
        if self._count == 0:
            self._glare = excess.take(at)
        self._count += 1

    def picture(self, ground: Floats | None) -> Picture:
        """The mean of what was added.

        Parameters
        ----------
        ground : (h, w, 3) float32 or None
            Radiance behind the cup, smooth and of any size; None leaves it transparent.
        """
        height, width = self._size
        count = np.float32(self._count)
        shown, coverage = self._shown / count, self._coverage / count
        linear = self._radiance(ground, coverage) if self._keep_linear else None
        if ground is None:
            picture = np.zeros((height, width, 4), np.uint8)
            picture[(*self._box, slice(3))] = rgb8_from_linear(shown / np.maximum(coverage, 1e-6))
            picture[(*self._box, 3)] = np.rint(coverage[..., 0] * 255)
            return Picture(picture, linear)
        whole = enlarged(tone(ground * np.float32(self._exposure)), width, height)
        whole[self._box] = shown + (1 - coverage) * whole[self._box]
        self._add_bloom(whole)
        return Picture(rgb8_from_linear(whole), linear)

    def _radiance(self, ground: Floats | None, coverage: Floats) -> Floats:
        height, width = self._size
        linear = np.zeros((height, width, 4), np.float32)
        if ground is not None:
            linear[..., :3] = enlarged(ground, width, height)
        cup = linear[self._box]
        cup[..., :3] = self._linear / self._count + (1 - coverage) * cup[..., :3]
        cup[..., 3:] = coverage
        return linear

    def _add_bloom(self, whole: Floats) -> None:
        """Light above white, spread by the lens, at about 400 rows a picture."""
        height = self._size[0]
        step = max(1, round(height / 400))
        margin = -(-height // (8 * step)) * step
        rows = _grown(self._box[0], margin, height)
        columns = _grown(self._box[1], margin, self._size[1])
        lit = whole[rows, columns]
        glare = np.zeros((*lit.shape[:2], 3), np.float32)
        top, left = self._box[0].start - rows.start, self._box[1].start - columns.start
        glare[top : top + self._glare.shape[0], left : left + self._glare.shape[1]] = self._glare
        short = [-n % step for n in lit.shape[:2]]
        glare = np.pad(glare, ((0, short[0]), (0, short[1]), (0, 0)))
        tall, wide = glare.shape[0] // step, glare.shape[1] // step
        small = glare.reshape(tall, step, wide, step, 3).mean((1, 3))
        unit = height / step / 400
        spread = 0.6 * gaussian_filter(small, (1.5 * unit, 1.5 * unit, 0))
        spread += 0.4 * gaussian_filter(small, (8 * unit, 8 * unit, 0))
        spread = enlarged(spread * np.float32(BLOOM), wide * step, tall * step)
        lit += spread[: lit.shape[0], : lit.shape[1]] * (1 - lit)


def _box_of_cup(code: NDArray[np.uint8]) -> tuple[slice, slice]:
    """Rows and columns of pixels that hold the cup, one to spare; at least one pixel."""
    hit = code[..., 3] > 0
    found = []
    for axis in (1, 0):
        at = np.flatnonzero(hit.any(axis))
        low, high = (int(at[0]), int(at[-1]) + 1) if len(at) else (0, 1)
        found.append(_grown(slice(low, high), 2, hit.shape[1 - axis]))
    return found[0], found[1]


def _grown(pixels: slice, margin: int, most: int) -> slice:
    return slice(max(pixels.start - margin, 0), min(pixels.stop + margin, most))
