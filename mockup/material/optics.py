"""Swatches → what the shader needs: reflectance, and Fresnel reflectance over the angle.

Everything is spectral: pigments by their reflectance spectrum (measured, or upsampled from the
colour on screen), metals by their published indices, lacquers by the spectrum of their tint. The
spectra are integrated over wavelength, illuminant and observer here, so that the shader gets by
with three channels of linear sRGB. Metals get a polynomial over the angle for each channel, once
in resin and once in air. Thin films are the same with interference in place of the metal's own
Fresnel reflectance; holographic foil is metal that sends a share of its light into the orders of a
grating.

Limits. A lacquer's longer way at slanting angles is left out. Gold, copper and saturated lacquers
may leave the gamut of sRGB at some angles: the polynomials keep that, and the shader clips it.
"""

import math
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.spectra import linear_srgb_weights, wavelengths_nm
from mockup.material.channels import FRESNEL_TERMS
from mockup.material.coat import K2
from mockup.material.film import film_reflectance
from mockup.material.fresnel import fresnel_conductor
from mockup.material.grating import Grating, band_shares, order_shares
from mockup.material.metals import read_metal
from mockup.material.pigment import equivalent_reflectance
from mockup.material.spectrum import dry_colour, dry_reflectance, lacquer

if TYPE_CHECKING:
    from mockup.design.palette import FilmSwatch, HologramSwatch, MetalSwatch, Swatch

