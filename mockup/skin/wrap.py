"""Sheet artwork round the cup: printed film, paper or fabric, as colour, opacity and relief."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from mockup.blank.flat import wrapped_turn
from mockup.blank.grid import WallGrid
from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.design.fields import Gloss
from mockup.design.layers import WrapLayer
from mockup.errors import DesignError
from mockup.material.channels import MAPS
from mockup.skin.artwork import artwork_size_mm, read_artwork
from mockup.skin.fit import FITS, Fit
from mockup.skin.place import Window
from mockup.skin.relief import LEVEL, SHEET_MM, SheetKind, paper_slopes, seam_slope, weave_slopes
from mockup.skin.sample import linear_raster, sampled
from mockup.skin.soak import blotches, soaked
from mockup.skin.stack import Stack

__all__ = ["lay_wrap"]

Floats = NDArray[np.float32]

_STRIP = 64  # rows taken at a time, so that they stay in the processor's cache
_JOINT_MM = 3.0  # the step at the seam lies well within this
_FINISH: dict[SheetKind, Gloss] = {"film": "satin", "paper": "flat", "fabric": "flat"}


def lay_wrap(stack: Stack, layer: WrapLayer, index: int) -> None:
    """Lay sheet artwork: what it hides goes, its colours and relief come.

    Raises
    ------
    DesignError
        It begins above the rim, or it cannot be read.
    GeometryError
        A placed piece would overlap itself.
    """
    where = f"{stack.design.where}: layers[{index}]"
    _refuse_beyond_rim(layer, stack.grid, where)
    asset = stack.design.asset(layer.artwork, where=f"layers[{index}].artwork")
    natural = artwork_size_mm(asset, where=f"{where}.artwork")
    fit = FITS[layer.fit](stack.wall, stack.grid, layer, natural, where)
    texels = (max(1, round(side / stack.grid.row_mm)) for side in (fit.width_mm, fit.height_mm))
    across, down = texels if fit.quarter_turns % 2 == 0 else reversed(tuple(texels))
    artwork = read_artwork(asset, where=f"{where}.artwork", width_px=across, height_px=down)
    raster = linear_raster(np.rot90(artwork.rgba8_srgb, fit.quarter_turns))
    drinks = layer.sheet != "film" and not layer.sealed and stack.coated_above(index)
    filled = _filled(stack, fit, index) if drinks else None
    opacity = np.zeros(fit.window.shape, np.uint8)
    for strip in fit.window.strips(_STRIP):
        x, y = fit.sheet_from_window(strip)
        rgba = _read_sheet(raster, fit, stack.grid.row_mm, x, y)
        if filled is not None:
            rgba[..., :3] = soaked(rgba[..., :3], filled(x, y))
        rgba[..., 3] *= _within_limits(fit, stack.grid, strip)
        first = strip.rows.start - fit.window.rows.start
        opacity[first : first + strip.shape[0]] = _lay_colour(stack.art, strip, rgba)
    stack.wrap(fit.window, opacity, _FINISH[layer.sheet])
    _lay_relief(stack, layer, fit, opacity)


def _refuse_beyond_rim(layer: WrapLayer, grid: WallGrid, where: str) -> None:
    if layer.from_mm >= grid.length_mm:
        raise DesignError(
            f"the sheet begins at {layer.from_mm:g} mm on a wall of {grid.length_mm:.1f} mm",
            where=f"{where}.from_mm",
            remedy="Begin it lower",
        )


def _read_sheet(
    raster: Floats, fit: Fit, texel_mm: float, x_mm: NDArray[np.float64], y_mm: NDArray[np.float64]
) -> Floats:
    """Artwork at sheet coordinates: (m, n, 4) float32, linear light and opacity."""
    across_px_per_mm = raster.shape[1] / fit.width_mm
    down_px_per_mm = raster.shape[0] / fit.height_mm
    return sampled(
        raster,
        x_mm * across_px_per_mm - 0.5,
        (fit.height_mm - y_mm) * down_px_per_mm - 0.5,
        edges=fit.edges,
        spacing_px=(texel_mm * across_px_per_mm, texel_mm * down_px_per_mm),
    )


def _within_limits(fit: Fit, grid: WallGrid, strip: Window) -> Floats:
    """Share of each row that lies between the sheet's edges: (m, 1)."""
    low = np.arange(strip.rows.start, strip.rows.stop) * grid.row_mm
    inside = np.minimum(low + grid.row_mm, fit.high_mm) - np.maximum(low, fit.low_mm)
    return np.clip(inside / grid.row_mm, 0, 1).astype(np.float32)[:, None]


