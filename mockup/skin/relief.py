"""Slopes of a sheet's surface: the weave of cloth, the grain of paper, the step at the seam."""

from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from mockup.material.channels import MAPS

__all__ = ["LEVEL", "SHEET_MM", "SheetKind", "paper_slopes", "seam_slope", "weave_slopes"]

Floats = NDArray[np.float32]
SheetKind = Literal["film", "paper", "fabric"]

LEVEL = int(MAPS["relief"].encode(np.zeros(1))[0])  # stored slope 0
SHEET_MM: dict[SheetKind, float] = {"film": 0.08, "paper": 0.10, "fabric": 0.22}  # typical
_PITCH_MM = 0.45  # between threads of a fine plain cotton weave, typical
_WEAVE_MM = 0.04  # from the gaps to the tops of the threads, once the cloth is glued down
_GRAIN_MM = 0.25  # size of a paper's fibres' flocks, one standard deviation of the smoothing
_GRAIN_SLOPE = 0.03  # root mean square, each way
_GRAIN_TEXELS = 512  # side of the tile of grain
_STEEPEST = 0.6  # of the rounded step at the seam


def weave_slopes(x_mm: NDArray[np.floating], y_mm: NDArray[np.floating]) -> tuple[Floats, Floats]:
    """Slopes of a plain weave, over one and under one, across x and y.

    Height h = A/4 · (2 + P + Q + E (P − Q)) with P = cos 2πx/p and Q = cos 2πy/p the roundness of
    upright and level threads, and E = cos πx/p · cos πy/p telling which of them is on top: +1 where
    an upright one crosses over, −1 where a level one does. It is A at every crossing and 0 in
    the gaps.

    Parameters
    ----------
    x_mm, y_mm : (m or 1, n or 1) float, mm on the sheet, along its threads

    Returns
    -------
    dh/dx, dh/dy : (m, n) float32, mm/mm
    """
    k = np.float32(np.pi / _PITCH_MM)
    x, y = x_mm.astype(np.float32) * k, y_mm.astype(np.float32) * k
    cx, sx, cy, sy = np.cos(x), np.sin(x), np.cos(y), np.sin(y)
    p, q, dp, dq = 2 * cx * cx - 1, 2 * cy * cy - 1, -4 * sx * cx, -4 * sy * cy
    scale = np.float32(_WEAVE_MM / 4) * k
    apart, over = p - q, cx * cy
    slope_x = scale * (dp * (1 + over) - sx * cy * apart)
    slope_y = scale * (dq * (1 - over) - cx * sy * apart)
    return slope_x, slope_y


def paper_slopes(
    rows: NDArray[np.intp], columns: NDArray[np.intp], texel_mm: float
) -> tuple[Floats, Floats]:
    """Slopes of a faint grain at texels: (m, n) float32, mm/mm.

    Parameters
    ----------
    rows : (m,) int; columns : (n,) int
        Texels of the sheet, counted from its lower left corner; the grain repeats every 512.
    """
    at = np.ix_(rows % _GRAIN_TEXELS, columns % _GRAIN_TEXELS)
    across, up = _grain(texel_mm)
    return across[at], up[at]


@lru_cache(maxsize=2)
def _grain(texel_mm: float) -> tuple[Floats, Floats]:
    """Slopes across and up of a tile of grain, periodic both ways."""
    random = np.random.default_rng(1)
    noise = random.standard_normal((_GRAIN_TEXELS, _GRAIN_TEXELS), dtype=np.float32)
    height = gaussian_filter(noise, _GRAIN_MM / texel_mm, mode="wrap")
    across, up = (np.roll(height, -1, axis) - np.roll(height, 1, axis) for axis in (1, 0))
    return across * (_GRAIN_SLOPE / across.std()), up * (_GRAIN_SLOPE / up.std())


def seam_slope(from_seam_mm: NDArray[np.floating], thickness_mm: float) -> Floats:
    """Slope across a lap joint: up on to the end that lies on top, to the right of the seam.

    A cosine bell whose area is the sheet's thickness; about 0.3 mm wide for film.

    Parameters
    ----------
    from_seam_mm : (...) float, mm, positive to the right

    Returns
    -------
    (...) float32, mm/mm
    """
    width = 2 * thickness_mm / _STEEPEST
    phase = np.clip(np.abs(from_seam_mm) * (2 * np.pi / width), 0, np.pi)
    bell: Floats = (_STEEPEST / 2 * (1 + np.cos(phase))).astype(np.float32)
    return bell
