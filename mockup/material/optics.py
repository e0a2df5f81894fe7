"""Swatches → what the shader needs: reflectance, and Fresnel reflectance over the angle.

Metals are spectral: their reflectance is integrated over wavelength, illuminant and observer, and
then fitted by a polynomial over the angle for each channel of linear sRGB, once for the metal in
resin and once in air. The lacquer's tint multiplies it per channel.

Limits. A lacquer's longer way at slanting angles is left out. Pigments keep the linear sRGB of
their swatch under every illuminant. Gold and copper may slightly leave the gamut of sRGB: values
above 1 are kept, values below 0 are set to 0.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.spectra import linear_srgb_weights, wavelengths_nm
from mockup.colorimetry.srgb import linear_from_hex
from mockup.material.channels import FRESNEL_TERMS
from mockup.material.fresnel import fresnel_conductor
from mockup.material.metals import read_metal

if TYPE_CHECKING:
    from mockup.design.palette import Swatch

__all__ = [
    "BARE_COSINES",
    "COATED_COSINES",
    "FLAKE_ROUGHNESS",
    "STEEL_ALPHA",
    "Optics",
    "compile_swatch",
    "fresnel_at",
    "metal_reflectance",
    "steel",
]

COATED_COSINES = (0.35, 1.0)  # at the metal; light that enters resin goes down at 0.745 or more
BARE_COSINES = (0.05, 1.0)
FLAKE_ROUGHNESS = 0.28  # perceptual; metallised film of no stated roughness, as a metal swatch's
STEEL_ALPHA = 0.2  # microfacet alpha of a brushed or bead-blasted cup; typical
_FIT_COSINES = 256


@dataclass(frozen=True, slots=True, eq=False)
class Optics:
    """One swatch as the shader sees it; the arrays cannot be written to.

    Attributes
    ----------
    metal
        Whether it reflects as metal where it lies as a sheet or paint; as flakes all do.
    reflectance : (3,) float64, linear sRGB
        Pigment: ρ of the dry material. Metal: at normal incidence in air, with its lacquer.
    fresnel_coated, fresnel_bare : (FRESNEL_TERMS, 3) float64
        Metal in resin and in air: coefficients of (1 − c)^i per channel of linear sRGB, c the
        cosine at the metal.
    alpha
        Microfacet alpha, the square of the perceptual roughness.
    """

    metal: bool
    reflectance: NDArray[np.float64]
    fresnel_coated: NDArray[np.float64]
    fresnel_bare: NDArray[np.float64]
    alpha: float

    def __post_init__(self) -> None:
        for array in (self.reflectance, self.fresnel_coated, self.fresnel_bare):
            array.flags.writeable = False


@lru_cache(maxsize=1024)
def compile_swatch(swatch: "Swatch", *, coat_ior: float = 1.5, illuminant: str = "D65") -> Optics:
    """The optics of one swatch.

    A pigment laid as flakes is metallised film: aluminium under a lacquer through which light
    takes on the swatch's colour once in and once out.

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    if swatch.kind == "metal":
        tint = linear_from_hex(swatch.tint_srgb)
        return _metal(swatch.metal, tint, swatch.specular_roughness**2, coat_ior, illuminant)
    rho = linear_from_hex(swatch.srgb)
    film = _metal("aluminium", rho, FLAKE_ROUGHNESS**2, coat_ior, illuminant)
    return Optics(False, rho, film.fresnel_coated, film.fresnel_bare, film.alpha)


@lru_cache(maxsize=16)
def steel(*, coat_ior: float = 1.5, illuminant: str = "D65") -> Optics:
    """The bare cup: iron, which stands for stainless steel, with a satin surface."""
    return _metal("iron", np.ones(3), STEEL_ALPHA, coat_ior, illuminant)


def metal_reflectance(
    metal: str, cosines: ArrayLike, *, ior: float = 1.0, illuminant: str = "D65"
) -> NDArray[np.float64]:
    """Colour of a smooth bare metal at given angles, integrated over wavelength.

    Parameters
    ----------
    metal
        One of `metals.METAL_NAMES`.
    cosines : (...) float, in [0, 1]
        At the metal.
    ior
        Index of what lies on it: 1 for air.

    Returns
    -------
    (..., 3) float64, linear sRGB adapted to D65, ≥ 0

    Raises
    ------
    UnknownName
        No metal or illuminant has that name.
    """
    mu = np.asarray(cosines, dtype=np.float64)[..., np.newaxis]
    index = read_metal(metal).index_at(wavelengths_nm()) / ior
    spectral = fresnel_conductor(mu, index.real, index.imag)
    return np.maximum(spectral @ linear_srgb_weights(illuminant), 0.0)


def fresnel_at(terms: NDArray[np.float64], cosines: ArrayLike) -> NDArray[np.float64]:
    """Value of a fitted Fresnel polynomial, as the shader computes it.

    Parameters
    ----------
    terms : (FRESNEL_TERMS, 3) float64
    cosines : (...) float, in [0, 1]

    Returns
    -------
    (..., 3) float64
    """
    return _powers(cosines) @ terms


def _metal(
    name: str, tint: NDArray[np.float64], alpha: float, coat_ior: float, illuminant: str
) -> Optics:
    bare = metal_reflectance(name, 1.0, illuminant=illuminant)
    return Optics(
        metal=True,
        reflectance=bare * tint,
        fresnel_coated=_fitted(name, coat_ior, illuminant, COATED_COSINES) * tint,
        fresnel_bare=_fitted(name, 1.0, illuminant, BARE_COSINES) * tint,
        alpha=alpha,
    )


@lru_cache(maxsize=64)
def _fitted(
    name: str, ior: float, illuminant: str, span: tuple[float, float]
) -> NDArray[np.float64]:
    """Least-squares polynomial at Chebyshev points, where the largest error is near its least.

    References
    ----------
    Trefethen (2013), Approximation Theory and Approximation Practice, ch. 2 and 16.
    """
    low, high = span
    around = np.cos(np.pi * (np.arange(_FIT_COSINES) + 0.5) / _FIT_COSINES)
    cosines = (low + high) / 2.0 + (high - low) / 2.0 * around
    colours = metal_reflectance(name, cosines, ior=ior, illuminant=illuminant)
    return np.asarray(np.linalg.lstsq(_powers(cosines), colours, rcond=None)[0], np.float64)


def _powers(cosines: ArrayLike) -> NDArray[np.float64]:
    """(1 − c)^0 … (1 − c)^(FRESNEL_TERMS − 1) along a last axis."""
    slant = 1.0 - np.asarray(cosines, dtype=np.float64)
    return slant[..., np.newaxis] ** np.arange(FRESNEL_TERMS)
