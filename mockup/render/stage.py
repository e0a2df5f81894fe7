"""Where the cup stands: a pale table that runs up into a backdrop, the cup's shadow and its image.

The shadow is the share of the light map that the cup, as a solid of revolution, takes from a point
of the table. The table's image of the cup is drawn by the host from below and laid in here.
"""

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter, map_coordinates

from mockup.material.fresnel import fresnel_dielectric
from mockup.render.lights import Light, directions
from mockup.render.request import Camera

__all__ = ["Stage", "enlarged", "ground_light"]

Floats = NDArray[np.float32]

BILINEAR = Image.Resampling.BILINEAR
TABLE_IOR = 1.45  # a satin lacquer, typical
TABLE_SHEEN = 0.30  # share of Fresnel's mirror reflection that a satin table keeps together
_RINGS, _SPOKES = 30, 48


class Stage:
    """A table under one light with one cup on it; its shadow is worked out once."""

    def __init__(self, light: Light, *, height_mm: float, radius_mm: float, foot_mm: float) -> None:
        self.light, self.foot_mm = light, foot_mm
        self._kept: tuple[object, tuple[Floats, Floats, float]] | None = None
        self._reach_mm = 9.0 * radius_mm
        self._open = _open_sky(light, height_mm, radius_mm, foot_mm, self._reach_mm)

    def seen_from(
        self, camera: Camera, width_px: int, height_px: int
    ) -> tuple[Floats, Floats, float]:
        """The empty stage at half size, how strongly it mirrors, and the blur of what it mirrors.

        Kept for the next picture from the same place.
        """
        key = (camera, width_px, height_px)
        if self._kept is None or self._kept[0] != key:
            self._kept = key, self._look(camera, max(width_px // 2, 1), max(height_px // 2, 1))
        return self._kept[1]

    def _look(self, camera: Camera, width: int, height: int) -> tuple[Floats, Floats, float]:
        ray, u, v = _rays(camera, width, height)
        light, eye = self.light, camera.position_mm
        falls = ray[..., 2] < -1e-3
        t = np.where(falls, -eye[2] / np.minimum(ray[..., 2], -1e-3), 0.0)
        x, y = eye[0] + t * ray[..., 0], eye[1] + t * ray[..., 1]
        # the sweep: table near the cup, backdrop further away and above
        back = np.where(falls, np.clip((y - 60.0) / 900.0, 0, 1), 1.0)
        back = (back * back * (3 - 2 * back))[..., None]
        rise = np.clip(0.5 + 0.5 * v[:, None, None], 0, 1)
        wall = light.backdrop[0] * (1 - rise) + light.backdrop[1] * rise
        lit = light.table * (1 - back) + wall * back
        lit = lit * np.where(falls[..., None], self.open_sky(x, y), 1.0)
        away = np.hypot(u[None, :], v[:, None] - 0.1) / 1.5
        glow = 1 - 0.30 * np.clip(away, 0, 1)[..., None] ** 2
        sheen = TABLE_SHEEN * fresnel_dielectric(np.maximum(-ray[..., 2], 0.02), TABLE_IOR)
        near = np.exp(-np.maximum(np.hypot(x, y) - self.foot_mm, 0) / (2.2 * self.foot_mm))
        mirrors = (sheen * near * falls)[..., None]
        return (lit * glow).astype(np.float32), mirrors.astype(np.float32), height / 500

    def open_sky(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Share of the light that reaches the table at (x, y): (..., 3) float32."""
        r = np.hypot(x_mm, y_mm)
        ring = np.log(np.maximum(r / self.foot_mm, 0.5)) / np.log(self._reach_mm / self.foot_mm)
        at_ring = np.clip(ring, 0, 1) * (_RINGS - 1)
        at_spoke = (np.arctan2(x_mm, -y_mm) / (2 * np.pi) + 0.5) * _SPOKES
        at = np.stack([at_ring, at_spoke]).astype(np.float32)
        return np.stack(
            [map_coordinates(self._open[..., c], at, order=1, mode="nearest") for c in range(3)], -1
        )


def _open_sky(
    light: Light, height_mm: float, radius_mm: float, foot_mm: float, reach_mm: float
) -> Floats:
    """Rings × spokes (one more to close) × 3: irradiance with the cup over irradiance without."""
    rows, columns = 32, 64
    step = light.radiance.shape[0] // rows
    sky = light.radiance.reshape(rows, step, columns, step, 3).mean((1, 3))
    towards = directions(rows, columns)
    up = towards[..., 2] > 0
    d, power = towards[up], sky[up] * towards[up][:, 2:] * np.sqrt(1 - towards[up][:, 2:] ** 2)
    r = foot_mm * (reach_mm / foot_mm) ** np.linspace(0, 1, _RINGS)
    azimuth = np.arange(_SPOKES + 1) / _SPOKES * 2 * np.pi - np.pi
    x, y = r[:, None] * np.sin(azimuth), -r[:, None] * np.cos(azimuth)
    # does the ray (x, y, 0) + t d meet the cup, taken as a cylinder with a narrower foot?
    flat = np.hypot(d[:, 0], d[:, 1])
    ahead = -(x[..., None] * d[:, 0] + y[..., None] * d[:, 1]) / flat**2
    aside2 = x[..., None] ** 2 + y[..., None] ** 2 - (ahead * flat) ** 2
    blocked = np.zeros(ahead.shape, bool)
    foot_z = 0.04 * height_mm
    for radius, low, high in ((foot_mm, 0.0, foot_z), (radius_mm, foot_z, height_mm)):
        half2 = radius**2 - aside2
        half = np.sqrt(np.maximum(half2, 0)) / flat
        enter, leave = np.maximum(ahead - half, 0) * d[:, 2], (ahead + half) * d[:, 2]
        blocked |= (half2 > 0) & (leave > low) & (enter < high) & (leave > 0)
    share: Floats = 1 - (blocked @ power) / power.sum(0)
    return gaussian_filter(share, (0.6, 1.2, 0), mode=("nearest", "wrap", "nearest")).astype(
        np.float32
    )


def ground_light(
    stage: Stage, camera: Camera, width_px: int, height_px: int, below: Floats
) -> Floats:
    """Radiance of the table and backdrop without the cup, at half size: (h, w, 3) float32.

    It is smooth everywhere; `enlarged` brings it to the picture's size.

    Parameters
    ----------
    below : (h, w, 4) float32
        Radiance and coverage of the cup's image in the table, at half size.
    """
    empty, sheen, soften = stage.seen_from(camera, width_px, height_px)
    soft = gaussian_filter(below, (soften, soften * 0.7, 0))
    image = np.minimum(soft[..., :3], 4.0) - soft[..., 3:] * empty
    return np.maximum(empty + sheen * image, 0)


def _rays(camera: Camera, width: int, height: int) -> tuple[Floats, Floats, Floats]:
    """Unit rays (height, width, 3) and the picture's own coordinates across and up."""
    right, up, forward = camera.axes()
    tan = np.tan(np.radians(camera.fov_deg) / 2)
    u = ((np.arange(width) + 0.5) / width * 2 - 1) * width / height
    v = 1 - (np.arange(height) + 0.5) / height * 2
    ray = forward + tan * u[None, :, None] * right + tan * v[:, None, None] * up
    ray /= np.linalg.norm(ray, axis=-1, keepdims=True)
    return ray.astype(np.float32), u.astype(np.float32), v.astype(np.float32)


def enlarged(image: Floats, width_px: int, height_px: int) -> Floats:
    """Bilinear enlargement of (h, w, 3) to (height_px, width_px, 3) float32."""
    size = (width_px, height_px)
    planes = [
        np.asarray(Image.fromarray(np.ascontiguousarray(image[..., c])).resize(size, BILINEAR))
        for c in range(image.shape[-1])
    ]
    return np.stack(planes, -1)
