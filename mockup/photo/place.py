"""Where a cut shape lies on a finished cup, against where it was meant to lie: mm and degrees.

The shape is slid and turned over the rolled-out photo until what lies under it and what lies just
round it are told apart best: by the correlation ratio, which asks neither which colours they have
nor which is brighter, so that foil that mirrors a lamp is found as vinyl is.

References
----------
Roche, A. et al. (1998), The correlation ratio as a new similarity measure for multimodal image
registration, MICCAI, doi:10.1007/BFb0056301.
"""

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft2, next_fast_len, rfft2
from scipy.ndimage import map_coordinates

from mockup.blank.wall import Blank
from mockup.colorimetry.srgb import srgb_from_linear
from mockup.photo.camera import Pose
from mockup.photo.compare import LEAST_TEXELS, mean_colour
from mockup.photo.unroll import LEAST_FACING, sampled, seen_at
from mockup.skin.distance import DistanceGrid
from mockup.skin.place import Spot, wall_from_piece

__all__ = ["Placed", "Shape", "find_place"]

Floats = NDArray[np.float64]
Light = NDArray[np.float32]

WINDOW_MM, WINDOW_DEG = 7.0, 6.0  # how far from its place a shape is looked for
_TEXEL_MM = 0.25
_COARSE_DEG, _FINE_DEG = 1.0, 0.25
_ROUND_MM = 1.2  # of the surround
_CLEAR_MM = 0.15  # to either side of the edge, belongs to neither
_LEAST_SEEN = 0.3  # share of the shape that must be seen
_LEAST_TOLD_APART = 0.08
_NOISE = 0.02  # sRGB-encoded


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A cut shape: distances to its edge in its own coordinates, its spot, the coat above it."""

    distance: DistanceGrid
    spot: Spot
    depth_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """Where a shape was found.

    Attributes
    ----------
    right_mm, up_mm
        From where it was meant to lie, along the sheet.
    tilt_deg
        Further turned, anticlockwise as seen from outside.
    seen
        Share of it that is seen.
    told_apart
        Correlation ratio of what lies under it and round it: 0 not at all, 1 wholly.
    rgb : (3,) float64 or None
        Mean linear light under it, in its place.
    """

    right_mm: float
    up_mm: float
    tilt_deg: float
    seen: float
    told_apart: float
    rgb: Floats | None


def find_place(
    rgb: Light,
    blank: Blank,
    pose: Pose,
    turn_rad: float,
    shape: Shape,
    *,
    sparkling: bool,
    moved: bool = True,
) -> Placed | None:
    """Find a shape near its place in a photo of the pose's size; None if too little is seen.

    Parameters
    ----------
    turn_rad
        Of the wall that faces the camera.
    sparkling
        How its colour is taken, see `mockup.photo.compare.mean_colour`.
    moved
        Whether it is looked for; else its colour alone is taken, in its place.
    """
    patch = _patch(rgb, blank, pose, turn_rad, shape)
    seen = float((patch.under(0, 0, 0) * patch.weight).sum() / max(patch.under(0, 0, 0).sum(), 1))
    if seen < _LEAST_SEEN:
        return None
    if not moved:
        return Placed(0.0, 0.0, 0.0, seen, 1.0, _colour(patch, 0.0, 0.0, 0.0, sparkling))
    coarse = np.arange(-WINDOW_DEG, WINDOW_DEG + 0.01, _COARSE_DEG)
    tries = {float(tilt): _slid(patch, float(tilt)) for tilt in coarse}
    best = max(tries, key=lambda tilt: tries[tilt][0])
    for tilt in np.arange(best - _COARSE_DEG, best + _COARSE_DEG + 0.01, _FINE_DEG):
        tries.setdefault(float(tilt), _slid(patch, float(tilt)))
    best = max(tries, key=lambda tilt: tries[tilt][0])
    ratio, right, up = tries[best]
    if ratio < _LEAST_TOLD_APART:
        return None
    sides = [tries.get(best + step, (ratio, 0, 0))[0] for step in (-_FINE_DEG, _FINE_DEG)]
    tilt = best + _FINE_DEG * _vertex(sides[0], ratio, sides[1])
    return Placed(right, up, tilt, seen, ratio, _colour(patch, right, up, tilt, sparkling))


def _colour(
    patch: "_Patch", right_mm: float, up_mm: float, tilt_deg: float, sparkling: bool
) -> Floats | None:
    """Mean colour under the shape, well clear of its edge where it is broad enough."""
    apart = patch.distance(right_mm, up_mm, tilt_deg)
    for clear_mm in (0.5, 0.3, _CLEAR_MM):
        under = (apart < -clear_mm) & (patch.weight > 0)
        if under.sum() > LEAST_TEXELS:
            return mean_colour(patch.rgb[under], sparkling=sparkling)
    return None


@dataclass(frozen=True, slots=True, eq=False)
class _Patch:
    """The photo about a shape's place, in the shape's own coordinates before its rotation.

    `x_mm`, `y_mm` : (h, w); `rgb` : (h, w, 3); `weight` : (h, w), 0 where it is not seen.
    """

    shape: Shape
    x_mm: Floats
    y_mm: Floats
    rgb: Light
    weight: Floats

    def distance(self, right_mm: float, up_mm: float, tilt_deg: float) -> Floats:
        """To the edge of the shape, moved and turned about its middle."""
        grid = self.shape.distance
        h, w = grid.distance_mm.shape
        west, south, step = grid.left_mm, grid.bottom_mm, grid.texel_mm
        middle = west + (w - 1) / 2 * step, south + (h - 1) / 2 * step
        c, s = np.cos(np.radians(tilt_deg)), np.sin(np.radians(tilt_deg))
        x, y = self.x_mm - right_mm - middle[0], self.y_mm - up_mm - middle[1]
        places = np.stack(
            [
                (middle[1] - s * x + c * y - south) / step,
                (middle[0] + c * x + s * y - west) / step,
            ]
        )
        return cast(Floats, map_coordinates(grid.distance_mm, places, order=1, mode="nearest"))

    def under(self, right_mm: float, up_mm: float, tilt_deg: float) -> Floats:
        """1 under the shape, clear of its edge."""
        return (self.distance(right_mm, up_mm, tilt_deg) < -_CLEAR_MM).astype(np.float64)


def _patch(rgb: Light, blank: Blank, pose: Pose, turn_rad: float, shape: Shape) -> _Patch:
    grid = shape.distance
    h, w = grid.distance_mm.shape
    x = np.arange(grid.left_mm - WINDOW_MM, grid.left_mm + w * grid.texel_mm + WINDOW_MM, _TEXEL_MM)
    y = np.arange(
        grid.bottom_mm - WINDOW_MM, grid.bottom_mm + h * grid.texel_mm + WINDOW_MM, _TEXEL_MM
    )
    x_mm, y_mm = np.meshgrid(x, y)
    beside, height = wall_from_piece(blank.wall, shape.spot, np.stack([x_mm, y_mm], axis=-1))
    turn = np.angle(np.exp(1j * (beside + shape.spot.turn_rad - turn_rad)))
    on_wall = (height > 0) & (height < blank.wall.length_mm) & (np.abs(turn) < np.pi / 2)
    seen = seen_at(blank, pose, turn, np.clip(height, 0, blank.wall.length_mm), shape.depth_mm)
    light = sampled(rgb, seen.pixel, _TEXEL_MM * pose.focal_px / pose.distance_mm)
    size = np.array(pose.size_px)
    inside = ((seen.pixel > 1) & (seen.pixel < size - 1)).all(axis=-1)
    weight = (on_wall & inside & (seen.facing >= LEAST_FACING)).astype(np.float64)
    return _Patch(shape, x_mm, y_mm, light, weight)


def _slid(patch: _Patch, tilt_deg: float) -> tuple[float, float, float]:
    """The best correlation ratio at a tilt, and the way right and up that has it, mm."""
    apart = patch.distance(0.0, 0.0, tilt_deg)
    masks = (apart < -_CLEAR_MM), (apart > _CLEAR_MM) & (apart < _ROUND_MM)
    shown = srgb_from_linear(np.clip(patch.rgb, 0, 1))
    size = tuple(next_fast_len(n + int(2 * WINDOW_MM / _TEXEL_MM), real=True) for n in apart.shape)
    weight = patch.weight
    fields = [weight, *(weight * shown[..., c] for c in range(3))]
    fields.append(weight * (shown**2).sum(axis=-1))
    spectra = [rfft2(field, size) for field in fields]
    inside, around = (
        [_near(irfft2(np.conj(rfft2(mask.astype(float), size)) * f, size)) for f in spectra]
        for mask in masks
    )
    ratio = _ratio(inside, around)
    row, column = np.unravel_index(ratio.argmax(), ratio.shape)
    best = float(ratio[row, column])
    middle = (len(ratio) - 1) // 2
    shift = []
    for line, at in ((ratio[row], int(column)), (ratio[:, column], int(row))):
        edge = at in (0, len(line) - 1)
        more = 0.0 if edge else _vertex(line[at - 1], line[at], line[at + 1])
        shift.append((at - middle + more) * _TEXEL_MM)
    return best, shift[0], shift[1]


def _near(whole: Floats) -> Floats:
    """Shifts within the window, the middle one none."""
    reach = int(WINDOW_MM / _TEXEL_MM)
    rolled = np.roll(whole, (reach, reach), axis=(0, 1))
    return np.asarray(rolled[: 2 * reach + 1, : 2 * reach + 1])


def _ratio(inside: list[Floats], around: list[Floats]) -> Floats:
    """1 − the scatter within both parts over the scatter of all, for every shift."""

    def scatter(count: Floats, sums: list[Floats], squares: Floats) -> Floats:
        return np.asarray(squares - sum(s**2 for s in sums) / np.maximum(count, 1))

    within = scatter(inside[0], inside[1:4], inside[4]) + scatter(around[0], around[1:4], around[4])
    count = inside[0] + around[0]
    both = [a + b for a, b in zip(inside[1:4], around[1:4], strict=True)]
    whole = scatter(count, both, inside[4] + around[4])
    noise = 3 * _NOISE**2 * count
    ratio = 1 - (within + noise) / np.maximum(whole + noise, 1e-9)
    enough = inside[0] > 0.8 * float(inside[0].max())
    return np.where(enough, ratio, -1.0)


def _vertex(before: float, at: float, after: float) -> float:
    """Where a parabola through three values is highest, from the middle one, in steps."""
    curve = 2 * at - before - after
    return float(np.clip((after - before) / 2 / curve, -0.5, 0.5)) if curve > 0 else 0.0
