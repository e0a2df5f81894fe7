"""From three channels beside a card to a reflectance spectrum, and how far off it may be.

The spectrum is a published upsampling's, here the one that has the measured colour in a typical
camera under the light of the photo: of paints the one of least slope, of lacquers and of colours
that no reflectance has a mix of three primaries. What the true spectrum adds to it is taken for a
Gaussian process over wavelength, smooth and smaller where reflectance nears 0 or 1; given that both
have the same colour under the photo's light, its remaining spread is the metamerism that white
balance cannot take away. What other cameras add is a covariance of the three channels.

References
----------
Burns (2020), doi:10.1002/col.22437.
Mallett & Yuksel (2019), doi:10.2312/sr.20191216.
Rasmussen & Williams (2006), Gaussian Processes for Machine Learning, sec. 2.2 and A.2.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.difference import (
    XYZ_FROM_LINEAR_SRGB,
    delta_e_2000,
    lab_from_linear_srgb,
)
from mockup.colorimetry.spectra import (
    illuminant_power,
    linear_srgb_weights,
    observer_2deg,
    wavelengths_nm,
)
from mockup.colorimetry.upsampling import primary_reflectances, smooth_reflectance
from mockup.photo.sensor import camera_weights, other_cameras

__all__ = [
    "COMMON_LIGHTS",
    "HELD",
    "NORMAL_90",
    "Estimate",
    "camera_noise",
    "estimate",
    "lights_by_cast",
    "normal_draws",
    "root_of",
]

Floats = NDArray[np.float64]

HELD = 0.9  # of cases in which the truth lies within what is stated
COMMON_LIGHTS = ("D65", "D50", "LED-B3", "LED-B1", "A")
# What the upsampling leaves of paints' spectra: its size over ρ (1 − ρ), by wavelength, less the
# flatter the spectrum is, and the distance over which it changes. Larger where the eye sees little.
# By the chart of 24 patches in measured cameras, held to other spectra and cameras in tests.
_UNKNOWN_NM = (380.0, 415.0, 440.0, 480.0, 630.0, 660.0, 700.0, 780.0)
_UNKNOWN = (6.0, 2.4, 1.2, 0.5, 0.5, 2.5, 8.0, 16.0)
_SMOOTH_NM = 16.0
_LEAST_UNKNOWN, _LEAST_UNEVEN = 0.03, 0.1
NORMAL_90 = 1.645  # standard deviations to either side that hold 90 %
_DRAWS = 400


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """A reflectance and its uncertainty.

    Attributes
    ----------
    mix : (3,) float64
        Linear sRGB in daylight, not clipped.
    covariance : (3, 3) float64
        Of `mix`.
    reflectance, spread : (81,) float64
        On `spectra.wavelengths_nm`; `spread` is a standard deviation.
    """

    mix: Floats
    covariance: Floats
    reflectance: Floats
    spread: Floats

    @property
    def rgb(self) -> Floats:
        """Linear sRGB in daylight of `reflectance`, (3,) in [0, 1]."""
        return np.clip(self.mix, 0.0, 1.0)

    @property
    def delta_e(self) -> float:
        """ΔE00 from `rgb` within which the true colour lies in 90 % of cases."""
        draws = self.mix + normal_draws() @ root_of(self.covariance).T
        apart = delta_e_2000(lab_from_linear_srgb(np.maximum(draws, 0.0)), self._lab())
        return float(np.quantile(apart, HELD))

    @property
    def band(self) -> tuple[Floats, Floats]:
        """Reflectances between which the true one lies in 90 % of cases, at each wavelength."""
        reach = NORMAL_90 * self.spread
        return (
            np.clip(self.reflectance - reach, 0.0, 1.0),
            np.clip(self.reflectance + reach, 0.0, 1.0),
        )

    @property
    def rgb_band(self) -> tuple[Floats, Floats]:
        """The same for each channel of linear sRGB in daylight."""
        reach = NORMAL_90 * np.sqrt(np.diag(self.covariance))
        return np.clip(self.mix - reach, 0.0, 1.0), np.clip(self.mix + reach, 0.0, 1.0)

    def _lab(self) -> Floats:
        return lab_from_linear_srgb(self.rgb)


def estimate(
    rgb: Floats,
    noise: Floats,
    lights: tuple[str, ...],
    *,
    camera: float = 1.0,
    parts: Floats | None = None,
) -> Estimate:
    """The reflectance that has a colour under a light, or under one of several as likely lights.

    Parameters
    ----------
    rgb : (3,) float64
        Linear sRGB under the light, white by the card.
    noise : (3, 3) float64
        Its covariance.
    camera
        Share that is left of what a camera's matrix gets wrong.
    parts : (k, 3) float64, or None
        Of a mean of lacquered metals what each adds to it.

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    each = [_under(rgb, noise, light, camera, parts) for light in lights]
    mixes = np.stack([one.mix for one in each])
    spectra = np.stack([one.reflectance for one in each])
    mix = mixes.mean(axis=0)
    between = (mixes - mix).T @ (mixes - mix) / len(each)
    inner = np.mean([one.spread**2 for one in each], axis=0)
    return Estimate(
        mix,
        np.mean([one.covariance for one in each], axis=0) + between,
        spectra.mean(axis=0),
        np.sqrt(inner + spectra.var(axis=0)),
    )


