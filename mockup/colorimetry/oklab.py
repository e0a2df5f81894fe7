"""Oklab: a space in which equal steps look about equal, and lines of one hue are straight.

Made for mixing, tints and harmonies; differences that are judged are told in ΔE00.

References
----------
Ottosson (2020), A perceptual color space for image processing,
https://bottosson.github.io/posts/oklab/, matrices of 2021-01-25.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.srgb import linear_from_srgb, rgb8_from_linear

__all__ = [
    "hex_from_oklab",
    "hue_chroma",
    "in_gamut",
    "linear_from_oklab",
    "oklab_from_hue_chroma",
    "oklab_from_linear_srgb",
    "oklab_from_rgb8",
    "within_gamut",
]

Floats = NDArray[np.float64]

_CONES_FROM_RGB: Floats = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_OKLAB_FROM_ROOTS: Floats = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)
_RGB_FROM_CONES = np.asarray(np.linalg.inv(_CONES_FROM_RGB), np.float64)
_ROOTS_FROM_OKLAB = np.asarray(np.linalg.inv(_OKLAB_FROM_ROOTS), np.float64)
for _matrix in (_CONES_FROM_RGB, _OKLAB_FROM_ROOTS, _RGB_FROM_CONES, _ROOTS_FROM_OKLAB):
    _matrix.flags.writeable = False

_HALVINGS = 40  # of the chroma's bracket: to 1e-12
_SLACK = 1e-6  # the matrices, of 10 decimals, put greys off by 3e-7; sRGB codes are 4e-3 apart


def oklab_from_linear_srgb(rgb_linear: ArrayLike) -> Floats:
    """Oklab of linear light.

    Parameters
    ----------
    rgb_linear : (..., 3) float, linear sRGB, 1 is white

    Returns
    -------
    (..., 3) float64, L in [0, 1] from black to white, a towards red, b towards yellow
    """
    cones = np.asarray(rgb_linear, dtype=np.float64) @ _CONES_FROM_RGB.T
    lab: Floats = np.cbrt(cones) @ _OKLAB_FROM_ROOTS.T
    return lab


def linear_from_oklab(oklab: ArrayLike) -> Floats:
    """The inverse of `oklab_from_linear_srgb`, not clipped: (..., 3) → (..., 3) linear sRGB."""
    roots = np.asarray(oklab, dtype=np.float64) @ _ROOTS_FROM_OKLAB.T
    rgb: Floats = roots**3 @ _RGB_FROM_CONES.T
    return rgb


def oklab_from_rgb8(rgb8_srgb: NDArray[np.uint8]) -> Floats:
    """Oklab of sRGB codes: (..., 3) uint8 → (..., 3) float64."""
    return oklab_from_linear_srgb(linear_from_srgb(np.arange(256) / 255.0)[rgb8_srgb])


def hue_chroma(oklab: ArrayLike) -> tuple[Floats, Floats]:
    """Hue in degrees in [0, 360), and chroma ≥ 0, of (..., 3) Oklab; greys have any hue."""
    _, a, b = np.moveaxis(np.asarray(oklab, dtype=np.float64), -1, 0)
    return np.asarray(np.degrees(np.arctan2(b, a)) % 360.0), np.asarray(np.hypot(a, b))


def oklab_from_hue_chroma(lightness: ArrayLike, hue_deg: ArrayLike, chroma: ArrayLike) -> Floats:
    """Oklab from its lightness, hue and chroma, which broadcast: (...) each → (..., 3) float64."""
    hue = np.radians(np.asarray(hue_deg, dtype=np.float64))
    a, b = np.asarray(chroma) * np.cos(hue), np.asarray(chroma) * np.sin(hue)
    return np.stack(np.broadcast_arrays(np.asarray(lightness, np.float64), a, b), axis=-1)


def in_gamut(oklab: ArrayLike) -> NDArray[np.bool_]:
    """Whether a screen can show each colour: (..., 3) Oklab → (...) bool."""
    rgb = linear_from_oklab(oklab)
    return np.asarray(((rgb >= -_SLACK) & (rgb <= 1.0 + _SLACK)).all(axis=-1))


def within_gamut(oklab: ArrayLike) -> Floats:
    """The colour of the same hue and lightness, paler only as far as a screen asks for it.

    Parameters
    ----------
    oklab : (..., 3) float
        Lightness is clipped to [0, 1].

    Returns
    -------
    (..., 3) float64, all `in_gamut`; what was inside stays as it was
    """
    wanted = np.array(oklab, dtype=np.float64)
    wanted[..., 0] = np.clip(wanted[..., 0], 0.0, 1.0)
    least, most = np.zeros(wanted.shape[:-1]), np.ones(wanted.shape[:-1])
    least[in_gamut(wanted)] = 1.0
    for _ in range(_HALVINGS):
        middle = (least + most) / 2.0
        inside = in_gamut(_with_chroma(wanted, middle))
        least, most = np.where(inside, middle, least), np.where(inside, most, middle)
    return _with_chroma(wanted, least)


def _with_chroma(oklab: Floats, share: Floats) -> Floats:
    return np.concatenate([oklab[..., :1], oklab[..., 1:] * share[..., None]], axis=-1)


def hex_from_oklab(oklab: ArrayLike) -> str:
    """One colour as ``#rrggbb``, `within_gamut`: (3,) float."""
    return "#" + rgb8_from_linear(linear_from_oklab(within_gamut(oklab))).tobytes().hex()
