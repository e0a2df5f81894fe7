"""The camera that took a photo of a cup, in the numbers that its outline can tell.

Picture space: px from the upper left corner, x right, y down; pixel (0, 0) covers [0, 1]². The lens
is a pinhole whose axis meets the picture's middle, so photos come whole, not cropped.
"""

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
        return np.array([0.0, -d * np.cos(e), self.middle_mm + d * np.sin(e)])

    @property
    def camera_from_stage(self) -> Floats:
        """Rows right, down and forward of the camera, in the stage's frame: (3, 3)."""
        sine, cosine = np.sin(self.elevation_rad), np.cos(self.elevation_rad)
        facing = np.array([[1, 0, 0], [0, -sine, -cosine], [0, cosine, -sine]])
        s, c = np.sin(self.roll_rad), np.cos(self.roll_rad)
        rolled = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
        return cast(Floats, _turned_to(self._ray_to_middle()) @ rolled @ facing)

    def _ray_to_middle(self) -> Floats:
        x, y = np.subtract(self.middle_px, np.divide(self.size_px, 2)) / self.focal_px
        ray = np.array([x, y, 1.0])
        return cast(Floats, ray / np.linalg.norm(ray))

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
                np.log(self.distance_mm),
                self.elevation_rad,
                self.roll_rad,
                *self.middle_px,
                np.log(self.focal_px),
            ]
        )

    def with_numbers(self, numbers: Floats) -> "Pose":
        """The pose of these six numbers; picture and cup stay."""
        log_d, elevation, roll, x, y, log_f = (float(n) for n in numbers)
        return replace(
            self,
            distance_mm=float(np.exp(log_d)),
            elevation_rad=elevation,
            roll_rad=roll,
            middle_px=(x, y),
            focal_px=float(np.exp(log_f)),
        )


def _three(values: Floats) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in values)
    return x, y, z


def _turned_to(ray: Floats) -> Floats:
    """The least rotation that brings (0, 0, 1) to a unit `ray` with a forward part (Rodrigues)."""
    x, y, z = ray
    cross = np.array([[0.0, 0.0, x], [0.0, 0.0, y], [-x, -y, 0.0]])
    return cast(Floats, np.eye(3) + cross + cross @ cross / (1 + z))
