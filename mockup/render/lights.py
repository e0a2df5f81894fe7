"""Surroundings made by our own code: each light is radiance over all directions.

The stage's frame: x to the right, y away from the camera, z up; the cup's front and the camera look
along ±y, so that the camera stands at −y. A map is latitude by longitude: row j at elevation
90° − 180° (j + ½) / rows, column i at azimuth 360° (i + ½) / columns − 180°, azimuth 0 towards the
camera (−y) and growing to +x. Radiance is relative; `white_card` says what a white card shows, and
the exposure is set by it, so that a swatch's colour is its colour.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.errors import UnknownName

__all__ = ["COLUMNS", "ROWS", "Light", "directions", "find_light", "light_names"]

Map = NDArray[np.float32]

ROWS, COLUMNS = 512, 1024
WHITE_CARD = 0.86  # displayed linear value of a perfect white card that faces the camera


@dataclass(frozen=True, slots=True)
class Light:
    """A light by name.

    Attributes
    ----------
    radiance : (ROWS, COLUMNS, 3) float32
        Linear sRGB primaries, relative units.
    table : (3,) float32
        Radiance of the pale table top, already in the map's lower half.
    backdrop : (2, 3) float32
        Radiance of the wall behind the cup, at the table and at the top of the picture.
    """

    name: str
    radiance: Map
    table: Map
    backdrop: Map

    @property
    def exposure(self) -> float:
        """Factor from radiance to displayed linear value: an upright white card shows .86."""
        towards = directions(ROWS // 8, COLUMNS // 8)
        coarse = self.radiance.reshape(ROWS // 8, 8, COLUMNS // 8, 8, 3).mean((1, 3))
        solid = np.sqrt(1 - towards[..., 2] ** 2) * (np.pi / (ROWS // 8)) ** 2
        card = np.array([0.0, -1.0, 0.0])
        facing = np.maximum(towards @ card, 0) * solid
        irradiance = (coarse @ np.array([0.2126, 0.7152, 0.0722]) * facing).sum()
        return float(WHITE_CARD / (irradiance / np.pi))


def directions(rows: int, columns: int) -> NDArray[np.float64]:
    """Unit vectors of a map's texels: (rows, columns, 3) float64, stage frame."""
    elevation = np.pi / 2 - (np.arange(rows) + 0.5) * np.pi / rows
    azimuth = (np.arange(columns) + 0.5) * 2 * np.pi / columns - np.pi
    a, e = np.meshgrid(azimuth, elevation)
    return np.stack([np.sin(a) * np.cos(e), -np.cos(a) * np.cos(e), np.sin(e)], -1)


def light_names() -> list[str]:
    """Names that `find_light` knows."""
    return sorted(_LIGHTS)


def find_light(name: str, *, where: str = "light") -> Light:
    """The light `name`.

    Raises
    ------
    UnknownName
        There is no such light.
    """
    if name not in _LIGHTS:
        raise UnknownName("light", name, _LIGHTS, where=where)
    return _LIGHTS[name]()


