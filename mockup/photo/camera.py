"""The camera that took a photo of a cup, in the numbers that its outline can tell.

Picture space: px from the upper left corner, x right, y down; pixel (0, 0) covers [0, 1]². The lens
is a pinhole whose axis meets the picture's middle, so photos come whole, not cropped.
"""

import math
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
from numpy.typing import NDArray

from mockup.render.request import Camera

__all__ = ["FULL_FRAME_DIAGONAL_MM", "Pose", "focal_px_from_35mm"]

Floats = NDArray[np.float64]

FULL_FRAME_DIAGONAL_MM = 43.27  # of 36 × 24 mm; CIPA DCG-001 takes equal diagonals as equivalent


def focal_px_from_35mm(focal_35mm: float, size_px: tuple[int, int]) -> float:
    """Focal length, px, of a lens whose length for 36 × 24 mm film is `focal_35mm`."""
    return focal_35mm / FULL_FRAME_DIAGONAL_MM * float(np.hypot(*size_px))


@dataclass(frozen=True, slots=True)
class Pose:
    """Where the camera stood, with the cup's axis upright on z and the camera over −y.

    Attributes
    ----------
    distance_mm
        From the lens to the middle of the cup's axis, which is `middle_mm` above the table.
    elevation_rad
        How far that line looks down.
    roll_rad
        By how much the cup leans to the right in the picture.
    middle_px
        Where the middle of the axis falls in the picture: x, y.
    focal_px
        Focal length.
    size_px
        Width and height of the picture.
    """

    distance_mm: float
    elevation_rad: float
    roll_rad: float
    middle_px: tuple[float, float]
    focal_px: float
    size_px: tuple[int, int]
    middle_mm: float

    @property
    def eye_mm(self) -> Floats:
        """The lens, in the stage's frame: (3,)."""
        e, d = self.elevation_rad, self.distance_mm
        return np.array([0.0, -d * math.cos(e), self.middle_mm + d * math.sin(e)])

    @property
    def camera_from_stage(self) -> Floats:
        """Rows right, down and forward of the camera, in the stage's frame: (3, 3)."""
        sine, cosine = math.sin(self.elevation_rad), math.cos(self.elevation_rad)
        s, c = math.sin(self.roll_rad), math.cos(self.roll_rad)
        # the roll about the line of sight, after what brings that line to the front
        rolled = np.array(
            [
                [c, s * sine, s * cosine],
                [s, -c * sine, -c * cosine],
                [0.0, cosine, -sine],
            ]
        )
        return cast(Floats, _turned_to(*self._ray_to_middle()) @ rolled)

    def _ray_to_middle(self) -> tuple[float, float, float]:
        x = (self.middle_px[0] - self.size_px[0] / 2) / self.focal_px
        y = (self.middle_px[1] - self.size_px[1] / 2) / self.focal_px
        forward = 1 / math.sqrt(x * x + y * y + 1)
        return x * forward, y * forward, forward

    def pixel_from_stage(self, points_mm: Floats) -> Floats:
        """Where points of the stage, (..., 3) mm, fall in the picture: (..., 2) px."""
        away = (points_mm - self.eye_mm) @ self.camera_from_stage.T
        middle = np.divide(self.size_px, 2)
        return cast(Floats, middle + self.focal_px * away[..., :2] / away[..., 2:])

    def px_per_mm(self, points_mm: Floats) -> Floats:
        """Scale of the picture at points of the stage: (...) px/mm, across the line of sight."""
        away = (points_mm - self.eye_mm) @ self.camera_from_stage.T
        return cast(Floats, self.focal_px / np.linalg.norm(away, axis=-1))

    def camera(self) -> Camera:
        """The same camera as the renderer knows it."""
        eye, axes = self.eye_mm, self.camera_from_stage
        return Camera(
            _three(eye),
            _three(eye + axes[2] * self.distance_mm),
            float(np.degrees(2 * np.arctan(self.size_px[1] / 2 / self.focal_px))),
            _three(-axes[1]),
        )

    def scaled(self, factor: float, size_px: tuple[int, int]) -> "Pose":
        """The same camera for the picture enlarged by `factor` to `size_px`."""
        x, y = self.middle_px
        return replace(
            self,
            middle_px=(x * factor, y * factor),
            focal_px=self.focal_px * factor,
            size_px=size_px,
        )

    def through(self, focal_px: float) -> "Pose":
        """As large in the picture through another lens, from as much nearer or further."""
        factor = focal_px / self.focal_px
        return replace(self, distance_mm=self.distance_mm * factor, focal_px=focal_px)

    def numbers(self) -> Floats:
        """The six numbers that a fit changes: log distance, elevation, roll, x, y, log focal."""
        return np.array(
            [
                math.log(self.distance_mm),
                self.elevation_rad,
                self.roll_rad,
                *self.middle_px,
                math.log(self.focal_px),
            ]
        )

    def with_numbers(self, numbers: Floats) -> "Pose":
        """The pose of these six numbers; picture and cup stay."""
        log_d, elevation, roll, x, y, log_f = (float(n) for n in numbers)
        return replace(
            self,
            distance_mm=math.exp(log_d),
            elevation_rad=elevation,
            roll_rad=roll,
            middle_px=(x, y),
            focal_px=math.exp(log_f),
        )


def _three(values: Floats) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in values)
    return x, y, z


def _turned_to(x: float, y: float, z: float) -> Floats:
    """The least rotation that brings (0, 0, 1) to a unit ray with a forward part (Rodrigues)."""
    k = 1 / (1 + z)
    return np.array(
        [
            [1 - k * x * x, -k * x * y, x],
            [-k * x * y, 1 - k * y * y, y],
            [-x, -y, z],
        ]
    )
