"""Artwork below a clear coat, lit by its own neighbours.

What a print throws up into the resin comes down again some millimetres away: by total reflection
nothing lands nearer than about twice the depth, and half lands beyond three times. A dark letter on
a pale ground is therefore lighter under thick epoxy, and the ground darker, than each colour on
its own would be. With ρ the reflectance below the face, K2 what the face sends back and G where it
lands, the light that leaves the print is B = ρ (1 + K2 G∗B), which is solved here once a light;
the shader is given the reflectance that returns B by itself.

Limits. Landing is as on a flat slab. Beyond the artwork's edges its own light is taken to go on:
what a bare base coat, foil or flakes beside it send over is left out.

References
----------
Saunderson (1942), doi:10.1364/JOSA.32.000727, for the uniform case.
Yule & Nielsen (1951), The penetration of light into paper and its effect on halftone reproduction,
TAGA Proc. 3, 65: light that comes up elsewhere than it went in.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft2, rfft2

from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_linear
from mockup.material.coat import K2
from mockup.material.fresnel import fresnel_dielectric
from mockup.material.pigment import artwork_seen
from mockup.shading.lobes import COAT_IOR
from mockup.skin.skin import Skin

__all__ = ["artwork_lit", "landing"]

FARTHEST = 25.0  # of the landing, in depths; .6 % of the light goes on beyond
STEP = 0.5  # of the landing's grid, in depths
_PASSES = 12  # each leaves at most K2 of the error of the one before

Floats = NDArray[np.float64]
Lights = NDArray[np.float32]  # codes are no finer


def artwork_lit(skin: Skin, illuminant: str = "D65") -> NDArray[np.uint8]:
    """The skin's artwork as the shader must be given it under a light.

    Returns
    -------
    (rows, columns, 4) uint8, sRGB codes of the equivalent reflectance, and opacity

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    depth_mm = skin.base_depth_mm
    ior = COAT_IOR if depth_mm > 0 else None
    seen = artwork_seen(skin.art_rgba8_srgb, coat_ior=ior, illuminant=illuminant)
    rows = np.flatnonzero(skin.art_rgba8_srgb[..., 3].any(axis=1))
    if depth_mm <= 0 or rows.size == 0:
        return seen
    inside = slice(rows[0], rows[-1] + 1)
    column_mm = 2 * np.pi * skin.grid.radius_max_mm / skin.grid.columns
    seen[inside, :, :3] = _lit(seen[inside], depth_mm, skin.grid.row_mm, column_mm)
    return seen


def _lit(
    seen: NDArray[np.uint8], depth_mm: float, row_mm: float, column_mm: float
) -> NDArray[np.uint8]:
    """Codes of the equivalent reflectance with the neighbours' light: (rows, columns, 3)."""
    step = STEP * depth_mm
    blocks = max(round(step / row_mm), 1), max(round(step / column_mm), 1)
    rho = linear_from_rgb8(seen[..., :3])
    weight, coarse = _means(seen[..., 3] * np.float32(1 / 255), rho, blocks)
    spread = landing(coarse.shape[:2], (blocks[0] * row_mm, blocks[1] * column_mm), depth_mm)
    around = _solve(coarse, weight, spread)
    k2 = np.float32(K2(COAT_IOR))
    rho *= _enlarged(1 + k2 * around, seen.shape[:2], blocks)
    rho /= 1 + k2 * rho
    return rgb8_from_linear(rho)


def _solve(rho: Lights, weight: Lights, spread: NDArray[np.complex128]) -> Lights:
    """G∗B on the coarse grid, B = ρ (1 + K2 G∗B), what is no artwork left out: (h, w, 3)."""
    k2, shape = np.float32(K2(COAT_IOR)), (spread.shape[0], rho.shape[1])
    factor = spread.astype(np.complex64)
    planes = np.ascontiguousarray(np.moveaxis(rho, -1, 0))

    def landed(fields: Lights) -> Lights:
        """Round the cup without end, nothing above and below."""
        found: Lights = irfft2(rfft2(fields, shape) * factor, shape)[..., : rho.shape[0], :]
        return found

    known = np.maximum(landed(weight), np.float32(1e-6))
    around = planes / (1 - k2 * planes)
    for _ in range(_PASSES):
        around = landed(weight * planes * (1 + k2 * around)) / known
    return np.moveaxis(around, 0, -1)