def _lay_colour(art: NDArray[np.uint8], strip: Window, rgba: Floats) -> NDArray[np.uint8]:
    """Lay linear colour with straight opacity over the artwork there; give its stored opacity."""
    opacity: NDArray[np.uint8] = np.rint(rgba[..., 3] * 255).astype(np.uint8)
    below = art[strip.rows][:, strip.columns]
    laid = np.empty_like(below)
    laid[..., 3] = opacity
    if below[..., 3].any() and opacity.min() < 255:
        under = linear_raster(below)
        shows = under[..., 3:] * (1 - rgba[..., 3:])
        both = rgba[..., 3:] + shows
        colour = rgba[..., :3] * rgba[..., 3:] + under[..., :3] * shows
        np.divide(colour, both, out=rgba[..., :3], where=both > 0)
        laid[..., 3] = np.rint(both[..., 0] * 255)
    laid[..., :3] = rgb8_from_linear(rgba[..., :3])
    art[strip.rows, strip.columns] = laid
    return opacity


def _filled(
    stack: Stack, fit: Fit, index: int
) -> Callable[[NDArray[np.float64], NDArray[np.float64]], Floats]:
    """Share of pores that resin fills, at sheet coordinates; a seed of its own for each layer."""
    wide = 2 * np.pi * stack.grid.radius_max_mm if fit.jointed else fit.width_mm
    map_, (per_mm_across, per_mm_down) = blotches(wide, stack.grid.length_mm, seed=index)

    def at(x_mm: NDArray[np.float64], y_mm: NDArray[np.float64]) -> Floats:
        across, down = x_mm * per_mm_across - 0.5, -y_mm * per_mm_down - 0.5
        return sampled(map_, across, down, edges=("repeat", "repeat"))[..., 0]

    return at


def _lay_relief(stack: Stack, layer: WrapLayer, fit: Fit, opacity: NDArray[np.uint8]) -> None:
    """Where the sheet covers, its slopes take the place of those below."""
    smooth = layer.sheet == "film" and not (fit.jointed and layer.overlap_mm > 0)
    if smooth and stack.relief is None:
        return
    if stack.relief is None:
        stack.relief = np.full((*stack.grid.shape, 2), LEVEL, np.uint8)
    for strip in fit.window.strips(_STRIP):
        first = strip.rows.start - fit.window.rows.start
        covered = opacity[first : first + strip.shape[0]] > 127
        relief = stack.relief[strip.rows, strip.columns]
        for axis, slope in enumerate(_slopes(stack, layer, fit, strip)):
            stored = MAPS["relief"].encode(slope)
            relief[..., axis] = np.where(covered, stored, relief[..., axis])
        stack.relief[strip.rows, strip.columns] = relief


def _slopes(
    stack: Stack, layer: WrapLayer, fit: Fit, strip: Window
) -> tuple[NDArray[np.floating], NDArray[np.floating]]:
    """Slopes of the sheet on the wall, x to the right and y up: two (m, n).

    Up on a taper's sheet leans from up on the wall by a few degrees away from the sheet's middle;
    that is left out.
    """
    grid = stack.grid
    turns, heights = strip.places(grid)
    beside = wrapped_turn(turns - np.radians(layer.seam_deg))
    slope_x, slope_y = np.zeros(strip.shape, np.float32), np.zeros(strip.shape, np.float32)
    if layer.sheet == "fabric":
        u, v = weave_slopes(*fit.sheet_from_window(strip))
        c, s = np.float32(np.cos(fit.rotation_rad)), np.float32(np.sin(fit.rotation_rad))
        slope_x, slope_y = c * u - s * v, s * u + c * v
    elif layer.sheet == "paper":
        columns = np.floor(np.mod(beside[0], 2 * np.pi) * (grid.columns / (2 * np.pi)))
        rows = np.arange(strip.rows.start, strip.rows.stop)
        slope_x, slope_y = paper_slopes(rows, columns.astype(np.intp), grid.row_mm)
    if fit.jointed and layer.overlap_mm > 0:
        near = np.flatnonzero(np.abs(beside[0]) * grid.radius_max_mm < _JOINT_MM)
        from_seam = beside[:, near] * stack.wall.radius_at(heights)
        slope_x[:, near] += seam_slope(from_seam, SHEET_MM[layer.sheet])
    return slope_x, slope_y
