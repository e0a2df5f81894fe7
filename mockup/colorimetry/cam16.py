"""CAM16-UCS: an appearance space whose distances are about equal steps for the eye.

Own numpy, as `difference`: colour-science takes seconds to load.

References
----------
Li, Li, Wang, Xu, Luo, Cui, Melgosa, Brill & Pointer (2017), Comprehensive color solutions: CAM16,
CAT16, and CAM16-UCS, doi:10.1002/col.22131: appendix A for the steps, eq. 1 to 4 for the UCS.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.difference import WHITE_XYZ_D65, XYZ_FROM_LINEAR_SRGB

__all__ = [
    "SRGB_VIEWING",
    "Viewing",
    "cam16_from_xyz",
    "cam16_ucs_from_linear_srgb",
    "delta_e_cam16_ucs",
]

Floats = NDArray[np.float64]

_CAT16 = np.array(  # Li et al. (2017), eq. A3
    [
        [0.401288, 0.650173, -0.051461],
        [-0.250268, 1.204414, 0.045854],
        [-0.002079, 0.048952, 0.953127],
    ]
)
_FULL, _C, _N_C = 1.0, 0.69, 1.0  # F, c, N_c of an average surround; table A1


@dataclass(frozen=True, slots=True)
class Viewing:
    """How the colours are looked at, in an average surround.

    `adapting_cd_m2` is the field's luminance, `background` the background's over white's, in
    percent; `white_xyz` has Y = 100.
    """

    white_xyz: tuple[float, float, float]
    adapting_cd_m2: float
    background: float = 20.0


# White of 80 cd/m² as sRGB's reference display has, a fifth of it as what the eye adapts to, grey
# of a fifth as background: IEC 61966-2-1 for the display, Li et al. (2017) for the fifths.
SRGB_VIEWING = Viewing(
    (float(WHITE_XYZ_D65[0]) * 100, float(WHITE_XYZ_D65[1]) * 100, float(WHITE_XYZ_D65[2]) * 100),
    16.0,
)


def cam16_from_xyz(xyz: ArrayLike, viewing: Viewing) -> Floats:
    """Lightness, colourfulness and hue angle.

    Parameters
    ----------
    xyz : (..., 3) float, white's Y is 100

    Returns
    -------
    (..., 3) float64, J in [0, 100], M ≥ 0, h in [0, 360) degrees

    References
    ----------
    Li et al. (2017), appendix A, steps 0 to 9.
    """
    white = np.array(viewing.white_xyz)
    adapts = _FULL * (1 - np.exp((-viewing.adapting_cd_m2 - 42) / 92) / 3.6)
    white_cones = _CAT16 @ white
    gain = np.clip(adapts, 0, 1) * white[1] / white_cones + 1 - np.clip(adapts, 0, 1)
    k = 1 / (5 * viewing.adapting_cd_m2 + 1)
    f_l = 0.2 * k**4 * 5 * viewing.adapting_cd_m2
    f_l += 0.1 * (1 - k**4) ** 2 * np.cbrt(5 * viewing.adapting_cd_m2)
    n = viewing.background / white[1]
    n_bb = 0.725 * n**-0.2
    red, green, blue = np.moveaxis(_compressed(np.asarray(xyz) @ _CAT16.T * gain, f_l), -1, 0)
    a = red - 12 * green / 11 + blue / 11
    b = (red + green - 2 * blue) / 9
    hue = np.arctan2(b, a)
    eccentric = (np.cos(hue + 2) + 3.8) / 4
    of_white = _achromatic(*_compressed(white_cones * gain, f_l)) * n_bb
    response = np.maximum(_achromatic(red, green, blue) * n_bb, 0.0)
    lightness = 100 * (response / of_white) ** (_C * (1.48 + np.sqrt(n)))
    t = (50000 / 13) * _N_C * n_bb * eccentric * np.hypot(a, b)
    t = np.maximum(t / (red + green + 21 * blue / 20), 0.0)
    chroma = t**0.9 * np.sqrt(lightness / 100) * (1.64 - 0.29**n) ** 0.73
    colourful = chroma * f_l**0.25
    return np.stack([lightness, colourful, np.degrees(hue) % 360], axis=-1)


def cam16_ucs_from_linear_srgb(rgb_linear: ArrayLike, viewing: Viewing = SRGB_VIEWING) -> Floats:
    """Coordinates in CAM16-UCS.

    Parameters
    ----------
    rgb_linear : (..., 3) float, linear sRGB, 1 is white

    Returns
    -------
    (..., 3) float64, J′, a′, b′

    References
    ----------
    Li et al. (2017), eq. 1 to 3.
    """
    xyz = 100 * (np.asarray(rgb_linear, dtype=np.float64) @ XYZ_FROM_LINEAR_SRGB.T)
    lightness, colourful, hue_deg = np.moveaxis(cam16_from_xyz(xyz, viewing), -1, 0)
    j = 1.7 * lightness / (1 + 0.007 * lightness)
    m = np.log1p(0.0228 * colourful) / 0.0228
    hue = np.radians(hue_deg)
    return np.stack([j, m * np.cos(hue), m * np.sin(hue)], axis=-1)


def delta_e_cam16_ucs(rgb_linear_a: ArrayLike, rgb_linear_b: ArrayLike) -> Floats:
    """Distance of two colours in CAM16-UCS: two (..., 3) linear sRGB → (...) float64, ≥ 0.

    References
    ----------
    Li et al. (2017), eq. 4.
    """
    apart = cam16_ucs_from_linear_srgb(rgb_linear_a) - cam16_ucs_from_linear_srgb(rgb_linear_b)
    return np.asarray(np.linalg.norm(apart, axis=-1))


def _compressed(cones: Floats, f_l: float) -> Floats:
    """Post-adaptation response compression (eq. A7), odd about 0."""
    power = (f_l * np.abs(cones) / 100) ** 0.42
    return np.asarray(np.sign(cones) * 400 * power / (power + 27.13) + 0.1)


def _achromatic(red: Floats, green: Floats, blue: Floats) -> Floats:
    return np.asarray(2 * red + green + blue / 20 - 0.305)
