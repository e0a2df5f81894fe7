"""Where a picture's rays meet the wall: the mask of anything whose place on the wall is known.

The cup is a solid of revolution, so one look serves every turn: turn the cup and the same pixel
shows the same height, at another turn. What lies under resin is seen aside of where the ray meets
the face, by the very formula of shade.glsl.
"""

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from mockup.render.request import Camera, CupModel
from mockup.shading.lobes import COAT_IOR

__all__ = ["Sight", "look_at", "picture_from_stage"]

Floats = NDArray[np.float64]

_WALL = 0  # part of the mesh
_LEAST_FACING = 0.02  # as the shader takes it
_SHORTEST_MM = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Sight:
    """What the middles of n pixels see of the wall, at the turn that faces the camera.

    Attributes
    ----------
    shape
        (height, width) of the picture, px.
    pixel : (n,) intp
        Their place in the flattened picture.
    turn_rad, height_mm, radius_mm : (n,) float64
        Where the ray meets the face; the turn counts from the one that faces the camera.
    facing : (n,) float64
        Cosine between the ray and the wall's normal.
    slope : (n, 2) float64
        Run of the refracted ray under the face, to the right and up, for each mm of depth.
    footprint_mm : (n,) float64
        Side of the pixel at that distance.
    """

    shape: tuple[int, int]
    pixel: NDArray[np.intp]
    turn_rad: Floats
    height_mm: Floats
    radius_mm: Floats
    facing: Floats
    slope: Floats
    footprint_mm: Floats

    def under_resin(self, depth_mm: float) -> tuple[Floats, Floats]:
        """Turn, rad, and height, mm, of what is seen at a depth below the face."""
        turn = self.turn_rad - self.slope[:, 0] * depth_mm / self.radius_mm
        return turn, self.height_mm - self.slope[:, 1] * depth_mm


def look_at(model: CupModel, camera: Camera, width_px: int, height_px: int) -> Sight:
    """Trace the middle of every pixel to the first face of the cup; keep those that meet the wall.

    The mesh's facets leave the round by 0.01 mm, which is left out.
    """
    rays = _rays(camera, width_px, height_px)
    eye = np.array(camera.position_mm)
    nearest = np.full(len(rays), np.inf)
    segment = np.full(len(rays), -1)
    profile = _profile(model)
    for nth, (low, high, _) in enumerate(profile):
        t = _meets(eye, rays, low, high)
        closer = t < nearest
        nearest[closer], segment[closer] = t[closer], nth
    part = np.array([kind for _, _, kind in profile] + [-1])
    pixel = np.flatnonzero((segment >= 0) & (part[segment] == _WALL))
    return _seen(eye, rays, nearest, segment, profile, pixel, camera, (height_px, width_px))


def picture_from_stage(camera: Camera, aspect: float, points_mm: Floats) -> Floats:
    """Where points of the stage fall in a picture: (..., 2), shares of width and height.

    From the upper left corner; `aspect` is width over height.
    """
    right, up, forward = camera.axes()
    away = np.asarray(points_mm, np.float64) - camera.position_mm
    half = np.tan(np.radians(camera.fov_deg) / 2) * (away @ forward)
    return np.stack([0.5 + away @ right / half / aspect / 2, 0.5 - away @ up / half / 2], axis=-1)


Segment = tuple[Floats, Floats, int]  # (radius, z, height along the wall) of both ends; part


def _profile(model: CupModel) -> list[Segment]:
    """The cup's half section: the mesh's edges along one column."""
    column = np.isclose(model.turn_height[:, 0], model.turn_height[:, 0].min())
    ends = np.stack(
        [
            np.hypot(model.positions[:, 0], model.positions[:, 1]),
            model.positions[:, 2],
            model.turn_height[:, 1],
        ],
        axis=-1,
    ).astype(np.float64)
    found: dict[tuple[int, int], Segment] = {}
    for a, b in ((0, 1), (1, 2), (2, 0)):
        both = column[model.triangles[:, a]] & column[model.triangles[:, b]]
        for corners, kind in zip(model.triangles[both], model.part[both], strict=True):
            low, high = sorted((int(corners[a]), int(corners[b])))
            found[low, high] = (ends[low], ends[high], int(kind))
    return [s for s in found.values() if np.hypot(*(s[1] - s[0])[:2]) > _SHORTEST_MM]


