"""Where the cup stands: a pale table that runs up into a backdrop, the cup's shadow and its image.

The shadow is the share of the light map that the cup, as a solid of revolution, takes from a point
of the table. The table's image of the cup is drawn by the host from below and laid in here.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter, map_coordinates

from mockup.material.fresnel import fresnel_dielectric
from mockup.render.lights import Light, directions
from mockup.render.request import Camera

__all__ = ["Stage", "cup_slices", "enlarged", "ground_light"]

Floats = NDArray[np.float32]
Slices = tuple[tuple[float, float, float], ...]

BILINEAR = Image.Resampling.BILINEAR
TABLE_IOR = 1.45  # a satin lacquer, typical
TABLE_SHEEN = 0.30  # share of Fresnel's mirror reflection that a satin table keeps together
REACH = 9.0  # how far the shadow is worked out, in the cup's radii
_RINGS, _SPOKES = 30, 48


class Stage:
    """A table under one light with one cup on it; its shadow is worked out once."""

    def __init__(self, light: Light, slices: Slices) -> None:
        self.light, self.foot_mm = light, slices[0][0]
        self._kept: tuple[object, tuple[Floats, Floats, float]] | None = None
        self._reach_mm = REACH * max(radius for radius, _, _ in slices)
        self._open = _open_sky(light, slices, self._reach_mm)

    @property
    def sky_rings(self) -> Floats:
        """Share of the light that reaches the table: (rings, spokes + 1, 3) float32."""
        return self._open

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


def cup_slices(positions_mm: Floats) -> Slices:
    """The cup as a stack of cylinders: (radius, lower z, upper z) mm, foot first.

    Neighbours of nearly the same radius are one. `positions_mm` is (n, 3), z up from the table.
    """
    z, r = positions_mm[:, 2], np.hypot(positions_mm[:, 0], positions_mm[:, 1])
    edges = np.linspace(0.0, float(z.max()), 25)
    edges = np.sort(np.append(edges, 0.015 * edges[-1]))  # the rounded foot is narrow
    slices: list[tuple[float, float, float]] = []
    for low, high in pairwise(edges):
        here = r[(z >= low - 0.5) & (z <= high + 0.5)]
        if not here.size:  # a straight run has vertices at its ends alone
            here = r[(z == z[z < low].max()) | (z == z[z > high].min())]
        radius, foot = float((here if low > 0 else r[z <= z.min() + 0.8]).max()), float(low)
        if len(slices) > 1 and abs(radius - slices[-1][0]) < 0.04 * radius:
            radius, foot = max(radius, slices[-1][0]), slices.pop()[1]
        slices.append((radius, foot, float(high)))
    return tuple(slices)


def _open_sky(light: Light, slices: Slices, reach_mm: float) -> Floats:
    """Rings × spokes (one more to close) × 3: irradiance with the cup over irradiance without."""
    foot_mm = slices[0][0]
    rows, columns = 32, 64
    step = light.radiance.shape[0] // rows
    sky = light.radiance.reshape(rows, step, columns, step, 3).mean((1, 3))
    towards = directions(rows, columns)
    up = towards[..., 2] > 0
    d, power = towards[up], sky[up] * towards[up][:, 2:] * np.sqrt(1 - towards[up][:, 2:] ** 2)
    r = foot_mm * (reach_mm / foot_mm) ** np.linspace(0, 1, _RINGS)
    azimuth = np.arange(_SPOKES + 1) / _SPOKES * 2 * np.pi - np.pi
    x = (r[:, None] * np.sin(azimuth)).astype(np.float32)[..., None]
    y = (-r[:, None] * np.cos(azimuth)).astype(np.float32)[..., None]
    flat2 = (d[:, 0] ** 2 + d[:, 1] ** 2).astype(np.float32)
    ways: Floats = d.astype(np.float32)
    # a ring at a time stays in the processor's cache
    taken = np.array([_meets(x[i], y[i], ways, flat2, slices) @ power for i in range(_RINGS)])
    share = (1 - taken / power.sum(0)).astype(np.float32)
    return np.asarray(gaussian_filter(share, (0.6, 1.2, 0), mode=("nearest", "wrap", "nearest")))


def _meets(x: Floats, y: Floats, d: Floats, flat2: Floats, slices: Slices) -> NDArray[np.bool_]:
    """Whether rays (x, y, 0) + t d meet a slice of the cup: (n, 1), (n, 1), (m, 3) → (n, m).

    `flat2` is the square of each direction's part along the table.
    """
    ahead = -(x * d[:, 0] + y * d[:, 1]) / flat2
    aside2 = x**2 + y**2 - ahead**2 * flat2
    blocked = np.zeros(ahead.shape, bool)
    for radius, low, high in slices:
        half2 = np.float32(radius**2) - aside2
        half = np.sqrt(np.maximum(half2, 0) / flat2)
        enter, leave = np.maximum(ahead - half, 0) * d[:, 2], (ahead + half) * d[:, 2]
        blocked |= (half2 > 0) & (leave > low) & (enter < high)
    return blocked


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
    return np.asarray(np.maximum(empty + sheen * image, 0))


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
