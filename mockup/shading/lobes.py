"""Where light goes between rough metal and the face of the resin above it.

A ray that has come through the face meets the metal, and at each bounce either leaves through the
face or is thrown back. With every facet a perfect mirror, a1 and a2 are the shares that leave at
the first and second bounce; later ones fall off as a geometric series with ratio r, so that metal
of reflectance R returns ``a1 R + a2 R² / (1 − r R)``. The numbers come from random walks over
visible normals (no multiple scattering between facets) and are kept as a small table over
roughness, because they are the same for every swatch.

References
----------
Walter, Marschner, Li & Torrance (2007), doi:10.2312/EGWR/EGSR07/195-206 (GGX, Smith's G1).
Dupuy & Benyoub (2023), doi:10.1111/cgf.14867 (visible normals by spherical caps).
"""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mockup.material.channels import LOBE_TERMS

__all__ = ["COAT_IOR", "LOWEST_COSINE", "Lobes", "find_lobes", "slant", "walk"]

Array = NDArray[np.float64]

COAT_IOR = 1.5  # epoxy, typical; data sheets give 1.50 to 1.57
_FROM_OUTSIDE = 0.03  # lowest cosine outside the resin that the polynomials are fitted to
LOWEST_COSINE = float(np.sqrt(1 - (1 - _FROM_OUTSIDE**2) / COAT_IOR**2))  # the same inside
ALPHAS = (0.01, 0.02, 0.03, 0.04, 0.06, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5)
_TABLE = Path(__file__).with_name("lobes.csv")
_EXIT_TERMS = 4
_REFLECTANCE = 0.85  # at which the ratio r is taken


@dataclass(frozen=True, slots=True)
class Lobes:
    """Polynomials over `slant`, the inside direction of view, for metal of one roughness.

    `coated` : (LOBE_TERMS, 4) float64, terms of a1, a2, r and the exit vector's part along view;
    `exit_up` : (4,) float64, of its outward part; `single_bare`: share that leaves after
    one bounce in air, averaged over directions.
    """

    coated: Array
    exit_up: Array
    single_bare: float


def _g1(out: Array, alpha: float) -> Array:
    slope2 = (out[:, 0] ** 2 + out[:, 1] ** 2) / np.maximum(out[:, 2], 1e-9) ** 2
    return np.asarray(2 / (1 + np.sqrt(1 + alpha**2 * slope2)))


def _through(ray: Array, ior: float) -> Array:
    """Share of a ray inside the resin that passes the face; 0 beyond the critical angle."""
    s2 = ior**2 * (ray[:, 0] ** 2 + ray[:, 1] ** 2)
    outside, inside = np.sqrt(np.maximum(1 - s2, 0)), np.maximum(ray[:, 2], 1e-9)
    s = (outside - ior * inside) / (outside + ior * inside)
    p = (ior * outside - inside) / (ior * outside + inside)
    return np.where(s2 < 1, 1 - 0.5 * (s * s + p * p), 0.0)


def _reflect(v: Array, alpha: float, u1: Array, u2: Array) -> Array:
    """Mirror `v` at a visible normal."""
    s = v * [alpha, alpha, 1]
    s /= np.linalg.norm(s, axis=1, keepdims=True)
    z = (1 - u2) * (1 + s[:, 2]) - s[:, 2]
    r = np.sqrt(np.maximum(1 - z * z, 0))
    h = np.stack([r * np.cos(2 * np.pi * u1), r * np.sin(2 * np.pi * u1), z], 1) + s
    m = h * [alpha, alpha, 1]
    m /= np.linalg.norm(m, axis=1, keepdims=True)
    return np.asarray(2 * (v * m).sum(1, keepdims=True) * m - v)


