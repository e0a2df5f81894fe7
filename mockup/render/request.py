"""What the render process is asked for, as plain data that can cross to it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.skin.skin import Skin

__all__ = [
    "CAMERA",
    "STILL_SAMPLES",
    "Camera",
    "CupModel",
    "Request",
    "camera_for",
    "still_samples",
]

Floats = NDArray[np.float32]

# how a whole cup is looked at: vertical field, room above and beside it, where it is aimed at
CAMERA = {"fov_deg": 17.0, "room_above": 1.20, "room_beside": 1.42, "aim": 0.475}
# samples a pixel by least height, px: more the smaller a picture is, so that glitter that falls
# below a pixel keeps its sparkle
STILL_SAMPLES = ((1000, 4), (700, 9), (0, 16))


def still_samples(height_px: int) -> int:
    """Samples a pixel of a still of this height."""
    return next(count for least, count in STILL_SAMPLES if height_px >= least)


@dataclass(frozen=True, slots=True)
class Camera:
    """A pinhole camera in the stage's frame, mm: the cup stands on z = 0, the camera at −y."""

    position_mm: tuple[float, float, float]
    target_mm: tuple[float, float, float]
    fov_deg: float  # vertical
    up: tuple[float, float, float] = (0.0, 0.0, 1.0)

    def mirrored(self) -> "Camera":
        """The camera's image in the table top: what the table reflects is upside down in it."""
        (x, y, z), (tx, ty, tz) = self.position_mm, self.target_mm
        return Camera((x, y, -z), (tx, ty, -tz), self.fov_deg, (0.0, 0.0, -1.0))

    def axes(self) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Unit vectors right, up and forward: each (3,) float64."""
        forward = np.subtract(self.target_mm, self.position_mm)
        forward = forward / np.linalg.norm(forward)
        right = np.cross(forward, self.up)
        right = right / np.linalg.norm(right)
        return right, np.cross(right, forward), forward


def camera_for(
    height_mm: float,
    radius_mm: float,
    *,
    aspect: float,
    elevation_deg: float,
    target: tuple[float, float, float] | None = None,
    field_mm: float | None = None,
) -> Camera:
    """A camera at the front that shows the whole cup, or a field of `field_mm` about `target`.

    Parameters
    ----------
    height_mm, radius_mm
        Of the whole cup.
    aspect
        Width over height of the picture.
    elevation_deg
        How far the camera looks down.
    """
    fov_deg = CAMERA["fov_deg"]
    elevation = np.radians(elevation_deg)
    half = np.tan(np.radians(fov_deg) / 2)
    if target is None:
        seen = height_mm * np.cos(elevation) + 2 * radius_mm * abs(np.sin(elevation))
        # the nearest wall is closer than the target by one radius
        above, beside = CAMERA["room_above"], CAMERA["room_beside"]
        distance = max(seen * above / 2, radius_mm * beside / aspect) / half + radius_mm
        target = (0.0, 0.0, height_mm * CAMERA["aim"])
    else:
        assert field_mm is not None
        distance = field_mm / 2 / half
    away = np.array([0.0, -np.cos(elevation), np.sin(elevation)]) * distance
    x, y, z = np.add(target, away)
    return Camera((float(x), float(y), float(z)), target, fov_deg)


@dataclass(frozen=True, slots=True, eq=False)
class CupModel:
    """A compiled cup as the host draws it; `key` names its mesh and maps, not its table.

    Attributes
    ----------
    positions, normals : (n, 3) float32, mm and unit, cup frame
    turn_height : (n, 2) float32, rad and mm
    triangles : (m, 3) uint32
    part : (m,) uint8, 0 wall, 1 steel, 2 lid
    """

    key: str
    positions: Floats
    normals: Floats
    turn_height: Floats
    triangles: NDArray[np.uint32]
    part: NDArray[np.uint8]
    skin: Skin
    height_mm: float
    radius_mm: float
    rim_z_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Request:
    """One picture to be drawn."""

    width_px: int
    height_px: int
    samples: int  # a pixel
    turn_rad: float  # the cup's turn that faces the camera
    camera: Camera
    light: str
    table: Floats
    foil: tuple[int, int]  # samples and second bounces of rough metal
