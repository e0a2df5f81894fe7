"""The reflectance spectrum of a dry swatch, and its colour under a light."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.spectra import linear_srgb_weights, resampled
from mockup.colorimetry.srgb import linear_from_hex
from mockup.colorimetry.upsampling import reflectance_from_linear_srgb

if TYPE_CHECKING:
    from mockup.design.palette import PigmentSwatch, SpectrumSwatch

__all__ = ["dry_colour", "dry_reflectance", "lacquer"]


def dry_reflectance(swatch: "PigmentSwatch | SpectrumSwatch") -> NDArray[np.float64]:
    """Reflectance of paint, print or vinyl in air.

    Of a swatch that is named by its colour on screen, a spectrum that looks so in daylight
    (`upsampling`); of a measured one the measurement, linear between its wavelengths.

    Returns
    -------
    (81,) float64, in [0, 1], on `spectra.wavelengths_nm`
    """
    if swatch.kind == "spectrum":
        return resampled(swatch.nm, swatch.reflectance)
    return lacquer(swatch.srgb)


def lacquer(tint_srgb: str) -> NDArray[np.float64]:
    """What a lacquer leaves of the light, once in and once out: (81,) float64, in [0, 1]."""
    return reflectance_from_linear_srgb(linear_from_hex(tint_srgb))


def dry_colour(reflectance: NDArray[np.float64], illuminant: str = "D65") -> NDArray[np.float64]:
    """Colour of a reflectance as an eye adapted to the light sees it.

    Parameters
    ----------
    reflectance : (..., 81) float64, on `spectra.wavelengths_nm`

    Returns
    -------
    (..., 3) float64, linear sRGB, not clipped

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    colour: NDArray[np.float64] = reflectance @ linear_srgb_weights(illuminant)
    return colour