def _under(rgb: Floats, noise: Floats, light: str, camera: float, parts: Floats | None) -> Estimate:
    weights, daylight = camera_weights(light), linear_srgb_weights("D65")
    smooth = smooth_reflectance(rgb, weights) if parts is None else None
    spectrum, change = smooth or _of_primaries(rgb, weights)
    mix, spectrum = daylight.T @ spectrum, np.clip(spectrum, 0.0, 1.0)
    seen = spectrum[None] if parts is None else _of_primaries(parts.T, weights)[0].T
    noise = noise + camera**2 * camera_noise(seen, light)
    mean = float(spectrum.mean())
    uneven = float(spectrum.std()) / np.sqrt(mean * (1.0 - mean) + _LEAST_UNKNOWN)
    size = _unknown() * (spectrum * (1.0 - spectrum) + _LEAST_UNKNOWN) * (uneven + _LEAST_UNEVEN)
    prior = size[:, None] * _smoothness() * size
    gain = np.linalg.solve(weights.T @ prior @ weights + noise, weights.T @ prior)
    left = prior - prior @ weights @ gain
    # what noise the smooth unknown cannot explain lies in the upsampling itself
    rest = change @ (np.eye(3) - (gain @ weights).T)
    left = left + rest @ noise @ rest.T
    spread = np.sqrt(np.maximum(np.diag(left), 0.0))
    return Estimate(mix, daylight.T @ left @ daylight, spectrum, spread)


def _of_primaries(rgb: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """A mix of primaries, not clipped, and how it changes with rgb: (81, ...), (81, 3)."""
    primaries = primary_reflectances()
    change = primaries @ np.linalg.inv(weights.T @ primaries)
    return change @ rgb, change


def lights_by_cast(cast: Floats) -> tuple[str, ...]:
    """Common lights that a photo may have been taken in, by the cast that its card shows.

    A camera takes away some or all of a light's warmth and hardly ever more. So a card that is
    orange rules daylight out, and a card that is grey rules nothing out.

    Parameters
    ----------
    cast : (3,) float64
        Linear light of the card.
    """
    seen = float(np.log(cast[0] / cast[2]))
    fits = [name for name in COMMON_LIGHTS if seen <= _warmth(name) + 0.25]
    return tuple(fits) or ("A",)


def _warmth(light: str) -> float:
    """Natural logarithm of r / b of a light's own white, in linear sRGB."""
    rgb = np.linalg.solve(XYZ_FROM_LINEAR_SRGB, observer_2deg().T @ illuminant_power(light))
    return float(np.log(rgb[0] / max(rgb[2], 1e-3)))


def camera_noise(spectra: Floats, light: str) -> Floats:
    """Covariance of what a camera's three channels of a mixture may differ by from `sensor`'s.

    Errors of one hue add up and those of other hues are taken to know nothing of each other, so
    that a mixture that is grey is not sure for that: gold and blue each bring their own, as their
    true spectra may have edges that upsampled ones have not.

    Parameters
    ----------
    spectra : (k, 81) float64
        What each part adds to the mixture's reflectance.
    """
    errors = np.einsum("nwc,kw->nkc", other_cameras(light), spectra)
    rgb = spectra @ camera_weights(light)
    chroma = rgb - (rgb @ XYZ_FROM_LINEAR_SRGB[1])[:, None]
    chroma = chroma / np.maximum(np.linalg.norm(chroma, axis=1, keepdims=True), 1e-9)
    alike = ((1.0 + chroma @ chroma.T) / 2.0) ** 2  # 1 for one hue, 0 for opposite ones
    return np.asarray(np.einsum("nkc,kl,nld->cd", errors, alike, errors) / len(errors))


@cache
def _unknown() -> Floats:
    return np.asarray(np.interp(wavelengths_nm(), _UNKNOWN_NM, _UNKNOWN))


@cache
def _smoothness() -> Floats:
    nm = wavelengths_nm()
    return np.asarray(np.exp(-(((nm[:, None] - nm) / _SMOOTH_NM) ** 2) / 2))


@cache
def normal_draws() -> Floats:
    """Points of a normal law in three dimensions, the same every time: (_DRAWS, 3)."""
    return np.random.default_rng(2000).standard_normal((_DRAWS, 3))


def root_of(covariance: Floats) -> Floats:
    """A matrix whose product with its own transpose is the covariance."""
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))
