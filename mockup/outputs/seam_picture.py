"""How a wrap's pattern meets itself at its seam: one figure, and a picture of the place.

The figure is the mean CIEDE2000 difference between the colours a little to the left and a little
to the right of the seam, row by row. A busy pattern differs over that distance anywhere, so the
same mean all round is told beside it: only what goes beyond it is the seam's doing.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.blank.wall import Wall
from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_linear
from mockup.design.layers import WrapLayer
from mockup.skin.skin import Skin

__all__ = ["BESIDE_MM", "SeamBreak", "seam_break"]

BESIDE_MM = 0.4  # how far to either side colours are taken
_VIEW_MM = 24.0  # of the picture, to either side
_ROUND = 72  # places round the cup for the pattern's own mean
_LEAST_MM = 0.2  # the picture's pixel


@dataclass(frozen=True, slots=True)
class SeamBreak:
    """How badly the pattern breaks at the seam.

    Attributes
    ----------
    delta_e
        Mean ΔE00 across the seam, over `BESIDE_MM` to either side.
    elsewhere
        The same, mean over places all round: what the pattern changes by itself.
    rgb8_srgb : (rows, columns, 3) uint8
        The seam's surroundings as printed, the seam in the middle, rim up.
    pixel_mm
        Side of a pixel.
    """

    delta_e: float
    elsewhere: float
    rgb8_srgb: NDArray[np.uint8]
    pixel_mm: float


def seam_break(
    skin: Skin, wall: Wall, layer: WrapLayer, behind_rgb8_srgb: tuple[int, int, int]
) -> SeamBreak | None:
    """Measure the seam of `layer` on the compiled artwork; None where nothing of it is left.

    Parameters
    ----------
    behind_rgb8_srgb
        What shows where the artwork is clear.
    """
    grid = skin.grid
    top = grid.length_mm if layer.to_mm is None else min(layer.to_mm, grid.length_mm)
    low, high = (round(mm / grid.row_mm) for mm in (layer.from_mm, top))
    rows = slice(max(low, 0), min(high, grid.rows))
    printed = np.flatnonzero(skin.art_rgba8_srgb[rows, :, 3].any(axis=1))
    if not printed.size:
        return None
    rows = slice(rows.start + int(printed[0]), rows.start + int(printed[-1]) + 1)
    art = skin.art_rgba8_srgb[rows]
    behind = linear_from_rgb8(np.array(behind_rgb8_srgb, np.uint8))
    radii = wall.radius_at(grid.heights_mm()[rows])
    seam = float(np.radians(layer.seam_deg))
    turns = seam + np.arange(_ROUND) * (2 * np.pi / _ROUND)
    steps = np.array([_step(art, behind, radii, float(turn)) for turn in turns])
    view, pixel = _view(art, behind, float(radii.max()), grid.row_mm, seam)
    return SeamBreak(float(steps[0]), float(steps[1:].mean()), view, pixel)


def _step(
    art: NDArray[np.uint8], behind: NDArray[np.float32], radii: NDArray[np.float64], turn: float
) -> float:
    """Mean ΔE00 between colours left and right of a turn."""
    count = art.shape[1]
    rows = np.arange(art.shape[0])
    lab = []
    for side in (-1, 1):
        at = turn + side * BESIDE_MM / radii
        column = (at + np.pi) / (2 * np.pi) * count - 0.5  # texels' middles lie at whole numbers
        first = np.floor(column)
        share = (column - first)[:, None]
        near, next_ = (
            _over(art[rows, (first.astype(np.intp) + i) % count], behind) for i in (0, 1)
        )
        lab.append(lab_from_linear_srgb(near * (1 - share) + next_ * share))
    return float(delta_e_2000(lab[0], lab[1]).mean())


def _over(rgba8: NDArray[np.uint8], behind: NDArray[np.float32]) -> NDArray[np.float32]:
    opacity = rgba8[..., 3:].astype(np.float32) / 255
    return np.asarray(linear_from_rgb8(rgba8[..., :3]) * opacity + behind * (1 - opacity))


def _view(
    art: NDArray[np.uint8], behind: NDArray[np.float32], radius: float, row_mm: float, turn: float
) -> tuple[NDArray[np.uint8], float]:
    """The surroundings of a turn as a picture, with the side of its pixels in mm."""
    count = art.shape[1]
    step = max(1, round(_LEAST_MM / row_mm))
    half = min(int(_VIEW_MM / (2 * np.pi * radius) * count), count // 2)
    middle = int(np.floor((turn + np.pi) / (2 * np.pi) * count))
    columns = np.arange(middle - half, middle + half) % count
    linear = _over(art[:, columns], behind)
    rows, across = (side - side % step for side in linear.shape[:2])
    cells = linear[:rows, :across].reshape(rows // step, step, across // step, step, 3)
    return rgb8_from_linear(cells.mean(axis=(1, 3)))[::-1], step * row_mm
