"""What a smooth clear coat does to the matt or mirror surface below it.

| symbol | meaning |
|---|---|
| n | index of the coat; epoxy about 1.50 to 1.57 |
| μ | cosine of view outside |
| ρ | reflectance of the dry paint, print or vinyl |
| F, T | Fresnel reflectance of the coat at μ, and 1 − F |
| K1, K2 | diffuse reflectance of the coat's face from outside and from inside |
| h, r | coat thickness, and radius of the wall below it, mm |

References
----------
Saunderson (1942), Calculation of the color of pigmented plastics, J. Opt. Soc. Am. 32, 727,
doi:10.1364/JOSA.32.000727.
"""

from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.errors import DesignError
from mockup.material.fresnel import fresnel_dielectric
from mockup.material.spectrum import dry_colour, dry_reflectance

if TYPE_CHECKING:
    from mockup.design.palette import Swatch

__all__ = [
    "K1",
    "K2",
    "coated_body_reflectance",
    "coated_mirror_reflectance",
    "coated_reflectance",
    "kept_inside",
    "optical_depth",
    "transmittance_per_mm",
]


@cache
def K1(n: float) -> float:  # noqa: N802  Saunderson's symbol
    """Share of diffuse light that a smooth face of index `n` turns back from outside.

    References
    ----------
    Saunderson (1942); Walsh (1926) gave it in closed form. Here 2 ∫ F μ dμ by Gauss-Legendre.
    """
    nodes, weights = np.polynomial.legendre.leggauss(200)
    mu = (nodes + 1.0) / 2.0
    return float(weights @ (fresnel_dielectric(mu, n) * mu))


@cache
def K2(n: float) -> float:  # noqa: N802  Saunderson's symbol
    """Share of diffuse light that the face turns back from inside: 1 − (1 − K1) / n².

    References
    ----------
    Judd (1942), Fresnel reflection of diffusely incident light, J. Res. Natl. Bur. Stand. 29, 329.
    """
    return 1.0 - (1.0 - K1(n)) / n**2


def coated_body_reflectance(
    rho: ArrayLike, mu: ArrayLike, n: float, h_over_r: ArrayLike = 0.0
) -> NDArray[np.float64]:
    """Radiance of coated paint in a uniform surrounding of radiance 1, without the coat's gloss.

    The term (1 − K2) ρ / (1 − ρ K2) is why a cup darkens and gains saturation when the clear
    coat goes on. On a round wall the coat's outer face is larger than the paint by 1 + h/r, so
    more of the inner light finds its way out: étendue is kept if the face's way out, 1 − K2, and
    the light that comes in, both grow by that factor.

    Parameters
    ----------
    rho : (...) float, in [0, 1]
    mu : (...) float, in [0, 1]
    n
        Index of the coat.
    h_over_r : (...) float, ≥ 0
        Coat thickness over the wall's radius; 0 for a flat slab.

    Returns
    -------
    (...) float64, in [0, 1 − F]

    References
    ----------
    Saunderson (1942), doi:10.1364/JOSA.32.000727.
    """
    pigment = np.asarray(rho, dtype=np.float64)
    growth = 1.0 + np.asarray(h_over_r, dtype=np.float64)
    passes = 1.0 - fresnel_dielectric(mu, n)
    way_out = (1.0 - K2(n)) * growth
    body: NDArray[np.float64] = passes * way_out * pigment / (1.0 - pigment * (1.0 - way_out))
    return body


def coated_reflectance(
    rho: ArrayLike, mu: ArrayLike, n: float, h_over_r: ArrayLike = 0.0
) -> NDArray[np.float64]:
    """Radiance of coated paint in a uniform surrounding of radiance 1, with the coat's gloss.

    Parameters and return value as in `coated_body_reflectance`, in [0, 1].
    """
    return fresnel_dielectric(mu, n) + coated_body_reflectance(rho, mu, n, h_over_r)


