"""Thin films: reflectance and transmittance of a stack of layers by interference.

Each layer is a 2 × 2 matrix that carries the tangential fields from its far face to its near one;
their product and the substrate's admittance give the whole stack (characteristic matrix).

Limits. Layers are even and smooth, and their indices do not change with wavelength; substrates'
do.

References
----------
Born & Wolf (1999), Principles of Optics, 7th ed., sec. 1.6.
Macleod (2010), Thin-Film Optical Filters, 4th ed., sec. 2.6: eq. 2.111 to 2.119, with N = n − ik.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["film_reflectance"]

Complex = NDArray[np.complex128]
Floats = NDArray[np.float64]


def film_reflectance(
    mu: ArrayLike,
    at_nm: ArrayLike,
    layers: Sequence[tuple[complex, float]],
    *,
    outside: float,
    substrate: ArrayLike,
) -> tuple[Floats, Floats]:
    """Share of unpolarised light that a stack sends back and passes on.

    Parameters
    ----------
    mu : (...) float, in (0, 1]
        Cosine of incidence, outside.
    at_nm : (m,) float, nm, in vacuum
    layers
        Index n + ik and thickness in nm of each, outermost first.
    outside
        Index of the clear medium that the light comes from.
    substrate : (m,) complex or one for all
        Index n + ik of what the stack lies on. Of a free film, the medium behind it.

    Returns
    -------
    (reflectance, transmittance), each (..., m) float64, in [0, 1]
    """
    nm = np.asarray(at_nm, dtype=np.float64)
    cosine = np.asarray(mu, dtype=np.float64)[..., np.newaxis]
    across2 = outside**2 * (1.0 - cosine**2)  # (N sin θ)², the same in every layer
    below = np.broadcast_to(np.conj(np.asarray(substrate, dtype=np.complex128)), nm.shape)
    shares = [
        _one_polarisation(cosine, nm, layers, outside, below, across2, parallel)
        for parallel in (False, True)
    ]
    reflected, passed = (np.mean(part, axis=0) for part in zip(*shares, strict=True))
    return reflected, passed


def _one_polarisation(
    cosine: Floats,
    nm: Floats,
    layers: Sequence[tuple[complex, float]],
    outside: float,
    below: Complex,
    across2: Floats,
    parallel: bool,
) -> tuple[Floats, Floats]:
    near = outside / cosine if parallel else outside * cosine
    _, far = _admittance(below, across2, parallel)
    electric = np.ones(np.broadcast_shapes(cosine.shape, nm.shape), np.complex128)
    magnetic = electric * far
    for index, thickness_nm in reversed(layers):
        upright, admittance = _admittance(np.conj(complex(index)), across2, parallel)
        phase = 2.0 * np.pi * thickness_nm / nm * upright
        cos, sin = np.cos(phase), 1j * np.sin(phase)
        electric, magnetic = (
            cos * electric + sin / admittance * magnetic,
            admittance * sin * electric + cos * magnetic,
        )
    both = near * electric + magnetic
    reflected = np.abs((near * electric - magnetic) / both) ** 2
    passed = 4.0 * near * far.real / np.abs(both) ** 2
    return reflected, passed


def _admittance(
    index: Complex | complex, across2: Floats, parallel: bool
) -> tuple[Complex, Complex]:
    """N cos θ in a medium, and its tilted admittance (of free space 1)."""
    upright = np.sqrt(np.asarray(index, np.complex128) ** 2 - across2)
    admittance = index**2 / upright if parallel else upright
    return upright, np.asarray(admittance, np.complex128)
