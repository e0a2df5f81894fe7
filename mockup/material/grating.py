"""Gratings: where the orders of pressed foil go, and how much light each takes.

Light keeps the part of its wave vector that runs along the foil, but for whole multiples m of one
over the period, across the grooves: ω = ω₀ + (m λ / d) g, with ω₀ the mirror direction's part along
the foil and g the unit vector across the grooves. As resin changes neither, the law outside a clear
coat is the law in air. Where |ω| exceeds the medium's index the order does not exist, and its share
stays with the mirror's.

A sine-shaped groove of weak relief is a phase grating: its orders take J_m(x)², x the depth of the
phase, so that one number, the share of a first order, tells all others.

Limits. Shares are the same for every wavelength and angle; orders from the third on, 2 % together
at most, stay with the mirror's.

References
----------
Palmer & Loewen (2020), Diffraction Grating Handbook, 8th ed., sec. 2.1 and 2.2.
Goodman (2005), Introduction to Fourier Optics, 3rd ed., sec. 4.4.4.
"""

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.spectra import linear_srgb_weights, wavelengths_nm
from mockup.material.channels import GRATING_BANDS

__all__ = [
    "BAND_NM",
    "FIRST_NM",
    "MOST_FIRST_ORDER",
    "Grating",
    "band_shares",
    "diffracted",
    "order_shares",
]

Floats = NDArray[np.float64]

FIRST_NM, LAST_NM = 400.0, 720.0  # what lies beyond counts with the bands at the ends
BAND_NM = (LAST_NM - FIRST_NM) / GRATING_BANDS
MOST_FIRST_ORDER = 0.339  # the largest value of J₁², rounded up
_DEEPEST = 1.8412  # x where J₁ is largest: first zero of its derivative


@dataclass(frozen=True, slots=True, eq=False)
class Grating:
    """A pressed sheet's grating as the shader sees it.

    Attributes
    ----------
    period_um
        Groove to groove.
    first, second
        Share of the reflected light in each of the two first, each of the two second orders.
    bands : (GRATING_BANDS, 3) float64
        Share of each channel's reflected light in bands of wavelength; see `band_shares`.
    grooves, shard_mm
        How the grooves run, and the width of a shard that has a direction of its own.
    """

    period_um: float
    first: float
    second: float
    bands: Floats
    grooves: Literal["upright", "round", "crossed", "shards"]
    shard_mm: float


def order_shares(first_order: float) -> tuple[float, float, float]:
    """Share of the mirror's order, of each first and of each second one: J₀², J₁², J₂².

    Parameters
    ----------
    first_order
        Share of each first order, in [0, MOST_FIRST_ORDER].

    Returns
    -------
    (zero, first, second)
        With what the higher orders take, ``1 − 2 first − 2 second`` is a little more than zero.

    References
    ----------
    Goodman (2005), eq. 4-35.
    """
    depths, firsts = _depths()
    depth = np.interp(first_order, firsts, depths)
    zero, second = (float(_bessel(m, depth)[0] ** 2) for m in (0, 2))
    return zero, first_order, second


def _bessel(order: int, x: ArrayLike) -> Floats:
    """J_m by Bessel's integral, (1/π) ∫ cos(m t − x sin t) dt; midpoints converge at once."""
    t = (np.arange(64) + 0.5) / 64 * np.pi
    depth = np.atleast_1d(np.asarray(x, np.float64))[:, np.newaxis]
    return np.asarray(np.cos(order * t - depth * np.sin(t)).mean(axis=-1), np.float64)


@cache
def _depths() -> tuple[Floats, Floats]:
    depths = np.linspace(0.0, _DEEPEST, 2000)
    return depths, _bessel(1, depths) ** 2


def band_shares(reflectance: Floats, illuminant: str = "D65") -> Floats:
    """How each channel's reflected light is spread over bands of wavelength.

    Parameters
    ----------
    reflectance : (81,) float64, on `spectra.wavelengths_nm`

    Returns
    -------
    (GRATING_BANDS, 3) float64
        Band j lies at FIRST_NM + j BAND_NM and is BAND_NM wide. Each column sums to 1, so that all
        bands at one place have the foil's own colour; some are negative, as light of one wavelength
        lies outside the gamut of sRGB.

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    seen = reflectance[:, np.newaxis] * linear_srgb_weights(illuminant)
    whole = seen.sum(axis=0)
    fine_nm = FIRST_NM + (np.arange(GRATING_BANDS * 20) + 0.5) * BAND_NM / 20
    fine = np.stack([np.interp(fine_nm, wavelengths_nm(), c) for c in seen.T], axis=-1)
    bands = fine.reshape(GRATING_BANDS, 20, 3).sum(axis=1) * (BAND_NM / 20) / 5.0
    bands[0] += seen[wavelengths_nm() < FIRST_NM].sum(axis=0)
    bands[-1] += seen[wavelengths_nm() > LAST_NM].sum(axis=0)
    return np.asarray(bands / np.where(np.abs(whole) > 1e-9, bands.sum(axis=0), np.inf))


def diffracted(
    view: ArrayLike, across: ArrayLike, nm: ArrayLike, period_um: float, order: int
) -> Floats:
    """Direction outside from which an order sends light to the eye.

    Parameters
    ----------
    view : (..., 3) float
        Unit vector to the eye, outside; z is the foil's normal.
    across : (..., 2) float
        Unit vector across the grooves, in the foil.
    nm : (...) float, nm, in vacuum

    Returns
    -------
    (..., 3) float64
        Unit vector to the light; NaN where the order does not leave.

    References
    ----------
    Palmer & Loewen (2020), eq. 2-1 and, for light that comes aslant the grooves, 2-3.
    """
    eye, shift = np.asarray(view, np.float64), np.asarray(nm, np.float64) / (1e3 * period_um)
    along = -eye[..., :2] + order * shift[..., np.newaxis] * np.asarray(across, np.float64)
    upright = 1.0 - (along**2).sum(axis=-1)
    with np.errstate(invalid="ignore"):
        z = np.sqrt(np.where(upright >= 0.0, upright, np.nan))
    whole = np.concatenate([along, z[..., np.newaxis]], axis=-1)
    whole[np.isnan(z)] = np.nan
    return whole
