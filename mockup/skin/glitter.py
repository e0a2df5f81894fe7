"""Flakes: a coverage field on the coarse grid and the population that meets it."""

import numpy as np
from numpy.typing import NDArray

from mockup.blank.grid import WallGrid
from mockup.blank.wall import Wall
from mockup.design.layers import GlitterLayer
from mockup.skin.field import coverage_field
from mockup.skin.skin import FIELD_STEP
from mockup.skin.stack import LaidFlakes, Stack

__all__ = ["coverage_map", "lay_glitter"]

_SEEDS = 10_000  # the document's seeds lie below this
_STRIP = 64  # cells' rows taken at a time


def lay_glitter(stack: Stack, layer: GlitterLayer, index: int) -> None:
    """Lay one population; a seed that was used before is moved on, or flakes would coincide."""
    total = sum(part.share for part in layer.mix)
    again = sum(population.seed % _SEEDS == layer.seed for population in stack.flakes)
    stack.scatter(
        LaidFlakes(
            name=layer.name or "glitter",
            cut_mm=layer.flake_width_mm,
            mix=tuple((part.swatch, part.share / total) for part in layer.mix),
            tilt_deg=layer.tilt_deg,
            seed=layer.seed + again * _SEEDS,
            order=0,
            where=f"{stack.design.where}: layers[{index}]",
            coverage=coverage_map(layer, stack.wall, stack.grid),
        )
    )


def coverage_map(layer: GlitterLayer, wall: Wall, grid: WallGrid) -> NDArray[np.float32]:
    """Mean coverage of each cell of `FIELD_STEP` texels squared.

    Every texel row counts, so that a crisp band keeps its share of a cell; round the cup, where
    only the edges of patches vary, a cell is sampled in its middle.

    Returns
    -------
    (rows / FIELD_STEP, columns / FIELD_STEP) float32, share
    """
    rows, columns = grid.rows // FIELD_STEP, grid.columns // FIELD_STEP
    turns = (np.arange(columns) + 0.5) * (2 * np.pi / columns) - np.pi
    heights = grid.heights_mm()[:, None]
    cells = np.empty((rows, columns), np.float32)
    for first in range(0, rows, _STRIP):
        strip = heights[first * FIELD_STEP : (first + _STRIP) * FIELD_STEP]
        share = coverage_field(layer, wall, turns[None, :], strip)
        cells[first : first + _STRIP] = share.reshape(-1, FIELD_STEP, columns).mean(axis=1)
    return cells
