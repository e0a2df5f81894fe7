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

__all__ = ["KNEE", "Picture", "decode", "develop", "tone"]

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
def _tables(exposure: float) -> tuple[Floats, Floats]:
    """Encoded (exponent, mantissa) → radiance, and → toned value: (65536,) float32 each."""
    exponent = np.exp2((np.arange(256) - 128) / 8.0)
    exponent[0] = 0  # background
    radiance = (exponent[:, None] * np.arange(256)[None, :] / 255).ravel()
    return radiance.astype(np.float32), tone(radiance * exposure).astype(np.float32)


def _indices(code: NDArray[np.uint8]) -> NDArray[np.uint16]:
    high = code[..., 3].astype(np.uint16) << 8
    joined: NDArray[np.uint16] = high[..., None] | code[..., :3]
    return joined


def _mean(code: NDArray[np.uint8], side: int, table: Floats) -> Floats:
    """Mean over side × side sub-samples of what `table` makes of each."""
    total = np.zeros((code.shape[0] // side, code.shape[1] // side, 3), np.float32)
    for j in range(side):
        for i in range(side):
            total += table.take(_indices(code[j::side, i::side]))
    return total / np.float32(side * side)


def _coverage(code: NDArray[np.uint8], side: int) -> Floats:
    hit = (code[..., 3] > 0).reshape(code.shape[0] // side, side, code.shape[1] // side, side)
    return hit.mean((1, 3), dtype=np.float32)


def decode(code: NDArray[np.uint8], side: int) -> Floats:
    """Mean radiance (background counts as 0) and coverage: (height, width, 4) float32."""
    radiance, _ = _tables(1.0)
    return np.concatenate(
        [_mean(code, side, radiance), _coverage(code, side)[..., None]], axis=-1
    )


def develop(
    code: NDArray[np.uint8],
    side: int,
    *,
    exposure: float,
    ground: Floats | None,
    keep_linear: bool,
) -> Picture:
    """Make a picture.

    Parameters
    ----------
    code : (height · side, width · side, 4) uint8
        As the host returns it.
    exposure
        Factor from radiance to displayed linear value.
    ground : (h, w, 3) float32 or None
        Radiance behind the cup, smooth and of any size; None leaves it transparent.
    """
    height, width = code.shape[0] // side, code.shape[1] // side
    rows, columns = _box(code, side)
    cup = code[_scaled(rows, side), _scaled(columns, side)]
    _, toned = _tables(exposure)
    shown, coverage = _mean(cup, side, toned), _coverage(cup, side)[..., None]
    linear = None
    if keep_linear:
        linear = np.zeros((height, width, 4), np.float32)
        if ground is not None:
            linear[..., :3] = enlarged(ground, width, height)
        radiance = decode(cup, side)
        radiance[..., :3] += (1 - coverage) * linear[rows, columns, :3]
        linear[rows, columns] = radiance
    if ground is None:
        picture = np.zeros((height, width, 4), np.uint8)
        picture[rows, columns, :3] = rgb8_from_linear(shown / np.maximum(coverage, 1e-6))
        picture[rows, columns, 3] = np.rint(coverage[..., 0] * 255)
        return Picture(picture, linear)
    whole = enlarged(tone(ground * np.float32(exposure)), width, height)
    whole[rows, columns] = shown + (1 - coverage) * whole[rows, columns]
    margin = height // 8
    around = _grown(rows, margin, height), _grown(columns, margin, width)
    lit = whole[around]
    glow = _bloom(code[tuple(_scaled(s, side) for s in around)][::side, ::side], exposure, height)
    lit += enlarged(glow, lit.shape[1], lit.shape[0]) * (1 - lit)
    return Picture(rgb8_from_linear(whole), linear)


def _box(code: NDArray[np.uint8], side: int) -> tuple[slice, slice]:
    """Rows and columns of pixels that hold the cup; at least one pixel."""
    hit = code[..., 3] > 0
    found = []
    for axis in (1, 0):
        at = np.flatnonzero(hit.any(axis))
        low, high = (int(at[0]), int(at[-1])) if len(at) else (0, 0)
        found.append(slice(low // side, high // side + 1))
    return found[0], found[1]


def _scaled(pixels: slice, side: int) -> slice:
    return slice(pixels.start * side, pixels.stop * side)


def _grown(pixels: slice, margin: int, most: int) -> slice:
    return slice(max(pixels.start - margin, 0), min(pixels.stop + margin, most))


def _bloom(code: NDArray[np.uint8], exposure: float, height_px: int) -> Floats:
    """Light above white, spread by the lens: (h, w, 3) float32 at about 400 rows a picture."""
    radiance, _ = _tables(exposure)
    excess = np.clip(radiance * np.float32(exposure) - 1, 0, 6).astype(np.float32)
    step = max(1, round(height_px / 400))
    short = [-n % step for n in code.shape[:2]]
    over = np.pad(code, ((0, short[0]), (0, short[1]), (0, 0)))
    one = excess.take(_indices(over))
    rows, columns = one.shape[0] // step, one.shape[1] // step
    small = one.reshape(rows, step, columns, step, 3).mean((1, 3))
    unit = height_px / step / 400
    spread = 0.6 * gaussian_filter(small, (1.5 * unit, 1.5 * unit, 0))
    spread += 0.4 * gaussian_filter(small, (8 * unit, 8 * unit, 0))
    return np.asarray(spread * np.float32(BLOOM), np.float32)
