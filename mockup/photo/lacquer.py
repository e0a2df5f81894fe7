"""The tint of a lacquer on metal, from the colour that comes back from it."""

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.spectra import linear_srgb_weights, wavelengths_nm
from mockup.colorimetry.srgb import linear_from_hex, rgb8_from_linear
from mockup.colorimetry.upsampling import primary_reflectances, reflectance_from_linear_srgb
from mockup.design.palette import MetalSwatch
from mockup.material.fresnel import fresnel_conductor
from mockup.material.metals import read_metal
from mockup.photo.measured import MeasuredSwatch
from mockup.photo.sensor import camera_weights
from mockup.photo.spectral import HELD, camera_noise, normal_draws, root_of

__all__ = ["lacquer_swatch", "metal_spectrum"]

Floats = NDArray[np.float64]


def metal_spectrum(metal: str) -> Floats:
    """Reflectance of a smooth bare metal, straight on: (81,) float64."""
    index = read_metal(metal).index_at(wavelengths_nm())
    return fresnel_conductor(1.0, index.real, index.imag)


def lacquer_swatch(
    rgb: Floats,
    noise: Floats,
    lights: tuple[str, ...],
    *,
    source: str,
    share: tuple[float, float] = (1.0, 0.0),
    brightness: float = 0.0,
    metal: str = "aluminium",
    roughness: float | None = None,
) -> MeasuredSwatch:
    """Metal under the lacquer that sends this colour back.

    Parameters
    ----------
    rgb : (3,) float64
        Linear sRGB under the lights, over what it mirrors.
    noise : (3, 3) float64
        Its covariance.
    share
        Of the flakes, and how far it may be off.
    brightness
        Relative standard deviation of what it mirrors.
    """
    bare = metal_spectrum(metal)
    noise = noise + brightness**2 * np.outer(rgb, rgb)
    mix, covariance = _mix(rgb, noise, lights, bare)
    tint = f"#{rgb8_from_linear(mix).tobytes().hex()}"
    draws = np.clip(mix + normal_draws() @ root_of(covariance).T, 0.0, 1.0)
    colours = np.concatenate([linear_from_hex(tint)[None], draws])
    shown = (reflectance_from_linear_srgb(colours) * bare) @ linear_srgb_weights("D65")
    lab = lab_from_linear_srgb(shown)
    delta_e = float(np.quantile(delta_e_2000(lab[1:], lab[0]), HELD))
    low, high = np.quantile(shown[1:], (0.05, 0.95), axis=0)
    given = {} if roughness is None else {"specular_roughness": roughness}
    return MeasuredSwatch(
        swatch=MetalSwatch(
            metal=metal,
            tint_srgb=tint,
            source=f"{source}; ΔE00 within {delta_e:.1f}"[:200],
            **given,
        ),
        share=share[0],
        share_within=share[1],
        delta_e=delta_e,
        rgb_low=tuple(round(float(v), 4) for v in low),
        rgb_high=tuple(round(float(v), 4) for v in high),
    )


def _mix(
    rgb: Floats, noise: Floats, lights: tuple[str, ...], bare: Floats
) -> tuple[Floats, Floats]:
    """The lacquer's mix of primaries, (3,), by the mean of the lights, and its covariance."""
    mixes, within = [], []
    for light in lights:
        back = np.linalg.inv((camera_weights(light) * bare[:, None]).T @ primary_reflectances())
        mixes.append(back @ rgb)
        spectrum = np.clip(primary_reflectances() @ mixes[-1], 0.0, None) * bare
        within.append(back @ (noise + camera_noise(spectrum[None], light)) @ back.T)
    mix = np.mean(mixes, axis=0)
    between = (np.array(mixes) - mix).T @ (np.array(mixes) - mix) / len(lights)
    return mix, np.asarray(np.mean(within, axis=0) + between, np.float64)
