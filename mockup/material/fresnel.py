"""Fresnel's laws for clear media and metals, exact and unpolarised, on whole arrays.

| symbol | meaning |
|---|---|
| μ | cosine of the angle of incidence, in [0, 1] |
| η | index of the far medium over the near one; metals: its real part |
| k | imaginary part of a metal's index over the near medium's index |

References
----------
Born & Wolf (1999), Principles of Optics, 7th ed., sec. 1.5.2 (dielectrics), 14.2 (metals).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "fresnel_conductor",
    "fresnel_conductor_sp",
    "fresnel_dielectric",
    "fresnel_dielectric_sp",
    "refracted_cosine",
]

Reflectances = tuple[NDArray[np.float64], NDArray[np.float64]]


def refracted_cosine(mu: ArrayLike, eta: ArrayLike) -> NDArray[np.float64]:
    """Cosine on the far side by Snell's law; 0 at and beyond total reflection.

    Parameters
    ----------
    mu : (...) float, in [0, 1]
    eta : (...) float, > 0
        From air into resin n; from resin into air 1/n.

    Returns
    -------
    (...) float64, in [0, 1]

    References
    ----------
    Born & Wolf (1999), sec. 1.5.1.
    """
    cosine = np.asarray(mu, dtype=np.float64)
    ratio = np.asarray(eta, dtype=np.float64)
    far: NDArray[np.float64] = np.sqrt(np.maximum(0.0, 1.0 - (1.0 - cosine**2) / ratio**2))
    return far


def fresnel_dielectric_sp(mu: ArrayLike, eta: ArrayLike) -> Reflectances:
    """Reflectance of a clear medium for light polarised across (s) and in (p) the plane.

    Parameters
    ----------
    mu : (...) float, in [0, 1]
    eta : (...) float, > 0

    Returns
    -------
    (s, p), each (...) float64, in [0, 1]; 1 at total reflection

    References
    ----------
    Born & Wolf (1999), sec. 1.5.2 and 1.5.3.
    """
    near = np.asarray(mu, dtype=np.float64)
    ratio = np.asarray(eta, dtype=np.float64)
    far = refracted_cosine(near, ratio)
    total = 1.0 - near**2 >= ratio**2  # sin² of incidence against that of the critical angle
    with np.errstate(invalid="ignore"):  # 0/0 where total reflection and grazing meet
        s = ((near - ratio * far) / (near + ratio * far)) ** 2
        p = ((ratio * near - far) / (ratio * near + far)) ** 2
    return np.where(total, 1.0, s), np.where(total, 1.0, p)


def fresnel_dielectric(mu: ArrayLike, eta: ArrayLike) -> NDArray[np.float64]:
    """Unpolarised reflectance of a clear medium: the mean of `fresnel_dielectric_sp`.

    Parameters
    ----------
    mu : (...) float, in [0, 1]
    eta : (...) float, > 0

    Returns
    -------
    (...) float64, in [0, 1]
    """
    s, p = fresnel_dielectric_sp(mu, eta)
    return (s + p) / 2.0


def fresnel_conductor_sp(mu: ArrayLike, eta: ArrayLike, k: ArrayLike) -> Reflectances:
    """Reflectance of a metal for light polarised across (s) and in (p) the plane.

    Parameters
    ----------
    mu : (...) float, in [0, 1]
    eta, k : (...) float
        Below resin, the metal's n and k both divided by the resin's index.

    Returns
    -------
    (s, p), each (...) float64, in [0, 1]

    References
    ----------
    Born & Wolf (1999), sec. 14.2, with the complex cosine from Snell's law.
    """
    near = np.asarray(mu, dtype=np.float64)
    index = np.asarray(eta, dtype=np.float64) + 1j * np.asarray(k, dtype=np.float64)
    far = np.sqrt(index**2 - (1.0 - near**2) + 0j)  # index times the complex cosine inside
    s = np.abs((near - far) / (near + far)) ** 2
    p = np.abs((index**2 * near - far) / (index**2 * near + far)) ** 2
    return s, p


def fresnel_conductor(mu: ArrayLike, eta: ArrayLike, k: ArrayLike) -> NDArray[np.float64]:
    """Unpolarised reflectance of a metal: the mean of `fresnel_conductor_sp`.

    Parameters
    ----------
    mu : (...) float, in [0, 1]
    eta, k : (...) float

    Returns
    -------
    (...) float64, in [0, 1]
    """
    s, p = fresnel_conductor_sp(mu, eta, k)
    return (s + p) / 2.0
