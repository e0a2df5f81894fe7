"""CIELAB and the CIEDE2000 colour difference, on whole arrays.

References
----------
CIE 15:2018, Colorimetry, sec. 8.2 (CIELAB) and 8.3 (CIEDE2000).
Sharma, Wu & Dalal (2005), The CIEDE2000 color-difference formula: implementation notes,
supplementary test data, and mathematical observations, doi:10.1002/col.20070.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.srgb import linear_from_rgb8

__all__ = [
    "WHITE_XYZ_D65",
    "XYZ_FROM_LINEAR_SRGB",
    "delta_e_2000",
    "lab_from_linear_srgb",
    "lab_from_rgb8",
]

# IEC 61966-2-1:1999, eq. 7; printed to 4 decimals.
XYZ_FROM_LINEAR_SRGB: NDArray[np.float64] = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)
XYZ_FROM_LINEAR_SRGB.flags.writeable = False

# XYZ of linear sRGB (1, 1, 1), so that sRGB white is L* 100, a* 0, b* 0 exactly.
WHITE_XYZ_D65: NDArray[np.float64] = XYZ_FROM_LINEAR_SRGB.sum(axis=1)
WHITE_XYZ_D65.flags.writeable = False

_EDGE = 6.0 / 29.0  # CIE 15:2018, eq. 8.6: where the cube root gives way to a line
_TWENTY_FIVE_7 = 25.0**7


def lab_from_linear_srgb(rgb_linear: ArrayLike) -> NDArray[np.float64]:
    """CIELAB of linear sRGB, both relative to D65.

    Parameters
    ----------
    rgb_linear : (..., 3) float, linear sRGB, 1 is white

    Returns
    -------
    (..., 3) float64, L*, a*, b*, white D65

    References
    ----------
    CIE 15:2018, sec. 8.2.1.
    """
    xyz = np.asarray(rgb_linear, dtype=np.float64) @ XYZ_FROM_LINEAR_SRGB.T
    ratio = xyz / WHITE_XYZ_D65
    f = np.where(
        ratio > _EDGE**3, np.cbrt(np.maximum(ratio, 0.0)), ratio / (3 * _EDGE**2) + 4.0 / 29.0
    )
    fx, fy, fz = np.moveaxis(f, -1, 0)
    return np.stack([116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)], axis=-1)


def lab_from_rgb8(rgb8_srgb: NDArray[np.uint8]) -> NDArray[np.float64]:
    """CIELAB of a picture: (..., 3) uint8, sRGB codes → (..., 3) float64, L*, a*, b*, D65."""
    return lab_from_linear_srgb(linear_from_rgb8(rgb8_srgb))


def delta_e_2000(lab_a: ArrayLike, lab_b: ArrayLike) -> NDArray[np.float64]:
    """CIEDE2000 colour difference with kL = kC = kH = 1.

    Parameters
    ----------
    lab_a, lab_b : (..., 3) float, L*, a*, b* under one white
        The two shapes broadcast.

    Returns
    -------
    (...) float64, ΔE00, ≥ 0

    References
    ----------
    Sharma, Wu & Dalal (2005), doi:10.1002/col.20070, eq. 2 to 22. The mean hue of a pair 180°
    apart turns on the last bit of the two hues; there either answer is in order.
    """
    l_a, a_a, b_a = np.moveaxis(np.asarray(lab_a, dtype=np.float64), -1, 0)
    l_b, a_b, b_b = np.moveaxis(np.asarray(lab_b, dtype=np.float64), -1, 0)
    stretch = 1.5 - 0.5 * _seventh((np.hypot(a_a, b_a) + np.hypot(a_b, b_b)) / 2.0)
    c_a, h_a_deg = _polar(stretch * a_a, b_a)
    c_b, h_b_deg = _polar(stretch * a_b, b_b)

    hue_step_deg, h_mean_deg = _hue_step_and_mean(c_a * c_b == 0.0, h_a_deg, h_b_deg)
    d_hue = 2.0 * np.sqrt(c_a * c_b) * _sin_deg(hue_step_deg / 2.0)
    l_mean, c_mean = (l_a + l_b) / 2.0, (c_a + c_b) / 2.0
    offset = (l_mean - 50.0) ** 2
    s_l = 1.0 + 0.015 * offset / np.sqrt(20.0 + offset)
    s_c = 1.0 + 0.045 * c_mean
    s_h = 1.0 + 0.015 * c_mean * _hue_weight(h_mean_deg)

    turn_deg = 30.0 * np.exp(-(((h_mean_deg - 275.0) / 25.0) ** 2))
    rotation = -_sin_deg(2.0 * turn_deg) * 2.0 * _seventh(c_mean)
    light, chroma, hue = (l_b - l_a) / s_l, (c_b - c_a) / s_c, d_hue / s_h
    squared = light**2 + chroma**2 + hue**2 + rotation * chroma * hue
    difference: NDArray[np.float64] = np.sqrt(np.maximum(squared, 0.0))
    return difference


def _seventh(chroma: NDArray[np.float64]) -> NDArray[np.float64]:
    c7 = chroma**7
    root: NDArray[np.float64] = np.sqrt(c7 / (c7 + _TWENTY_FIVE_7))
    return root


def _polar(
    a: NDArray[np.float64], b: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Chroma, and hue in degrees in [0, 360)."""
    return np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360.0


def _hue_step_and_mean(
    grey: NDArray[np.bool_], h_a_deg: NDArray[np.float64], h_b_deg: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Signed hue difference the short way round, and the hue between the two (eq. 10 and 14)."""
    step = h_b_deg - h_a_deg
    total = h_a_deg + h_b_deg
    short = np.abs(step) <= 180.0
    round_step = np.where(short, step, step - np.copysign(360.0, step))
    round_mean = np.where(short, total, total + np.where(total < 360.0, 360.0, -360.0)) / 2.0
    return np.where(grey, 0.0, round_step), np.where(grey, total, round_mean)


def _hue_weight(hue_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    """T of eq. 15."""
    return (
        1.0
        - 0.17 * _cos_deg(hue_deg - 30.0)
        + 0.24 * _cos_deg(2.0 * hue_deg)
        + 0.32 * _cos_deg(3.0 * hue_deg + 6.0)
        - 0.20 * _cos_deg(4.0 * hue_deg - 63.0)
    )


def _sin_deg(angle_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    sine: NDArray[np.float64] = np.sin(np.radians(angle_deg))
    return sine


def _cos_deg(angle_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    cosine: NDArray[np.float64] = np.cos(np.radians(angle_deg))
    return cosine
