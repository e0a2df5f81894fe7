"""Paper or cloth that drinks resin: darker, more saturated, in soft blotches.

Filling the pores with a liquid of nearly the fibres' index weakens their scattering, so that light
goes further through the dye before it comes out. A sheet that takes resin to the share w of its
pores is given

    (1 − ρ')/ρ' = (1 − ρ)/ρ · 1/(1 − k w)      that is      ρ' = (1 − k w) ρ / (1 − k w ρ)

per channel, with k = 1 − 1/n² the share of diffuse light that is totally reflected inside a face of
index n. This is the law of wet surfaces; black and white stay, and what is coloured deepens.

References
----------
Ångström, A. (1925), The albedo of various surfaces of ground, Geografiska Annaler 7, 323-342.
Lekner, J. and Dorf, M. C. (1988), Why some things are darker when wet, Applied Optics 27(7),
1278-1280, doi:10.1364/AO.27.001278.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

__all__ = ["RESIN_IOR", "blotches", "soaked"]

Floats = NDArray[np.float32]

RESIN_IOR = 1.5  # cured epoxy, typical
_CELL_MM = 1.0  # of the map of blotches
_SIZES_MM = ((9.0, 1.0), (3.5, 0.5))  # smoothing and weight of large and small blotches
_LEAST = 0.2  # share of the pores filled where the sheet was densest


def soaked(reflectance: Floats, filled: Floats, *, ior: float = RESIN_IOR) -> Floats:
    """Reflectance of a sheet with resin in its pores.

    Parameters
    ----------
    reflectance : (..., 3) float32, linear, dry
    filled : (...) float32, share of the pores, in [0, 1]
    """
    thrown_back = (np.float32(1 - 1 / ior**2) * filled)[..., None]
    darker: Floats = (1 - thrown_back) * reflectance / (1 - thrown_back * reflectance)
    return darker


def blotches(width_mm: float, height_mm: float, seed: int) -> tuple[Floats, tuple[float, float]]:
    """Share of pores that resin fills over a sheet, smooth and periodic both ways.

    Returns
    -------
    filled : (h, w, 1) float32, share, row 0 at the top
    cells_per_mm
        (across, down); about 1.
    """
    rows, columns = (max(4, round(side / _CELL_MM)) for side in (height_mm, width_mm))
    random = np.random.default_rng(seed)
    noise = np.zeros((rows, columns))
    for size, weight in _SIZES_MM:
        part = gaussian_filter(
            random.standard_normal((rows, columns)), size / 2 / _CELL_MM, mode="wrap"
        )
        noise += weight * part / max(float(part.std()), 1e-12)
    t = np.clip((noise + 1.1) / 2.2, 0, 1)
    filled = _LEAST + (1 - _LEAST) * t * t * (3 - 2 * t)
    return filled.astype(np.float32)[..., None], (columns / width_mm, rows / height_mm)