def landing(
    shape: tuple[int, int], step_mm: tuple[float, float], depth_mm: float
) -> NDArray[np.complex128]:
    """Where light from a point of the print comes down again, as a transform along both axes.

    Per area: F(θ) / (4π h² (1 + t²)²) at the distance 2 h t, t = tan θ, for Lambert's emission.

    Parameters
    ----------
    shape
        Rows and columns of the field; the columns go round.
    step_mm
        Between rows and between columns.

    Returns
    -------
    (rows + reach, columns // 2 + 1) complex128; its first value, the sum of all, is 1
    """
    reach = int(np.ceil(FARTHEST * depth_mm / step_mm[0]))
    rows = shape[0] + reach
    up = np.fft.fftfreq(rows, 1 / rows) * step_mm[0]
    along = np.fft.fftfreq(shape[1], 1 / shape[1]) * step_mm[1]
    fine = (np.arange(4) + 0.5) / 4 - 0.5  # four points a step: the face's edge is sharp
    density = np.zeros((rows, shape[1]))
    for y in fine * step_mm[0]:
        for x in fine * step_mm[1]:
            density += _density(np.hypot.outer(up + y, along + x) / (2 * depth_mm))
    density[np.abs(up) > FARTHEST * depth_mm] = 0.0
    return np.asarray(rfft2(density / density.sum()), np.complex128)


def _density(t: Floats) -> Floats:
    """Share of light per area, up to a factor, at the distance of t twice the depth."""
    sine2 = COAT_IOR**2 * t**2 / (1.0 + t**2)  # outside, by Snell
    leaves = sine2 < 1.0
    face = np.where(
        leaves, fresnel_dielectric(np.sqrt(np.where(leaves, 1 - sine2, 1)), COAT_IOR), 1
    )
    found: Floats = face / (1.0 + t**2) ** 2
    return found


def _means(weight: Lights, values: Lights, blocks: tuple[int, int]) -> tuple[Lights, Lights]:
    """Mean weight, and weighed mean of the values, over blocks: (h, w) and (h, w, 3)."""
    at = [np.arange(0, n, b) for n, b in zip(weight.shape, blocks, strict=True)]

    def summed(field: Lights) -> Lights:
        found: Lights = np.add.reduceat(np.add.reduceat(field, at[0], axis=0), at[1], axis=1)
        return found

    total = summed(weight)
    mean = summed(values * weight[..., np.newaxis]) / np.maximum(total, 1e-9)[..., np.newaxis]
    tall, wide = (np.diff(starts, append=n) for starts, n in zip(at, weight.shape, strict=True))
    return np.asarray(total / np.outer(tall, wide), np.float32), np.asarray(mean, np.float32)


def _enlarged(coarse: Lights, shape: tuple[int, int], blocks: tuple[int, int]) -> Lights:
    """Bilinear, round the columns and held at the rows' ends."""
    rows = np.clip((np.arange(shape[0]) + 0.5) / blocks[0] - 0.5, 0, coarse.shape[0] - 1)
    low = np.minimum(rows.astype(int), max(coarse.shape[0] - 2, 0))
    high = np.minimum(low + 1, coarse.shape[0] - 1)
    columns = (np.arange(shape[1]) + 0.5) / blocks[1] - 0.5
    left = np.floor(columns).astype(int)
    share = (columns - left).astype(np.float32)[:, np.newaxis]
    first, second = left % coarse.shape[1], (left + 1) % coarse.shape[1]
    part = (rows - low).astype(np.float32)[:, np.newaxis, np.newaxis]
    wide = coarse[:, first] * (1 - share)
    wide += coarse[:, second] * share
    tall: Lights = wide[low]
    tall += part * (wide[high] - tall)
    return tall
