"""Flakes thrown by our own model, and a picture of them as a phone keeps it.

Hexagons at random places, turned any way, each on top of those thrown before, as bright as the
flakes of the photo were seen to be. As all flakes of a jar lie alike, all colours have one spread
of brightness, so that a colour whose dim flakes are hard to tell has it from the others.
"""

import io
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter

from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_linear
from mockup.photo.flake_regions import Ground

__all__ = ["Thrown", "thrown_picture"]

Floats = NDArray[np.float64]

_FLAKES = 2600  # thrown, about: fewer tell shares by chance
_LEAST_SIDE_PX, _MOST_SIDE_PX = 256, 640  # of the picture
_FINER = 2  # times finer while flakes are laid
_TURNS = 12  # ways in which a hexagon lies, over 60°
_BLUR_PX = 0.5  # σ of a phone's lens and demosaicing; a sharp one's, by which shares err least
_NOISE = 0.01  # relative, typical
_QUALITY = 85  # of its JPEG, typical
_MEANS_QUALITY = 95  # that errs as much as means of its pixels, about


@dataclass(frozen=True, slots=True)
class Thrown:
    """What is thrown: middle light of the colours (k, 3), their shares (k,), cut and coverage.

    `light` and `weight` (n,) are the brightnesses of flakes over their colour's middle one, and how
    often each occurs; `shade` is the light in the gaps over that without flakes.
    """

    rgb: Floats
    shares: Floats
    light: Floats
    weight: Floats
    cut_px: float
    coverage: float
    shade: float


def thrown_picture(
    mix: Thrown, ground: Ground, throw: int = 0
) -> tuple[NDArray[np.float32], Floats]:
    """A picture of the mix on a ground, and what is truly to be seen in it.

    Parameters
    ----------
    throw
        Number of the throw; each lies otherwise.

    Returns
    -------
    (side, side, 3) float32
        White by the card.
    (side, side, 1 + k) float64
        Of each pixel the shares of ground and of each colour.
    """
    rng = np.random.default_rng((7 + ground.pale, throw))
    density = -np.log1p(-mix.coverage) / (np.sqrt(3.0) / 2.0 * mix.cut_px**2)
    side = int(np.clip(np.sqrt(_FLAKES / density), _LEAST_SIDE_PX, _MOST_SIDE_PX))
    on_top = _laid(mix.cut_px * _FINER, density / _FINER**2, side * _FINER, rng)
    count = int(on_top.max()) + 1
    part = rng.choice(len(mix.shares), count, p=mix.shares / mix.shares.sum())
    draws = rng.choice(mix.light, count, p=mix.weight / mix.weight.sum())
    flakes = draws[:, None] * mix.rgb[part]
    fine = np.where((on_top < 0)[..., None], mix.shade * ground.bare, flakes[on_top])
    light = fine.reshape(side, _FINER, side, _FINER, 3).mean(axis=(1, 3))
    seen = _photographed(light * ground.white, ground.step, rng)
    which = np.where(on_top < 0, -1, part[on_top])
    shares = (which[..., None] == np.arange(-1, len(mix.shares))).reshape(
        side, _FINER, side, _FINER, -1
    )
    return np.asarray(seen / ground.white, np.float32), shares.mean(axis=(1, 3))


def _laid(cut_px: float, density: float, side: int, rng: np.random.Generator) -> NDArray[np.int32]:
    """Number of the topmost flake at each fine pixel, −1 where there is none."""
    shapes = [_hexagon(round(cut_px, 1), turn) for turn in range(_TURNS)]
    half = shapes[0].shape[0] // 2
    count = rng.poisson(density * (side + 2 * half) ** 2)
    on_top = np.full((side + 4 * half + 2, side + 4 * half + 2), -1, np.int32)
    corners = rng.integers(0, side + 2 * half, (count, 2))
    for i, ((y, x), turn) in enumerate(zip(corners, rng.integers(0, _TURNS, count), strict=True)):
        shape = shapes[turn]
        on_top[y : y + shape.shape[0], x : x + shape.shape[1]][shape] = i
    return on_top[2 * half : 2 * half + side, 2 * half : 2 * half + side]


@cache
def _hexagon(cut_px: float, turn: int) -> NDArray[np.bool_]:
    half = int(np.ceil(cut_px * 0.5774)) + 1
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    sides = np.pi / 3.0 * (np.arange(3) + turn / _TURNS)
    across = [np.abs(x * np.cos(a) + y * np.sin(a)) for a in sides]
    return np.asarray(np.maximum.reduce(across) <= cut_px / 2.0)


def _photographed(light: Floats, step: int, rng: np.random.Generator) -> NDArray[np.float32]:
    """As a phone keeps it; of a reduced photo, means of `step` × `step` of the phone's pixels."""
    blurred = gaussian_filter(light, (_BLUR_PX / step, _BLUR_PX / step, 0))
    noisy = blurred * (1.0 + _NOISE / step * rng.standard_normal(light.shape))
    file, codes = io.BytesIO(), Image.fromarray(rgb8_from_linear(noisy))
    if step == 1:
        codes.save(file, "JPEG", quality=_QUALITY)
    else:  # means have little left of JPEG's errors, and none of its halved colour
        codes.save(file, "JPEG", quality=_MEANS_QUALITY, subsampling="4:4:4")
    return linear_from_rgb8(np.asarray(Image.open(file)))
