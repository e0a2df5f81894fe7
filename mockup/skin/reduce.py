"""A skin with fewer texels, for small pictures that have to come quickly."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from mockup.blank.grid import WallGrid
from mockup.skin.skin import Skin

__all__ = ["reduced_skin"]


def reduced_skin(skin: Skin, step: int) -> Skin:
    """Each `step` × `step` texels as their mean; coverage keeps its own, coarser grid.

    Parameters
    ----------
    step
        1, 2 or 4: the grid's rows and columns are multiples of 4.
    """
    if step == 1:
        return skin
    grid = skin.grid
    coarse = WallGrid(grid.rows // step, grid.columns // step, grid.length_mm, grid.radius_max_mm)
    return replace(
        skin,
        grid=coarse,
        art_rgba8_srgb=_means(skin.art_rgba8_srgb, step),
        relief=None,
        edge_distance=_means(skin.edge_distance, step),
    )


def _means(stored: NDArray[np.uint8], step: int) -> NDArray[np.uint8]:
    """Means of stored bytes. Colours are bled below clear texels, so codes may be averaged."""
    rows, columns, channels = stored.shape
    if channels == 0 or not stored.any():
        return np.ascontiguousarray(stored[::step, ::step])
    down = np.zeros((rows // step, columns, channels), np.uint16)
    for nth in range(step):
        down += stored[nth::step]
    across = np.zeros((rows // step, columns // step, channels), np.uint16)
    for nth in range(step):
        across += down[:, nth::step]
    return (across // step**2).astype(np.uint8)
