"""sRGB codes and linear light, and back. Numpy alone, so that every start stays quick.

References
----------
IEC 61966-2-1:1999, Multimedia systems and equipment. Colour measurement and management. Part 2-1:
Default RGB colour space, sRGB.
"""

import re
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.errors import DesignError

__all__ = [
    "linear_from_hex",
    "linear_from_rgb8",
    "linear_from_srgb",
    "rgb8_from_hex",
    "rgb8_from_linear",
    "srgb_from_linear",
]

_CODE_STEPS = 1 << 16  # entries of the encoding table, over the square root of linear light


def linear_from_srgb(srgb: ArrayLike) -> NDArray[np.float64]:
    """Decode sRGB to linear light.

    Parameters
    ----------
    srgb : (...) float, sRGB-encoded, 1 is white
        Values below 0 follow the straight part of the curve.

    Returns
    -------
    (...) float64, linear sRGB

    References
    ----------
    IEC 61966-2-1, eq. 5 and 6.
    """
    encoded = np.asarray(srgb, dtype=np.float64)
    curved = ((np.maximum(encoded, 0.0) + 0.055) / 1.055) ** 2.4
    return np.where(encoded <= 0.04045, encoded / 12.92, curved)


def srgb_from_linear(linear: ArrayLike) -> NDArray[np.float64]:
    """Encode linear light as sRGB; the inverse of `linear_from_srgb`, not clipped.

    Parameters
    ----------
    linear : (...) float, linear sRGB, 1 is white

    Returns
    -------
    (...) float64, sRGB-encoded

    References
    ----------
    IEC 61966-2-1, eq. 9 and 10.
    """
    light = np.asarray(linear, dtype=np.float64)
    curved = 1.055 * np.maximum(light, 0.0) ** (1.0 / 2.4) - 0.055
    return np.where(light <= 0.0031308, light * 12.92, curved)


def rgb8_from_hex(colour: str) -> NDArray[np.uint8]:
    """Read ``#rrggbb`` as three sRGB codes.

    Returns
    -------
    (3,) uint8, sRGB codes

    Raises
    ------
    DesignError
        It is not a number sign and six hexadecimal digits.
    """
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
        raise DesignError(
            f"{colour!r} is not an sRGB colour",
            where="colour",
            remedy="Write a number sign and six hexadecimal digits, such as #0b2545",
        )
    return np.frombuffer(bytes.fromhex(colour[1:]), dtype=np.uint8).copy()


def linear_from_hex(colour: str) -> NDArray[np.float64]:
    """Read ``#rrggbb`` as linear light: (3,) float64, linear sRGB in [0, 1].

    Raises
    ------
    DesignError
        It is not a number sign and six hexadecimal digits.
    """
    return linear_from_srgb(rgb8_from_hex(colour) / 255.0)


def linear_from_rgb8(rgb8_srgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Decode whole pictures by table: (...) uint8, sRGB codes → (...) float32, linear sRGB."""
    return _decoding_table()[rgb8_srgb]


def rgb8_from_linear(linear: NDArray[np.floating]) -> NDArray[np.uint8]:
    """Encode whole pictures by table, clipped to [0, 1] and rounded to the nearest code.

    The table runs over √linear in 65,535 steps; within 1/65,535 of the border between two codes
    it may give the neighbour.

    Parameters
    ----------
    linear : (...) float, linear sRGB

    Returns
    -------
    (...) uint8, sRGB codes
    """
    root = np.sqrt(np.clip(np.asarray(linear, dtype=np.float32), 0.0, 1.0))
    entry = (root * np.float32(_CODE_STEPS - 1) + np.float32(0.5)).astype(np.uint16)
    return _encoding_table()[entry]


@cache
def _decoding_table() -> NDArray[np.float32]:
    return linear_from_srgb(np.arange(256) / 255.0).astype(np.float32)


@cache
def _encoding_table() -> NDArray[np.uint8]:
    root = np.arange(_CODE_STEPS, dtype=np.float64) / (_CODE_STEPS - 1)
    return np.rint(srgb_from_linear(root * root) * 255.0).astype(np.uint8)