def coated_mirror_reflectance(mu: ArrayLike, n: float, metal: ArrayLike) -> NDArray[np.float64]:
    """Reflectance of a smooth metal below a smooth coat, all passes summed.

    Parameters
    ----------
    mu : (...) float, in [0, 1]
    n
        Index of the coat.
    metal : (...) float, in [0, 1]
        Reflectance of the metal **in the coat** (its n and k divided by `n`) at the inside angle.

    Returns
    -------
    (...) float64, in [0, 1]

    References
    ----------
    Stokes (1862), On the intensity of the light reflected from or transmitted through a pile of
    plates, Proc. R. Soc. 11, 545: the geometric series of passes.
    """
    face = fresnel_dielectric(mu, n)
    below = np.asarray(metal, dtype=np.float64)
    return face + (1.0 - face) ** 2 * below / (1.0 - face * below)


def transmittance_per_mm(swatch: "Swatch") -> NDArray[np.float64]:
    """Share of light that passes through 1 mm of a coat tinted to this swatch.

    The swatch's colour is what light takes on through 1 mm; thickness t mm passes its t-th power
    (Bouguer-Lambert law), wavelength by wavelength.

    Returns
    -------
    (81,) float64, in (0, 1], on `spectra.wavelengths_nm`

    Raises
    ------
    DesignError
        The swatch is a metal, which no light passes.
    """
    if swatch.kind != "pigment" and swatch.kind != "spectrum":
        raise DesignError(
            f"{swatch.label or swatch.kind!r} is a metal and cannot tint a clear coat",
            where="coat tint",
            remedy="Give the tint a pigment swatch",
        )
    return np.clip(dry_reflectance(swatch), 1e-4, 1.0)


def optical_depth(
    passed: NDArray[np.float64],
    illuminant: str = "D65",
    *,
    behind: NDArray[np.float64] | None = None,
) -> NDArray[np.float64]:
    """−ln of what a tint leaves of light that goes straight through once, for each channel.

    Found from the colour of what lies behind it, in and out again: the colour of ρ T² is neither
    that of ρ times that of T² nor the square of T's.

    Parameters
    ----------
    passed : (81,) float64, in (0, 1], share of light of each wavelength that passes once
    behind : (81,) float64
        What is reflected behind the tint; None is white. A channel in which it is nearly black
        takes white's depth.

    Returns
    -------
    (3,) float64, ≥ 0
    """
    twice = dry_colour(passed**2, illuminant)
    if behind is not None:
        bare, veiled = dry_colour(behind, illuminant), dry_colour(behind * passed**2, illuminant)
        tells = (bare > 0.02) & (veiled > 0.001)
        twice = np.where(tells, veiled / np.where(tells, bare, 1.0), twice)
    depth: NDArray[np.float64] = -0.5 * np.log(np.clip(twice, 1e-6, 1.0))
    return depth


def kept_inside(depth: ArrayLike, n: float) -> NDArray[np.float64]:
    """Share that a tint leaves of diffuse light on its way to the face and back to the paint.

    ∫ F(μ′) exp(−2 τ / μ′) μ′ dμ′ over the same integral at τ = 0: most of this light is totally
    reflected and takes a long, slanting way.

    Parameters
    ----------
    depth : (...) float, ≥ 0
        τ, as `optical_depth` gives it.
    n
        Index of the coat.

    Returns
    -------
    (...) float64, in (0, 1]
    """
    nodes, weights = _gauss_legendre(400)
    inside = (nodes + 1.0) / 2.0
    outside2 = 1.0 - n**2 * (1.0 - inside**2)
    face = np.ones_like(inside)
    leaves = outside2 > 0
    face[leaves] = fresnel_dielectric(np.sqrt(outside2[leaves]), n)
    counted = weights * face * inside
    tau = np.asarray(depth, dtype=np.float64)[..., np.newaxis]
    kept: NDArray[np.float64] = np.exp(-2.0 * tau / inside) @ counted / counted.sum()
    return kept


@cache
def _gauss_legendre(count: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Nodes and weights; finding them takes longer than all that is done with them."""
    nodes, weights = np.polynomial.legendre.leggauss(count)
    return nodes, weights