class _Room:
    """A map being furnished: a dim room, then lamps added one by one."""

    def __init__(self, above: tuple[float, float, float], below: float) -> None:
        elevation = np.pi / 2 - (np.arange(ROWS, dtype=np.float32) + 0.5) * np.float32(np.pi / ROWS)
        azimuth = (np.arange(COLUMNS, dtype=np.float32) + 0.5) * np.float32(2 * np.pi / COLUMNS)
        self.azimuth, self.elevation = azimuth[None, :] - np.float32(np.pi), elevation[:, None]
        lift = np.clip(np.sin(self.elevation) * 0.5 + 0.5, 0, 1) ** 2
        dim = np.asarray(above, np.float32) * np.float32(below)
        self.map: Map = (lift * np.ones_like(self.azimuth))[..., None] * dim

    def _off(self, azimuth_deg: float) -> Map:
        ahead = self.azimuth - np.float32(np.radians(azimuth_deg)) + np.pi
        return np.asarray(np.abs(ahead % (2 * np.pi) - np.pi), np.float32)

    def panel(
        self,
        azimuth_deg: float,
        elevation_deg: float,
        half_width_deg: float,
        half_height_deg: float,
        radiance: tuple[float, float, float],
        soft_deg: float = 2.0,
    ) -> None:
        """An evenly lit rectangle with soft edges (a diffuser, a window pane)."""
        across = self._off(azimuth_deg) - np.float32(np.radians(half_width_deg))
        up = np.abs(self.elevation - np.float32(np.radians(elevation_deg))) - np.float32(
            np.radians(half_height_deg)
        )
        edge = np.clip(0.5 - np.maximum(across, up) / np.float32(np.radians(soft_deg)), 0, 1)
        shape = edge * edge * (3 - 2 * edge)
        self.map += shape[..., None] * np.array(radiance, np.float32)

    def bulb(
        self,
        azimuth_deg: float,
        elevation_deg: float,
        radius_deg: float,
        radiance: float,
        warm: float,
    ) -> None:
        """A small lamp, Gaussian in angle."""
        rows = np.abs(self.elevation[:, 0] - np.radians(elevation_deg)) < np.radians(5 * radius_deg)
        near = self.elevation[rows]
        lamp = np.radians(elevation_deg)
        dot = np.cos(near) * np.cos(self._off(azimuth_deg)) * np.cos(lamp) + np.sin(near) * np.sin(
            lamp
        )
        spot = np.exp((dot - 1) / (1 - np.cos(np.radians(radius_deg)))).astype(np.float32)
        colour = np.array([1.0, 1 - 0.14 * warm, 1 - 0.42 * warm], np.float32)
        self.map[rows] += spot[..., None] * (np.float32(radiance) * colour)

    def floor(self, table: tuple[float, float, float]) -> None:
        """A table top below the horizon, paler towards the camera."""
        # the table ends within reach of an arm: its edge is seen below the horizon
        below = np.clip(-self.elevation / np.float32(np.radians(2.0)) - 6.5, 0, 1)[..., None]
        top = np.array(table, np.float32) * (0.8 + 0.2 * np.cos(self.azimuth))[..., None]
        self.map = self.map * (1 - below) + top * below


def _softbox() -> Light:
    """A product table: a large diffuser at the left, a strip at the right, one above, bulbs."""
    room = _Room((0.92, 0.97, 1.0), 0.16)
    table = (1.30, 1.28, 1.24)
    room.floor(table)
    room.panel(-50, 17, 17, 40, (9.5, 9.3, 9.0), 3.0)
    room.panel(62, 15, 7, 40, (7.2, 7.4, 7.7), 2.0)
    room.panel(14, 66, 34, 9, (5.5, 5.4, 5.2), 3.0)
    room.panel(150, 18, 14, 36, (4.6, 4.7, 4.9), 4.0)
    room.panel(-122, 16, 6, 38, (5.6, 5.6, 5.7), 2.0)
    room.panel(8, 12, 26, 34, (0.9, 0.9, 0.89), 14.0)  # a card beside the camera lifts the foil
    rng = np.random.default_rng(3)
    for _ in range(30):
        azimuth, sine = rng.uniform(-180, 180), rng.uniform(0.02, 0.93)
        room.bulb(
            azimuth,
            float(np.degrees(np.arcsin(sine))),
            1.3,
            rng.uniform(18, 60),
            rng.uniform(0, 0.6),
        )
    backdrop = np.array([[1.95, 1.93, 1.88], [1.62, 1.63, 1.65]], np.float32)
    return Light("softbox", room.map, np.array(table, np.float32), backdrop)


def _window() -> Light:
    """A kitchen table beside a tall window of six panes at the left, a warm lamp at the right."""
    room = _Room((1.0, 0.96, 0.9), 0.22)
    table = (0.60, 0.55, 0.48)
    room.floor(table)
    for column in range(2):
        for row in range(3):
            sky = 8.5 + 1.4 * row
            pane = (sky, sky * 1.02, sky * 1.06)
            room.panel(-66 + 20 * column, -5 + 20 * row, 9.2, 9.2, pane, 0.8)
    room.bulb(64, 34, 3.2, 70, 0.9)
    room.panel(120, 20, 26, 20, (0.9, 0.8, 0.66), 8.0)
    room.panel(20, 78, 60, 10, (0.7, 0.68, 0.64), 6.0)
    backdrop = np.array([[0.78, 0.73, 0.66], [0.56, 0.53, 0.49]], np.float32)
    return Light("window", room.map, np.array(table, np.float32), backdrop)


_LIGHTS: dict[str, Callable[[], Light]] = {"softbox": _softbox, "window": _window}
