"""The camera that a photo is taken for: three sensitivities, and the matrix that its maker gave it.

Sensitivities are Gaussians, by the mean of cameras that were measured. The matrix is the one that
errs least over smooth reflectances and leaves white as it is. So a photo's colours are read as a
camera has them and not as the eye would. How far other cameras are from this one is uncertainty:
some are drawn by the spread of those that were measured.

References
----------
Jiang, Liu, Gu & Süsstrunk (2013), What is the space of spectral sensitivity functions for digital
color cameras?, doi:10.1109/WACV.2013.6475015.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.spectra import illuminant_power, linear_srgb_weights, wavelengths_nm

__all__ = ["camera_weights", "other_cameras"]

Floats = NDArray[np.float64]

# Peak and width (σ), nm, of red, green and blue: of Gaussians fitted to the photographers' cameras
# of Jiang et al., 26 of their 28: the mean, and the standard deviation from camera to camera.
_BANDS_NM = np.array([[605.0, 29.6], [532.9, 38.9], [464.7, 33.8]])
_BETWEEN_NM = np.array([[5.1, 5.2], [2.9, 3.5], [3.2, 4.2]])
_DRAWN, _MOST = 60, 2.0  # cameras, and standard deviations that one differs by at most
_SMOOTH_NM = 120.0  # over which reflectances change; our choice
_WHITE = 1e6  # weight of white beside them


@lru_cache(maxsize=16)
def camera_weights(light: str) -> Floats:
    """From reflectance to linear sRGB as the camera has it under a light, (81, 3); white is 1.

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    weights = _weights(_BANDS_NM, light)
    weights.flags.writeable = False
    return weights


@lru_cache(maxsize=16)
def other_cameras(light: str) -> Floats:
    """What the weights of others differ by from `camera_weights`, the same every time: (n, 81, 3).

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    apart = np.random.default_rng(26).standard_normal((_DRAWN, 3, 2)).clip(-_MOST, _MOST)
    others = _weights(_BANDS_NM + apart * _BETWEEN_NM, light) - camera_weights(light)
    others.flags.writeable = False
    return others


def _weights(bands_nm: Floats, light: str) -> Floats:
    """Of one camera or of several: (..., 3, 2) → (..., 81, 3)."""
    nm = wavelengths_nm()[:, None]
    seen = np.exp(-(((nm - bands_nm[..., None, :, 0]) / bands_nm[..., None, :, 1]) ** 2) / 2)
    seen *= illuminant_power(light)[:, None]
    seen /= seen.sum(axis=-2, keepdims=True)
    wanted = linear_srgb_weights(light)
    tied = seen.swapaxes(-1, -2) @ np.exp(-(((nm - nm.T) / _SMOOTH_NM) ** 2) / 2)
    both = tied @ seen + _WHITE * np.ones((3, 3))
    matrix = np.linalg.solve(both, tied @ wanted + _WHITE * wanted.sum(axis=0))
    return np.asarray(seen @ matrix, np.float64)
