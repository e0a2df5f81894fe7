"""How far a decal stands out from what surrounds it as the cup turns, from pictures' radiance.

Contrast is WCAG's ratio of relative luminances, as the picture shows them: exposed by the white
card, through the tone curve, so that a lamp in the foil counts as white and not as a hundred times
white. It thus runs from 1 to 21, and 3 and 4.5 mean what they mean in WCAG; its 0.05 is the light
that the eye itself and the room throw over everything. Weber's ratio has no such floor, and would
call black on darker black easy to read.

Foil is bright at one end of a word and dark at the other, so that a mean over the word says little:
contrast is taken cell by cell, within `REACH_MM` of the edge on either side, and the figure of a
picture is what three quarters of the decal reach.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.blank.wall import Wall
from mockup.checks.decal_shape import DecalShape
from mockup.checks.stations import REACH_MM, shown_at
from mockup.colorimetry.contrast import contrast_wcag22, relative_luminance
from mockup.render.develop import tone
from mockup.render.sight import Sight
from mockup.skin.place import piece_from_wall
from mockup.skin.skin import Skin

__all__ = ["DecalLegibility", "Mask", "contrast_in", "legibility_of", "luminance_shown", "mask_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

CELL_MM = 6.0  # side of a cell: 20′ at 1 m, the height of a comfortable letter (ISO 9241-303)
LEAST_PIXELS = 3  # on either side, or a cell says nothing
LEAST_FACING = 0.5  # the wall is looked at within 60° of straight on
REACHED = 0.75  # share of the decal that reaches the figure of a picture
IN_VIEW = 0.5  # of the most that is ever seen of it at once


@dataclass(frozen=True, slots=True, eq=False)
class Mask:
    """Pixels of one picture on either side of a decal's edge, and the cell that each lies in.

    `within`, `around` : (n,) intp, places in the flattened picture; `*_cell` : (n,) intp.
    `area_mm2` is the decal's that is seen.
    """

    within: Ints
    within_cell: Ints
    around: Ints
    around_cell: Ints
    area_mm2: float


def mask_of(shape: DecalShape, skin: Skin, wall: Wall, sight: Sight, turn_rad: float) -> Mask:
    """Where a decal and its surround are seen at a turn of the cup.

    Pixels that the edge runs through belong to neither side, nor do those that show another piece
    of the same material.
    """
    depth = skin.sheets[shape.channels[-1]].depth_mm if shape.channels else 0.0
    turn, height = sight.under_resin(depth)
    near = np.flatnonzero(
        (sight.facing >= LEAST_FACING) & (height >= 0) & (height < wall.length_mm)
    )
    turn, height = turn[near] + turn_rad, height[near]
    apart = shape.distance_mm(wall, turn, height)
    half_mm = sight.footprint_mm[near] / sight.facing[near] / 2
    within = (apart < -half_mm) & (apart >= -REACH_MM)
    around = (apart > half_mm) & (apart <= min(REACH_MM, float(shape.distance.distance_mm.max())))
    around[around] = ~_same_material(shape, skin, turn[around], height[around])
    cell = _cells(shape, wall, turn, height)
    seen = (apart < 0) * sight.footprint_mm[near] ** 2 / sight.facing[near]
    return Mask(
        sight.pixel[near[within]],
        cell[within],
        sight.pixel[near[around]],
        cell[around],
        float(seen.sum()),
    )


def _same_material(
    shape: DecalShape, skin: Skin, turn: Floats, height: Floats
) -> NDArray[np.bool_]:
    grid = skin.grid
    row = np.clip((height / grid.row_mm).astype(np.intp), 0, grid.rows - 1)
    column = np.floor((turn + np.pi) * (grid.columns / (2 * np.pi))).astype(np.intp) % grid.columns
    own = [1 + i for i in shape.channels]
    return np.asarray(shown_at(skin, row, column)[:, own].sum(axis=1) > 0.01)


def _cells(shape: DecalShape, wall: Wall, turn: Floats, height: Floats) -> Ints:
    x, y = piece_from_wall(wall, shape.spot, turn, height)
    column, row = (np.floor(a / CELL_MM).astype(np.intp) for a in (x, y))
    return column * 100_000 + row


def luminance_shown(linear: NDArray[np.float32], exposure: float) -> Floats:
    """Relative luminance of a picture's radiance as it is displayed, white being 1.

    Parameters
    ----------
    linear : (height, width, 3 or 4) float32, radiance in linear sRGB primaries
    exposure
        The light's.

    Returns
    -------
    (height, width) float64, in [0, 1]
    """
    return relative_luminance(tone(linear[..., :3].astype(np.float64) * exposure))


def contrast_in(luminance: Floats, mask: Mask) -> float:
    """The ratio that three quarters of the decal reach; NaN where no cell has both sides.

    Parameters
    ----------
    luminance : (height, width) float64, in [0, 1]
    """
    cells, inverse = np.unique(
        np.concatenate([mask.within_cell, mask.around_cell]), return_inverse=True
    )
    inside, outside = inverse[: len(mask.within)], inverse[len(mask.within) :]
    flat = luminance.ravel()
    counts = [np.bincount(of, minlength=len(cells)) for of in (inside, outside)]
    sums = [
        np.bincount(of, flat[pixels], len(cells))
        for of, pixels in ((inside, mask.within), (outside, mask.around))
    ]
    both = np.minimum(*counts) >= LEAST_PIXELS
    if not both.any():
        return float("nan")
    a, b = (total[both] / count[both] for total, count in zip(sums, counts, strict=True))
    return _reached(contrast_wcag22(a, b), counts[0][both].astype(np.float64))


def _reached(ratio: Floats, weight: Floats) -> float:
    """The largest ratio that at least `REACHED` of the weight reach."""
    order = np.argsort(ratio)[::-1]
    reached = np.cumsum(weight[order]) / weight.sum()
    return float(ratio[order][np.searchsorted(reached, REACHED - 1e-9)])


@dataclass(frozen=True, slots=True, eq=False)
class DecalLegibility:
    """Contrast of one decal round a full turn.

    Attributes
    ----------
    lights, elevations_deg, turns_deg
        What was looked at; the turn is the one of the wall that faces the eye.
    contrast : (lights, elevations, turns) float64
        NaN where the decal is not in view.
    """

    shape: DecalShape
    lights: tuple[str, ...]
    elevations_deg: tuple[float, ...]
    turns_deg: tuple[float, ...]
    contrast: Floats

    def of(self, light: str | None = None) -> Floats:
        """Figures of every view that the decal is in: (n,), of one light or of all."""
        chosen = self.contrast if light is None else self.contrast[self.lights.index(light)]
        return chosen[np.isfinite(chosen)]

    def share_above(self, ratio: float, light: str | None = None) -> float:
        """Share of the views it is in where it stands out by this ratio or more; 0 without any."""
        seen = self.of(light)
        return float(np.mean(seen >= ratio)) if seen.size else 0.0

    def worst(self, light: str | None = None) -> float:
        """Least contrast of any view; NaN without any."""
        return float(self.of(light).min()) if self.of(light).size else float("nan")

    def median(self, light: str | None = None) -> float:
        """Contrast that half the views reach; NaN without any."""
        return float(np.median(self.of(light))) if self.of(light).size else float("nan")

    def round_the_turn(self, light: str) -> Floats:
        """Contrast at each turn, the geometric mean over elevations: (turns,), NaN out of view."""
        logs = np.log(self.contrast[self.lights.index(light)])
        there = np.isfinite(logs).all(axis=0)
        mean = np.full(len(self.turns_deg), np.nan)
        mean[there] = np.exp(logs[:, there].mean(axis=0))
        return mean

    @property
    def stroke_arcmin(self) -> float:
        """Mean width of a stroke as seen from 1 m, minutes of arc."""
        return float(np.degrees(self.shape.stroke_mm / 1000) * 60)


def legibility_of(
    shape: DecalShape,
    contrast: Floats,
    area_mm2: Floats,
    *,
    lights: Sequence[str],
    elevations_deg: Sequence[float],
    turns_deg: Sequence[float],
) -> DecalLegibility:
    """Gather the figures of all pictures; views that show too little of the decal do not count.

    Parameters
    ----------
    contrast : (lights, elevations, turns) float64
        As `contrast_in` gives it.
    area_mm2 : (elevations, turns) float64
        Of the masks.
    """
    in_view = area_mm2 >= IN_VIEW * max(float(area_mm2.max()), 1e-9)
    counted = np.where(in_view, contrast, np.nan)
    return DecalLegibility(shape, tuple(lights), tuple(elevations_deg), tuple(turns_deg), counted)