__all__ = [
    "BARE_COSINES",
    "COATED_COSINES",
    "FILM_BARE_COSINES",
    "FILM_COATED_COSINES",
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
FILM_COATED_COSINES = (0.745, 1.0)  # the colours of films turn faster; beyond, they stay as there
FILM_BARE_COSINES = (0.25, 1.0)
FLAKE_ROUGHNESS = 0.28  # perceptual; metallised film of no stated roughness, as a metal swatch's
STEEL_ALPHA = 0.2  # microfacet alpha of a brushed or bead-blasted cup; typical
_FIT_COSINES = 256

Spectra = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Optics:
    """One swatch as the shader sees it; the arrays cannot be written to.

    Attributes
    ----------
    metal
        Whether it reflects as metal where it lies as a sheet or paint; as flakes all do.
    reflectance : (3,) float64, linear sRGB
        Pigment: the equivalent reflectance below the coat (see `pigment`), in [0, 1]. Metal: at
        normal incidence in air, with its lacquer.
    reflectance_bare : (3,) float64, linear sRGB
        Pigment: ρ of the dry material in air, for chips and for what no coat covers. Metal: as
        `reflectance`.
    fresnel_coated, fresnel_bare : (FRESNEL_TERMS, 3) float64
        Metal in resin and in air: coefficients of (1 − c)^i per channel of linear sRGB, c the
        cosine at the metal.
    alpha
        Microfacet alpha, the square of the perceptual roughness.
    stretch
        Factors of alpha round the cup and up the wall: of brushed metal, else 1.
    lowest_cosines
        Where the fits in resin and in air begin; at smaller cosines the value there holds.
    spectrum : (81,) float64, or None
        What comes back under a clear coat at normal incidence, on `spectra.wavelengths_nm`, up to
        a factor: what a tinted coat is seen against. None is white.
    transmittance : (3,) float64, linear sRGB
        Share of light that passes a clear film in resin at normal incidence; 0 for all else.
    grating
        Of holographic foil; None for all else.
    """

    metal: bool
    reflectance: NDArray[np.float64]
    fresnel_coated: NDArray[np.float64]
    fresnel_bare: NDArray[np.float64]
    alpha: float
    reflectance_bare: NDArray[np.float64]
    lowest_cosines: tuple[float, float] = (COATED_COSINES[0], BARE_COSINES[0])
    spectrum: NDArray[np.float64] | None = None
    transmittance: NDArray[np.float64] = field(default_factory=lambda: np.zeros(3))
    grating: Grating | None = None
    stretch: tuple[float, float] = (1.0, 1.0)

    def __post_init__(self) -> None:
        for array in (
            self.reflectance,
            self.reflectance_bare,
            self.fresnel_coated,
            self.fresnel_bare,
            self.transmittance,
        ):
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
        tint = lacquer(swatch.tint_srgb)
        foil = _metal(swatch.metal, tint, swatch.specular_roughness**2, coat_ior, illuminant)
        return replace(foil, stretch=_stretch(swatch))
    if swatch.kind == "film":
        return _film(swatch, coat_ior, illuminant)
    if swatch.kind == "hologram":
        return _hologram(swatch, coat_ior, illuminant)
    dry = dry_reflectance(swatch)
    film = _metal("aluminium", dry, FLAKE_ROUGHNESS**2, coat_ior, illuminant)
    return Optics(
        metal=False,
        reflectance=equivalent_reflectance(dry, coat_ior=coat_ior, illuminant=illuminant),
        fresnel_coated=film.fresnel_coated,
        fresnel_bare=film.fresnel_bare,
        alpha=film.alpha,
        reflectance_bare=equivalent_reflectance(dry, coat_ior=None, illuminant=illuminant),
        spectrum=dry / (1.0 - dry * K2(coat_ior)),
    )


@lru_cache(maxsize=16)
def steel(*, coat_ior: float = 1.5, illuminant: str = "D65") -> Optics:
    """The bare cup: iron, which stands for stainless steel, with a satin surface."""
    return _metal("iron", lacquer("#ffffff"), STEEL_ALPHA, coat_ior, illuminant)


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
    return np.maximum(dry_colour(_metal_spectra(metal, cosines, ior), illuminant), 0.0)


def fresnel_at(terms: NDArray[np.float64], cosines: ArrayLike) -> NDArray[np.float64]:
    """Value of a fitted Fresnel polynomial, as the shader computes it before it clips to [0, 1].

    Parameters
    ----------
    terms : (FRESNEL_TERMS, 3) float64
    cosines : (...) float, in [0, 1]

    Returns
    -------
    (..., 3) float64
    """
    return _powers(cosines) @ terms


def _metal(name: str, tint: Spectra, alpha: float, coat_ior: float, illuminant: str) -> Optics:
    tinted = tint[:, np.newaxis] * linear_srgb_weights(illuminant)
    normal = np.maximum(_metal_spectra(name, 1.0, 1.0) @ tinted, 0.0)
    return Optics(
        metal=True,
        reflectance=normal,
        fresnel_coated=_metal_fit(name, coat_ior, COATED_COSINES) @ tinted,
        fresnel_bare=_metal_fit(name, 1.0, BARE_COSINES) @ tinted,
        alpha=alpha,
        reflectance_bare=normal,
        spectrum=tint * _metal_spectra(name, 1.0, coat_ior),
    )


def _stretch(swatch: "MetalSwatch") -> tuple[float, float]:
    """Factors of alpha round the cup and up the wall; their mean square is 1.

    References
    ----------
    OpenPBR Surface 1.1 (2024), sec. 3.2.1, "Microfacet model": α_t = r² √(2 / (1 + (1 − a)²)) and
    α_b = (1 − a) α_t. Facets lean across the lines.
    """
    narrow = 1.0 - swatch.specular_roughness_anisotropy
    across = math.sqrt(2.0 / (1.0 + narrow**2))
    along = narrow * across
    return (along, across) if swatch.brushed == "round" else (across, along)


def _hologram(swatch: "HologramSwatch", coat_ior: float, illuminant: str) -> Optics:
    tint = lacquer(swatch.tint_srgb)
    foil = _metal(swatch.metal, tint, swatch.specular_roughness**2, coat_ior, illuminant)
    _, first, second = order_shares(swatch.first_order_efficiency)
    bands = band_shares(_metal_spectra(swatch.metal, 1.0, coat_ior) * tint, illuminant)
    return replace(
        foil,
        grating=Grating(swatch.period_um, first, second, bands, swatch.grooves, swatch.shard_mm),
    )


def _film(swatch: "FilmSwatch", coat_ior: float, illuminant: str) -> Optics:
    layers = [(complex(layer.n, layer.k), layer.thickness_nm) for layer in swatch.layers]
    weights = linear_srgb_weights(illuminant)

    def spectra(cosines: ArrayLike, ior: float) -> tuple[Spectra, Spectra]:
        below = ior if swatch.metal == "none" else read_metal(swatch.metal).index_at(nm)
        return film_reflectance(cosines, nm, layers, outside=ior, substrate=below)

    def fitted(ior: float, span: tuple[float, float]) -> NDArray[np.float64]:
        cosines, fit = _fit(span)
        return np.asarray(fit @ (spectra(cosines, ior)[0] @ weights), np.float64)

    nm = wavelengths_nm()
    normal = np.clip(spectra(1.0, 1.0)[0] @ weights, 0.0, 1.0)
    clear = swatch.metal == "none"
    passed = np.clip(spectra(1.0, coat_ior)[1] @ weights, 0.0, 1.0) if clear else np.zeros(3)
    return Optics(
        metal=True,
        reflectance=normal,
        fresnel_coated=fitted(coat_ior, FILM_COATED_COSINES),
        fresnel_bare=fitted(1.0, FILM_BARE_COSINES),
        alpha=swatch.specular_roughness**2,
        reflectance_bare=normal,
        lowest_cosines=(FILM_COATED_COSINES[0], FILM_BARE_COSINES[0]),
        transmittance=passed,
    )


def _metal_spectra(name: str, cosines: ArrayLike, ior: float) -> Spectra:
    """Reflectance at each wavelength: (...) cosines → (..., 81)."""
    mu = np.asarray(cosines, dtype=np.float64)[..., np.newaxis]
    index = read_metal(name).index_at(wavelengths_nm()) / ior
    return fresnel_conductor(mu, index.real, index.imag)


@lru_cache(maxsize=64)
def _metal_fit(name: str, ior: float, span: tuple[float, float]) -> Spectra:
    """The polynomial over the angle, at each wavelength: (FRESNEL_TERMS, 81).

    Fitting and integrating over wavelength may change places, as both are linear.
    """
    cosines, fit = _fit(span)
    return np.asarray(fit @ _metal_spectra(name, cosines, ior), np.float64)


@lru_cache(maxsize=4)
def _fit(span: tuple[float, float]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Chebyshev points of a span, and the matrix that fits by least squares there.

    At these points the largest error is near its least.

    References
    ----------
    Trefethen (2013), Approximation Theory and Approximation Practice, ch. 2 and 16.
    """
    low, high = span
    around = np.cos(np.pi * (np.arange(_FIT_COSINES) + 0.5) / _FIT_COSINES)
    cosines = (low + high) / 2.0 + (high - low) / 2.0 * around
    return cosines, np.asarray(np.linalg.pinv(_powers(cosines)), np.float64)


def _powers(cosines: ArrayLike) -> NDArray[np.float64]:
    """(1 − c)^0 … (1 − c)^(FRESNEL_TERMS − 1) along a last axis."""
    slant = 1.0 - np.asarray(cosines, dtype=np.float64)
    return slant[..., np.newaxis] ** np.arange(FRESNEL_TERMS)
