"""From a colour of the screen to a reflectance spectrum that has it in daylight.

A colour has many spectra (metamers); this one is smooth where it can be and keeps within [0, 1].
What a measured spectrum would tell, above all under lamps, it can only guess.

References
----------
Mallett & Yuksel (2019), Spectral Primary Decomposition for Rendering with sRGB Reflectance,
Eurographics Symposium on Rendering, doi:10.2312/sr.20191216.
"""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.spectra import linear_srgb_weights, read_spectra

__all__ = ["primary_reflectances", "reflectance_from_linear_srgb"]


@cache
def primary_reflectances() -> NDArray[np.float64]:
    """Reflectances of the sRGB primaries on `spectra.wavelengths_nm`: (81, 3) float64.

    The published ones, mixed by up to 1e-4 so that our own sums (5 nm, 4-digit matrix) give each
    primary back exactly. They add up to a perfect white.
    """
    published = read_spectra("mallett_yuksel_2019_srgb.csv")[1][:, 1:]
    published = published / published.sum(axis=1, keepdims=True)  # typed to 8 digits
    primaries = np.asarray(published @ np.linalg.inv(linear_srgb_weights("D65").T @ published))
    primaries.flags.writeable = False
    return primaries


def reflectance_from_linear_srgb(rgb_linear: ArrayLike) -> NDArray[np.float64]:
    """A reflectance that looks like this colour under D65.

    Parameters
    ----------
    rgb_linear : (..., 3) float, linear sRGB, in [0, 1]
        Clipped to that range.

    Returns
    -------
    (..., 81) float64, in [0, 1], on `spectra.wavelengths_nm`

    References
    ----------
    Mallett & Yuksel (2019) sec. 3.
    """
    colour = np.clip(np.asarray(rgb_linear, dtype=np.float64), 0.0, 1.0)
    spectrum: NDArray[np.float64] = np.clip(colour @ primary_reflectances().T, 0.0, 1.0)
    return spectrum
