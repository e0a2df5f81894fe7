"""From a colour to a reflectance spectrum that has it.

A colour has many spectra (metamers); these are smooth where they can be and keep within [0, 1].
What a measured spectrum would tell, above all under lamps, they can only guess: a mix of three
primaries has every colour of the screen, a spectrum of least slope is nearer to paints.

References
----------
Burns (2020), Numerical methods for smoothest reflectance reconstruction, Color Research &
Application 45, doi:10.1002/col.22437.
Mallett & Yuksel (2019), Spectral Primary Decomposition for Rendering with sRGB Reflectance,
Eurographics Symposium on Rendering, doi:10.2312/sr.20191216.
"""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.spectra import linear_srgb_weights, read_spectra, wavelengths_nm

__all__ = ["primary_reflectances", "reflectance_from_linear_srgb", "smooth_reflectance"]

Floats = NDArray[np.float64]

_ROUNDS, _STEP = 60, 1.5  # of Newton's method; the most that an argument changes in one
_MOST_OFF = 1e-6  # of a perfect white, that a colour may be missed by


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


def smooth_reflectance(rgb: Floats, weights: Floats) -> tuple[Floats, Floats] | None:
    """The reflectance that three sensors see so, of least slope; None if none is.

    Least is the sum of squared differences from wavelength to wavelength of what the hyperbolic
    tangent is taken of, which keeps reflectance within [0, 1].

    Parameters
    ----------
    rgb : (3,) float64
    weights : (81, 3) float64
        From reflectance to rgb, on `spectra.wavelengths_nm`.

    Returns
    -------
    (81,) float64, in [0, 1]
    (81, 3) float64
        By how much it changes with rgb.

    References
    ----------
    Burns (2020), method LHTSS.
    """
    count = len(weights)
    argument = np.full(count, np.arctanh(2.0 * np.clip(rgb.mean(), 0.02, 0.98) - 1.0))
    multiplier = np.zeros(3)
    for _ in range(_ROUNDS):
        tanh = np.tanh(argument)
        slope = (1.0 - tanh**2) / 2.0
        pulled = weights @ multiplier
        off = weights.T @ ((1.0 + tanh) / 2.0) - rgb
        uneven = _roughness() @ argument + slope * pulled
        curved = _roughness() - np.diag(2.0 * tanh * slope * pulled)
        sides = slope[:, None] * weights
        system = np.block([[curved, sides], [sides.T, np.zeros((3, 3))]])
        if max(np.abs(off).max(), np.abs(uneven).max()) < _MOST_OFF:
            change = np.linalg.solve(system, np.eye(count + 3)[:, count:])[:count]
            return (1.0 + tanh) / 2.0, slope[:, None] * change
        try:
            step = np.linalg.solve(system, -np.concatenate([uneven, off]))
        except np.linalg.LinAlgError:
            return None
        step *= min(1.0, _STEP / np.abs(step[:count]).max())
        argument, multiplier = argument + step[:count], multiplier + step[count:]
    return None


@cache
def _roughness() -> Floats:
    """Twice the quadratic form of the squared differences between neighbours: (81, 81)."""
    apart = np.diff(np.eye(len(wavelengths_nm())), axis=0)
    return np.asarray(2.0 * apart.T @ apart)
