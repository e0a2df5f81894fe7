"""How much strewn flakes sparkle, and what tilt of flakes in our own lights does the same.

Limits. What a photo's room holds is not known, so that a tilt is told by all of our lights, and is
as unsure as they differ.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from mockup.material.optics import FLAKE_ROUGHNESS
from mockup.photo.measured import Figure
from mockup.render.lights import find_light, light_names
from mockup.shading.gaps import tilts

__all__ = ["sparkle_of", "tilt_of"]

Floats = NDArray[np.float64]

_TILTS_DEG = np.array([0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.5, 10.0, 12.0, 15.0])
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
_FLAKES = 400
_FACETS = 24  # of each, mirrored one by one
_ALIKE = 0.15  # relative difference of sparkle that is none


def sparkle_of(light: Floats, weight: Floats) -> float:
    """Half the distance between the 16th and the 84th percentile of ln light: (n,), (n,)."""
    order = np.argsort(light)
    rank = np.cumsum(weight[order]) / weight.sum()
    low, high = np.interp((0.16, 0.84), rank, np.log(np.maximum(light[order], 1e-4)))
    return float((high - low) / 2.0)


def tilt_of(sparkle: Figure) -> Figure:
    """Spread of the flakes' tilt, degrees, by which our lights show that sparkle."""
    fits: list[float] = []
    for light in light_names():
        apart = np.abs(_sparkle_by_tilt(light) - sparkle.value)
        near = apart <= max(_ALIKE * sparkle.value, sparkle.within)
        near[apart.argmin()] = True
        fits.extend(_TILTS_DEG[near].tolist())
    middle = float(np.median(fits))
    reach = float(np.abs(np.quantile(fits, (0.05, 0.95)) - middle).max())
    return Figure(middle, max(reach, 0.5))


@cache
def _sparkle_by_tilt(light: str) -> Floats:
    found = find_light(light)
    radiance = found.radiance.astype(np.float64) @ _LUMINANCE
    rng = np.random.default_rng(3)
    spread = FLAKE_ROUGHNESS**2 * np.sqrt((u := rng.random(_FACETS)) / (1.0 - 0.99 * u))
    turn = 2.0 * np.pi * rng.random(_FACETS)
    facets = spread[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=-1)  # GGX slopes
    values = []
    for tilt_deg in _TILTS_DEG:
        normals = tilts(float(tilt_deg), _FLAKES)
        slopes = (normals[:, None, :2] / normals[:, None, 2:] + facets).reshape(-1, 2)
        seen = _mirrored(radiance, slopes).reshape(_FLAKES, _FACETS).mean(axis=1)
        values.append(sparkle_of(seen, np.ones(_FLAKES)))
    return np.array(values)


def _mirrored(radiance: Floats, slopes: Floats) -> Floats:
    """Radiance that facets of an upright wall mirror to an eye straight before it."""
    rows, columns = radiance.shape
    normal = np.stack([slopes[:, 0], -np.ones(len(slopes)), slopes[:, 1]], axis=-1)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    ray = -2.0 * normal[:, 1:2] * normal + np.array([0.0, 1.0, 0.0])
    row = (np.pi / 2 - np.arcsin(np.clip(ray[:, 2], -1.0, 1.0))) / np.pi * rows
    column = (np.arctan2(ray[:, 0], -ray[:, 1]) + np.pi) / (2.0 * np.pi) * columns
    return np.asarray(
        radiance[
            np.clip(row.astype(np.intp), 0, rows - 1),
            np.clip(column.astype(np.intp), 0, columns - 1),
        ]
    )
