"""The visible wall of a photographed cup, rolled out: pixels looked up for places on the wall."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.ndimage import gaussian_filter, map_coordinates

from mockup.blank.flat import object_from_wall
from mockup.blank.wall import Blank
from mockup.photo.camera import Pose
from mockup.photo.outline import half_section, hidden
from mockup.shading.lobes import COAT_IOR

__all__ = ["LEAST_FACING", "Seen", "WallView", "seen_at", "unroll"]

Floats = NDArray[np.float64]
Light = NDArray[np.float32]

LEAST_FACING = 0.4  # a wall seen within 66° of straight on
_FARTHEST_RAD = 1.25
_BEFORE_MM = 4.0  # what hides a place of the near wall lies so far before it
_ROUNDS = 3  # of the way back through the coat: each leaves a tenth of the error


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """Where places on the wall fall in a photo: (..., 2) px; how the face is looked at there.

    `facing` : (...), cosine between the line of sight and the wall's normal.
    """

    pixel: Floats
    facing: Floats


def seen_at(
    blank: Blank, pose: Pose, turn_rad: ArrayLike, height_mm: ArrayLike, depth_mm: float = 0.0
) -> Seen:
    """Where places under `depth_mm` of clear coat are seen, turns counted from the camera's side.

    The coat's face bends the line of sight, by the formula of `render.sight`.
    """
    turn, height = np.broadcast_arrays(
        np.asarray(turn_rad, np.float64), np.asarray(height_mm, np.float64)
    )
    face_turn, face_height = turn, height
    radius = blank.wall.radius_at(height)
    for _ in range(_ROUNDS if depth_mm > 0 else 0):
        _, right, up, inside = _sight(blank, pose, face_turn, face_height)
        face_turn = turn + right / inside * depth_mm / radius
        face_height = height + up / inside * depth_mm
    facing, *_ = _sight(blank, pose, face_turn, face_height)
    points = object_from_wall(blank, face_turn, face_height)
    return Seen(pose.pixel_from_stage(points), facing)


def _sight(
    blank: Blank, pose: Pose, turn: Floats, height: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Cosine of the ray at the face; its run to the right and up, and its cosine, under it."""
    rise, along = blank.wall.slope_at(height)
    view = pose.eye_mm - object_from_wall(blank, turn, height)
    view /= np.linalg.norm(view, axis=-1, keepdims=True)
    out = view[..., 0] * np.sin(turn) - view[..., 1] * np.cos(turn)
    right = (view[..., 0] * np.cos(turn) + view[..., 1] * np.sin(turn)) / COAT_IOR
    up = (rise * out + along * view[..., 2]) / COAT_IOR
    inside = np.sqrt(np.maximum(1 - right**2 - up**2, 1e-6))
    return along * out - rise * view[..., 2], right, up, inside


@dataclass(frozen=True, slots=True, eq=False)
class WallView:
    """The visible wall rolled out, row 0 at the foot.

    Attributes
    ----------
    rgb : (rows, columns, 3) float32
        Linear light.
    turn_rad : (columns,), height_mm : (rows,) float64
        Places of the texels' middles; turns count from the camera's side.
    facing : (rows, columns) float64
        0 where the place is hidden or out of the picture.
    step_mm
        Side of a texel, at the widest part of the wall and along it.
    """

    rgb: Light
    turn_rad: Floats
    height_mm: Floats
    facing: Floats
    step_mm: float

    @property
    def shown(self) -> NDArray[np.bool_]:
        """Where the wall is seen well enough."""
        return self.facing >= LEAST_FACING


def unroll(rgb: Light, blank: Blank, pose: Pose, *, depth_mm: float, step_mm: float) -> WallView:
    """Roll out what a picture of the pose's size shows of the wall under `depth_mm` of coat."""
    wall = blank.wall
    rows = max(8, round(wall.length_mm / step_mm))
    height = np.asarray((np.arange(rows) + 0.5) * (wall.length_mm / rows), np.float64)
    columns = max(8, int(2 * _FARTHEST_RAD * wall.radius_max_mm / step_mm))
    turn = ((np.arange(columns) + 0.5) / columns * 2 - 1) * _FARTHEST_RAD
    seen = seen_at(blank, pose, turn[None, :], height[:, None], depth_mm)
    return WallView(
        rgb=sampled(rgb, seen.pixel, step_mm * pose.focal_px / pose.distance_mm),
        turn_rad=turn,
        height_mm=height,
        facing=np.where(_clear(blank, pose, turn, height, seen), np.maximum(seen.facing, 0), 0.0),
        step_mm=step_mm,
    )


def sampled(rgb: Light, pixel: Floats, spacing_px: float) -> Light:
    """Light at places (..., 2) px that lie `spacing_px` apart: (..., 3)."""
    blur = 0.4 * np.sqrt(max(spacing_px**2 - 1, 0.0))
    index = [pixel[..., 1] - 0.5, pixel[..., 0] - 0.5]
    planes = [
        map_coordinates(gaussian_filter(rgb[..., c], blur), index, order=1, mode="nearest")
        for c in range(3)
    ]
    return np.stack(planes, axis=-1).astype(np.float32)


def _clear(blank: Blank, pose: Pose, turn: Floats, height: Floats, seen: Seen) -> NDArray[np.bool_]:
    """Whether nothing of the cup lies before a place, and it lies in the picture."""
    every = max(1, len(height) // 40)
    points = object_from_wall(blank, turn[None, ::every], height[::every, None])
    before = hidden(
        half_section(blank).discs, pose.eye_mm, points.reshape(-1, 3), before_mm=_BEFORE_MM
    ).reshape(points.shape[:2])
    whole = np.repeat(np.repeat(before, every, axis=0), every, axis=1)
    whole = whole[: len(height), : len(turn)]
    width, tall = pose.size_px
    x, y = seen.pixel[..., 0], seen.pixel[..., 1]
    inside = (x > 1) & (x < width - 1) & (y > 1) & (y < tall - 1)
    return np.asarray(inside & ~whole)