def _rays(camera: Camera, width: int, height: int) -> Floats:
    """Unit rays through the pixels' middles, row by row: (height · width, 3)."""
    right, up, forward = camera.axes()
    tan = np.tan(np.radians(camera.fov_deg) / 2)
    u = ((np.arange(width) + 0.5) / width * 2 - 1) * width / height
    v = 1 - (np.arange(height) + 0.5) / height * 2
    ray = forward + tan * u[None, :, None] * right + tan * v[:, None, None] * up
    ray = ray.reshape(-1, 3)
    return cast(Floats, ray / np.linalg.norm(ray, axis=-1, keepdims=True))


def _meets(eye: Floats, ray: Floats, low: Floats, high: Floats) -> Floats:
    """Way along each ray to a cone's outer or inner face between two ends; inf where it misses."""
    (r0, z0, _), (r1, z1, _) = low, high
    if abs(z1 - z0) < _SHORTEST_MM:
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (z0 - eye[2]) / ray[:, 2]
            away = np.hypot(eye[0] + t * ray[:, 0], eye[1] + t * ray[:, 1])
        return np.where((t > 0) & (away >= min(r0, r1)) & (away <= max(r0, r1)), t, np.inf)
    k = (r1 - r0) / (z1 - z0)
    base = r0 + k * (eye[2] - z0)
    a = ray[:, 0] ** 2 + ray[:, 1] ** 2 - (k * ray[:, 2]) ** 2
    b = eye[0] * ray[:, 0] + eye[1] * ray[:, 1] - k * ray[:, 2] * base
    c = eye[0] ** 2 + eye[1] ** 2 - base**2
    root2 = b * b - a * c
    root = np.sqrt(np.maximum(root2, 0))
    best = np.full(len(ray), np.inf)
    for sign in (-1.0, 1.0):
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (-b + sign * root) / a
            z = eye[2] + t * ray[:, 2]
        there = (root2 >= 0) & (t > 0) & (z >= min(z0, z1)) & (z <= max(z0, z1)) & (t < best)
        best[there] = t[there]
    return best


def _seen(
    eye: Floats,
    rays: Floats,
    nearest: Floats,
    segment: NDArray[np.intp],
    profile: list[Segment],
    pixel: NDArray[np.intp],
    camera: Camera,
    shape: tuple[int, int],
) -> Sight:
    t, ray = nearest[pixel], rays[pixel]
    x, y, z = (eye + t[:, None] * ray).T
    low, high = (np.array([s[end] for s in profile])[segment[pixel]] for end in (0, 1))
    along = (z - low[:, 1]) / (high[:, 1] - low[:, 1])
    radius = np.hypot(x, y)
    height = low[:, 2] + along * (high[:, 2] - low[:, 2])
    run = high - low
    length = np.hypot(run[:, 0], run[:, 1])
    upward = np.sign(run[:, 1])
    slant, rise = upward * run[:, 0] / length, np.abs(run[:, 1]) / length
    turn = np.arctan2(x, -y)
    sine, cosine = np.sin(turn), np.cos(turn)
    outward = np.stack([sine, -cosine, np.zeros_like(turn)], -1)
    right = np.stack([cosine, sine, np.zeros_like(turn)], -1)
    axis = np.array([0.0, 0.0, 1.0])
    normal = rise[:, None] * outward - slant[:, None] * axis
    up = slant[:, None] * outward + rise[:, None] * axis
    view = -ray
    across = np.stack([(view * right).sum(-1), (view * up).sum(-1)], -1) / COAT_IOR
    inside = np.sqrt(1 - (across**2).sum(-1))
    pixel_angle = 2 * np.tan(np.radians(camera.fov_deg) / 2) / shape[0]
    return Sight(
        shape=shape,
        pixel=pixel,
        turn_rad=turn,
        height_mm=height,
        radius_mm=radius,
        facing=np.maximum((view * normal).sum(-1), _LEAST_FACING),
        slope=across / inside[:, None],
        footprint_mm=t * pixel_angle,
    )