def walk(cosine: float, alpha: float, *, ior: float, count: int = 12_000, seed: int = 5) -> Array:
    """Follow `count` rays that come in at the inside cosine `cosine`.

    Returns
    -------
    (5,) float64
        a1, a2, r, and the mean exit vector after two or more bounces: its part along the view's
        tangent and its outward part (length below 1: the spread).
    """
    rng = np.random.default_rng(seed)
    v = np.tile([np.sqrt(1 - cosine**2), 0.0, cosine], (count, 1))
    weight, powers = np.ones(count), 1.0
    leaves, exit_vector = [], np.zeros(2)
    for bounce in range(40):
        u2 = (np.arange(len(v)) + 0.5) / len(v) if bounce == 0 else rng.random(len(v))
        golden = np.arange(len(v)) * 0.6180339887 % 1
        u1 = golden if bounce == 0 else rng.random(len(v))
        ray = _reflect(v, alpha, np.asarray(u1), np.asarray(u2))
        keep = ray[:, 2] > 0
        ray, weight = ray[keep], weight[keep]
        weight = weight * _g1(ray, alpha)
        out = weight * _through(ray, ior)
        leaves.append(out.sum() / count)
        powers *= _REFLECTANCE
        if bounce:
            up = np.sqrt(np.maximum(1 - ior**2 * (1 - ray[:, 2] ** 2), 0))
            leaving = np.array([(out * ior * ray[:, 0]).sum(), (out * up).sum()])
            exit_vector += powers * leaving / count
        weight = weight - out
        alive = weight > 1e-6
        v, weight = ray[alive] * [-1, -1, 1], weight[alive]
        if not len(v):
            break
    a = np.array([*leaves, 0.0, 0.0])
    later = (a[1:] * _REFLECTANCE ** np.arange(2, len(a) + 1)).sum()
    ratio = (1 - a[1] * _REFLECTANCE**2 / later) / _REFLECTANCE if later > 1e-9 else 0.0
    return np.array([a[0], a[1], ratio, *(exit_vector / max(later, 1e-9))])


def slant(cosine: Array) -> Array:
    """What the polynomials run over: 0 straight down, about 1 where view grazes the face."""
    return np.asarray(4 * (1 - np.maximum(cosine, LOWEST_COSINE)))


def _fit(alpha: float, ior: float) -> Array:
    """Row of the table: LOBE_TERMS × 4 and _EXIT_TERMS polynomial terms, a bounce in air.

    Least squares at Chebyshev points, weighted by what passes the face on the way in. With four
    terms nearly smooth foil would give back 3 % more than it gets.
    """
    around = np.cos(np.pi * (np.arange(40) + 0.5) / 40)
    cosines = (1 + LOWEST_COSINE) / 2 + (1 - LOWEST_COSINE) / 2 * around
    inside = np.sqrt(1 - cosines**2)
    passes = np.sqrt(_through(np.stack([inside, 0 * inside, cosines], -1), ior))[:, None]
    values = np.array([walk(c, alpha, ior=ior) for c in cosines]) * passes
    powers = np.vander(slant(cosines), LOBE_TERMS, increasing=True) * passes
    coated = np.linalg.lstsq(powers, values[:, :4], rcond=None)[0]
    exit_up = np.linalg.lstsq(powers[:, :_EXIT_TERMS], values[:, 4], rcond=None)[0]
    bare = np.mean([walk(c, alpha, ior=1.0)[0] for c in np.linspace(0.2, 1, 9)])
    return np.array([alpha, *coated.ravel(), *exit_up, bare])


def write_table(path: Path = _TABLE) -> None:
    """Work the table out again; run as ``python -m mockup.shading.lobes``."""
    rows = np.array([_fit(alpha, COAT_IOR) for alpha in ALPHAS])
    head = (
        f"alpha, {LOBE_TERMS} polynomial terms of (a1, a2, r, exit along view), {_EXIT_TERMS} of"
        f" exit outward, single bounce in air; resin n = {COAT_IOR}; random walks of lobes.py"
    )
    np.savetxt(path, rows, fmt="%.6g", delimiter=",", header=head)


@lru_cache(maxsize=1)
def _table() -> Array:
    return np.loadtxt(_TABLE, delimiter=",")


def find_lobes(alpha: float) -> Lobes:
    """The lobes of metal of GGX roughness `alpha`, interpolated over the table."""
    table = _table()
    row = np.array([np.interp(alpha, table[:, 0], column) for column in table[:, 1:].T])
    coated, exit_up = row[: 4 * LOBE_TERMS].reshape(LOBE_TERMS, 4), row[4 * LOBE_TERMS : -1]
    return Lobes(coated=coated, exit_up=exit_up, single_bare=float(row[-1]))


if __name__ == "__main__":
    write_table()
