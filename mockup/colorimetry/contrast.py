"""Luminance contrast as WCAG 2.2 defines it.

References
----------
W3C (2023), Web Content Accessibility Guidelines 2.2, definitions of contrast ratio and relative
luminance. Their formulas are those of sRGB; the 0.05 is the light that a typical room throws over a
display, for which white counts 1 (IEC 61966-2-1, typical viewing flare).
Drafts before May 2021 put the end of sRGB's straight part at 0.03928 in place of 0.04045: codes of
8 bits lie on the same side of both, so no ratio of theirs changes. Here it is 0.04045.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.srgb import linear_from_srgb

__all__ = ["FLARE", "contrast_wcag22", "contrast_wcag22_of_rgb8", "relative_luminance"]

FLARE = 0.05  # WCAG 2.2, contrast ratio
_WEIGHTS = np.array([0.2126, 0.7152, 0.0722])  # WCAG 2.2, relative luminance; IEC 61966-2-1, eq. 7


def relative_luminance(rgb_linear: ArrayLike) -> NDArray[np.float64]:
    """Luminance relative to white's.

    Parameters
    ----------
    rgb_linear : (..., 3) float, linear sRGB, 1 is white

    Returns
    -------
    (...) float64, 1 is white

    References
    ----------
    WCAG 2.2, relative luminance.
    """
    luminance: NDArray[np.float64] = np.asarray(rgb_linear, dtype=np.float64) @ _WEIGHTS
    return luminance


def contrast_wcag22(luminance_a: ArrayLike, luminance_b: ArrayLike) -> NDArray[np.float64]:
    """Contrast ratio of two relative luminances; the order does not matter.

    Parameters
    ----------
    luminance_a, luminance_b : (...) float, ≥ 0, 1 is white
        The two shapes broadcast.

    Returns
    -------
    (...) float64, from 1 (alike) to 21 (black on white)

    References
    ----------
    WCAG 2.2, contrast ratio: (L1 + 0.05) / (L2 + 0.05), L1 the lighter.
    """
    a = np.asarray(luminance_a, dtype=np.float64) + FLARE
    b = np.asarray(luminance_b, dtype=np.float64) + FLARE
    return np.asarray(np.maximum(a, b) / np.minimum(a, b))


def contrast_wcag22_of_rgb8(
    rgb8_a: NDArray[np.uint8], rgb8_b: NDArray[np.uint8]
) -> NDArray[np.float64]:
    """Contrast ratio of sRGB codes: two (..., 3) uint8 → (...) float64."""
    a, b = (relative_luminance(linear_from_srgb(codes / 255.0)) for codes in (rgb8_a, rgb8_b))
    return contrast_wcag22(a, b)
