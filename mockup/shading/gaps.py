"""Light between flakes: what passes a layer of them to the paint and back, by quadrature.

Flakes hide each other at random, but the ray from the eye and the ray to the light share their
gaps where they run close together (the hot spot of plant canopies); a flake's tilt changes how
much it hides. The shader reads seven shares as functions of the layer's optical depth.

References
----------
Kuusk (1985), The hot spot effect of a uniform vegetative cover, Sov. J. Remote Sensing 3, 645-658.
Walter et al. (2007), doi:10.2312/EGWR/EGSR07/195-206 (refraction and its change of solid angle).
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from mockup.material.fresnel import fresnel_dielectric

__all__ = ["GAP_NODES", "MOST_DEPTH", "Gaps", "find_gaps", "node_depths", "second_exit"]

Array = NDArray[np.float64]

GAP_NODES = 8
MOST_DEPTH = 4.2  # optical depth of a coverage of .985
_EYE_RAD = np.radians(35)  # the shares hardly depend on the view; taken at this one


@dataclass(frozen=True, slots=True)
class Gaps:
    """Shares of light at each of GAP_NODES optical depths, (GAP_NODES,) float64 each.

    `seen`: light reaching paint in a gap that the eye looks through, over the light without
    flakes. `out`, `back`, `all_`: of light leaving such paint, the shares that leave through the
    face, are thrown back by it, and pass the layer at all; `*_under`: the same for paint under a
    flake. `head`: chance that a ray thrown back by the face finds a flake's front clear.
    """

    seen: Array
    out: Array
    back: Array
    all_: Array
    out_under: Array
    back_under: Array
    all_under: Array
    head: Array


def node_depths() -> Array:
    """Optical depths of the nodes: denser where the shares change fastest."""
    return MOST_DEPTH * (np.arange(GAP_NODES) / (GAP_NODES - 1)) ** 2


def overlap(x: Array) -> Array:
    """∫ of the normalised overlap of two discs, from 0 to a separation of x radii."""
    s = np.linspace(0, 2, 801)
    share = (2 * np.arccos(s / 2) - s / 2 * np.sqrt(np.maximum(0, 4 - s * s))) / np.pi
    total = np.concatenate([[0], np.cumsum((share[1:] + share[:-1]) / 2 * (s[1] - s[0]))])
    return np.asarray(np.interp(x, s, total))


def tilts(tilt_deg: float, count: int, seed: int = 1) -> Array:
    """Flake normals, (count, 3): each slope is Gaussian with σ = tan(tilt_deg), quasi-random."""
    k = np.arange(count) + 0.5
    start = np.random.default_rng(seed).uniform(size=2)
    u = np.stack([k * 0.7548776662466927 + start[0], k * 0.5698402909980532 + start[1]], 1) % 1
    slopes = ndtri(np.clip(u, 1e-6, 1 - 1e-6)) * np.tan(np.radians(tilt_deg))
    m = np.concatenate([slopes, np.ones((count, 1))], 1)
    return np.asarray(m / np.linalg.norm(m, axis=1, keepdims=True))


def _cosine_hemisphere(count: int) -> Array:
    k = np.arange(count) + 0.5
    r, turn = np.sqrt(k / count), 2 * np.pi * k * 0.6180339887
    return np.stack([r * np.cos(turn), r * np.sin(turn), np.sqrt(1 - r * r)], 1)


def _inside_fresnel(w: Array, ior: float) -> Array:
    """Share of a ray inside the resin that the face throws back."""
    sine2 = ior**2 * (1 - w[:, 2] ** 2)
    outside = np.sqrt(np.maximum(1 - sine2, 0))
    return np.where(sine2 < 1, fresnel_dielectric(outside, ior), 1.0)


@lru_cache(maxsize=64)
def find_gaps(radius_mm: float, low_mm: float, high_mm: float, tilt_deg: float, ior: float) -> Gaps:
    """The shares for flakes of equal-area radius `radius_mm` between two heights over the paint."""
    m = tilts(tilt_deg, 400)
    eye = np.array([np.sin(_EYE_RAD) / ior, 0, 0])
    eye[2] = np.sqrt(1 - eye[0] ** 2)
    inside = _cosine_hemisphere(1200)
    refracted = np.concatenate([inside[:, :2] / ior, np.zeros((1200, 1))], 1)
    refracted[:, 2] = np.sqrt(1 - (refracted**2).sum(1))
    through_in = 1 - fresnel_dielectric(inside[:, 2], ior)
    thrown = _inside_fresnel(inside, ior)

    def ways(w: Array) -> tuple[Array, Array]:
        """Projected area factor along w, and the part of it that the eye's own gap has cleared."""
        hides = np.abs(w @ m.T).mean(1) / w[:, 2]
        apart = np.linalg.norm(w[:, :2] / w[:, 2:] - eye[:2] / eye[2], axis=1) / radius_mm
        span = np.maximum(apart * (high_mm - low_mm), 1e-6)
        shared = (overlap(apart * high_mm) - overlap(apart * low_mm)) / span
        return hides, np.minimum(1, hides) * shared

    (hides_in, shared_in), (hides, shared) = ways(refracted), ways(inside)
    rows = []
    for tau in node_depths():
        cover = 1 - np.exp(-tau)
        gap, free = np.exp(-tau * (hides - shared)), np.exp(-tau * hides)
        seen = (through_in * np.exp(-tau * (hides_in - shared_in))).mean() / through_in.mean()
        gaps = [(gap * (1 - thrown)).mean(), (gap * thrown).mean(), gap.mean()]
        mean = [(free * (1 - thrown)).mean(), (free * thrown).mean(), free.mean()]
        under = [
            max((a - (1 - cover) * c) / cover, 0) if cover > 1e-9 else c
            for a, c in zip(mean, gaps, strict=True)
        ]
        k = 2 * np.tan(np.arcsin(0.77)) * (high_mm - low_mm) / radius_mm
        head = np.exp(-tau * (0.4 - overlap(np.array(k * 0.4)) / k))
        rows.append([seen, *gaps, *under, float(head)])
    return Gaps(*np.array(rows).T)


@lru_cache(maxsize=64)
def second_exit(tilt_deg: float, ior: float) -> Array:
    """Share that leaves after three flakes, over the outside cosine of view: 4 polynomial terms."""
    m = tilts(tilt_deg, 1500, seed=5)
    wide = np.concatenate([m[:, :2] / m[:, 2:] * np.sqrt(3), np.ones((len(m), 1))], 1)
    wide /= np.linalg.norm(wide, axis=1, keepdims=True)
    cosines = np.linspace(0.05, 1, 12)
    shares = []
    for mu in cosines:
        eye = np.array([np.sqrt(1 - mu * mu) / ior, 0, 0])
        eye[2] = np.sqrt(1 - eye[0] ** 2)
        d = 2 * (wide @ eye)[:, None] * wide - eye
        ok = d[:, 2] > 0
        shares.append(np.where(ok, 1 - _inside_fresnel(d, ior), 0).mean())
    terms = np.linalg.lstsq(np.vander(cosines, 4, increasing=True), np.array(shares), rcond=None)[0]
    return np.asarray(terms)
