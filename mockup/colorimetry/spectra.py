"""Reflectance spectra as linear sRGB: observer, illuminants and adaptation to D65.

The CIE 1931 2° observer, D65 and the illuminants of our own lights lie beside this module, so that
the usual case never waits for colour-science; every other illuminant of the CIE comes from there on
its first use.

References
----------
CIE 15:2018, Colorimetry, sec. 7.
Lam (1985), Metamerism and colour constancy, PhD thesis, University of Bradford.
"""

from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.difference import WHITE_XYZ_D65, XYZ_FROM_LINEAR_SRGB
from mockup.errors import DesignError, UnknownName

__all__ = [
    "BRADFORD",
    "illuminant_names",
    "illuminant_power",
    "linear_srgb_from_reflectance",
    "linear_srgb_weights",
    "observer_2deg",
    "read_spectra",
    "resampled",
    "wavelengths_nm",
]

# Sharpened cone responses from XYZ. Lam (1985), as printed in ICC.1:2010, annex E.
BRADFORD: NDArray[np.float64] = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
BRADFORD.flags.writeable = False


def wavelengths_nm() -> NDArray[np.float64]:
    """The grid of every integral: (81,) float64, 380 to 780 nm in steps of 5 nm."""
    return _table()[:, 0]


def observer_2deg() -> NDArray[np.float64]:
    """Colour-matching functions x̄, ȳ, z̄ of the CIE 1931 2° observer: (81, 3) float64."""
    return _table()[:, 1:4]


def illuminant_names() -> tuple[str, ...]:
    """Every illuminant by its CIE name, D65 first. Imports colour-science, which takes seconds."""
    return "D65", *sorted(name for name in _colour_illuminants() if name != "D65")


@cache
def illuminant_power(name: str) -> NDArray[np.float64]:
    """Relative spectral power of an illuminant.

    Parameters
    ----------
    name
        As the CIE writes it: ``D65``, ``A``, ``D50``, ``FL2``, ``LED-B3``.

    Returns
    -------
    (81,) float64, relative power on `wavelengths_nm`; linear between tabulated wavelengths and 0
    beyond them.

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    if name == "D65":
        return _table()[:, 4]
    names, table = read_spectra("cie_illuminants.csv")
    if name in names[1:]:
        return table[:, names.index(name)]
    known = _colour_illuminants()
    if name not in known:
        raise UnknownName("illuminant", name, known, where="illuminant")
    at_nm, power = known[name]
    resampled = np.interp(wavelengths_nm(), at_nm, power, left=0.0, right=0.0)
    resampled.flags.writeable = False
    return resampled


@cache
def linear_srgb_weights(illuminant: str = "D65") -> NDArray[np.float64]:
    """The integral over illuminant and observer, adapted to D65, as one matrix.

    Returns
    -------
    (81, 3) float64
        ``reflectance @ weights`` is linear sRGB; every column sums to 1.

    Raises
    ------
    UnknownName
        No illuminant has that name.

    References
    ----------
    CIE 15:2018, eq. 7.1, for the sums; Lam (1985) for the adaptation.
    """
    xyz = observer_2deg() * illuminant_power(illuminant)[:, np.newaxis]
    xyz /= xyz[:, 1].sum()
    gain = (BRADFORD @ WHITE_XYZ_D65) / (BRADFORD @ xyz.sum(axis=0))
    adapted_from_xyz = np.linalg.solve(BRADFORD, gain[:, np.newaxis] * BRADFORD)
    weights: NDArray[np.float64] = xyz @ np.linalg.solve(XYZ_FROM_LINEAR_SRGB, adapted_from_xyz).T
    weights.flags.writeable = False
    return weights


def linear_srgb_from_reflectance(
    at_nm: ArrayLike, reflectance: ArrayLike, illuminant: str = "D65"
) -> NDArray[np.float64]:
    """Colour of a reflectance under an illuminant, as an eye adapted to it sees it.

    A perfect white is (1, 1, 1) under every illuminant (Bradford adaptation to D65). Saturated
    spectra may lie outside the gamut; nothing is clipped here.

    Parameters
    ----------
    at_nm : (m,) float, nm, ascending
        Beyond both ends the spectrum goes on as its end value.
    reflectance : (..., m) float

    Returns
    -------
    (..., 3) float64, linear sRGB

    Raises
    ------
    DesignError
        The wavelengths do not ascend, or their number is not that of the reflectances.
    UnknownName
        No illuminant has that name.
    """
    from_nm = np.asarray(at_nm, dtype=np.float64)
    spectra = np.asarray(reflectance, dtype=np.float64)
    if from_nm.ndim != 1 or spectra.shape[-1:] != from_nm.shape or np.any(np.diff(from_nm) <= 0):
        raise DesignError(
            f"{from_nm.size} wavelengths do not fit reflectances of shape {spectra.shape}",
            where="reflectance spectrum",
            remedy="Give one reflectance for each wavelength, wavelengths ascending in nm",
        )
    return (spectra @ _resampling(from_nm)) @ linear_srgb_weights(illuminant)


def resampled(at_nm: ArrayLike, values: ArrayLike) -> NDArray[np.float64]:
    """A spectrum on `wavelengths_nm`, linear between its points and flat beyond its ends.

    Parameters
    ----------
    at_nm, values : (m,) float, wavelengths ascending in nm

    Returns
    -------
    (81,) float64
    """
    known = np.asarray(values, dtype=np.float64)
    return np.asarray(np.interp(wavelengths_nm(), np.asarray(at_nm, dtype=np.float64), known))


def _resampling(from_nm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Linear interpolation onto the grid as a matrix: (m, 81)."""
    each = np.eye(from_nm.size)
    return np.stack([np.interp(wavelengths_nm(), from_nm, row) for row in each])


@cache
def read_spectra(name: str) -> tuple[tuple[str, ...], NDArray[np.float64]]:
    """Column names and numbers of a table beside this module: (81, columns) float64, read-only."""
    text = resources.files("mockup.colorimetry").joinpath(name).read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    table = np.array([line.split(",") for line in lines[1:]], dtype=np.float64)
    table.flags.writeable = False
    return tuple(lines[0].split(",")), table


def _table() -> NDArray[np.float64]:
    return read_spectra("cie_1931_2deg_d65.csv")[1]


@cache
def _colour_illuminants() -> dict[str, tuple[NDArray[np.float64], NDArray[np.float64]]]:
    from colour import SDS_ILLUMINANTS  # here, not at the top: it takes 2 to 6 s

    return {
        str(name): (np.asarray(sd.wavelengths), np.asarray(sd.values))
        for name, sd in SDS_ILLUMINANTS.items()
    }
