"""A map of radiance being furnished: first what surrounds the cup, then lamps one by one.

Directions are azimuth and elevation in degrees, azimuth 0 towards the camera and growing to the
right as the camera sees it, so that ±180 lies behind the cup. Radiance is relative.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = ["COLUMNS", "ROWS", "Room", "directions"]

Map = NDArray[np.float32]
Colour = tuple[float, float, float]

ROWS, COLUMNS = 512, 1024


def directions(rows: int, columns: int) -> NDArray[np.float64]:
    """Unit vectors of a map's texels: (rows, columns, 3) float64, stage frame."""
    elevation = np.pi / 2 - (np.arange(rows) + 0.5) * np.pi / rows
    azimuth = (np.arange(columns) + 0.5) * 2 * np.pi / columns - np.pi
    a, e = np.meshgrid(azimuth, elevation)
    return np.stack([np.sin(a) * np.cos(e), -np.cos(a) * np.cos(e), np.sin(e)], -1)


class Room:
    """A map of (ROWS, COLUMNS, 3) float32 in `map`.

    Parameters
    ----------
    above
        Colour of what is overhead.
    dim
        Radiance of it; towards the floor it falls to nothing.
    """

    def __init__(self, above: Colour, dim: float) -> None:
        elevation = np.pi / 2 - (np.arange(ROWS, dtype=np.float32) + 0.5) * np.float32(np.pi / ROWS)
        azimuth = (np.arange(COLUMNS, dtype=np.float32) + 0.5) * np.float32(2 * np.pi / COLUMNS)
        self.azimuth, self.elevation = azimuth[None, :] - np.float32(np.pi), elevation[:, None]
        lift = np.clip(np.sin(self.elevation) * 0.5 + 0.5, 0, 1) ** 2
        colour = np.asarray(above, np.float32) * np.float32(dim)
        self.map: Map = (lift * np.ones_like(self.azimuth))[..., None] * colour

    def sky(self, horizon: Colour, zenith: Colour, ground: Colour) -> None:
        """An open sky above the horizon, even all round, and paving below it."""
        share = np.sqrt(np.clip(np.sin(self.elevation), 0, 1))[..., None]
        colours = np.array(horizon, np.float32) * (1 - share) + np.array(zenith, np.float32) * share
        up = (self.elevation > 0)[..., None]
        self.map += colours * up + np.array(ground, np.float32) * ~up

    def panel(
        self,
        azimuth_deg: float,
        elevation_deg: float,
        half_width_deg: float,
        half_height_deg: float,
        radiance: Colour,
        soft_deg: float = 2.0,
        *,
        hides: bool = False,
    ) -> None:
        """An evenly lit rectangle with soft edges: a diffuser, a window pane, a house front.

        It adds to what is there, or hides it.
        """
        across = self._off(azimuth_deg) - np.float32(np.radians(half_width_deg))
        up = np.abs(self.elevation - np.float32(np.radians(elevation_deg))) - np.float32(
            np.radians(half_height_deg)
        )
        edge = np.clip(0.5 - np.maximum(across, up) / np.float32(np.radians(soft_deg)), 0, 1)
        shape = (edge * edge * (3 - 2 * edge))[..., None]
        if hides:
            self.map *= 1 - shape
        self.map += shape * np.array(radiance, np.float32)

    def bulb(
        self,
        azimuth_deg: float,
        elevation_deg: float,
        radius_deg: float,
        radiance: float,
        warm: float,
    ) -> None:
        """A small lamp or the sun, Gaussian in angle: exp(−(1 − cos θ) / (1 − cos radius)).

        Its solid angle is 2π (1 − cos radius), so that its irradiance is radiance times that.
        """
        rows = np.abs(self.elevation[:, 0] - np.radians(elevation_deg)) < np.radians(5 * radius_deg)
        near = self.elevation[rows]
        lamp = np.radians(elevation_deg)
        dot = np.cos(near) * np.cos(self._off(azimuth_deg)) * np.cos(lamp) + np.sin(near) * np.sin(
            lamp
        )
        spot = np.exp((dot - 1) / (1 - np.cos(np.radians(radius_deg)))).astype(np.float32)
        colour = np.array([1.0, 1 - 0.14 * warm, 1 - 0.42 * warm], np.float32)
        self.map[rows] += spot[..., None] * (np.float32(radiance) * colour)

    def garland(
        self,
        from_deg: float,
        to_deg: float,
        hung_deg: float,
        sag_deg: float,
        bulbs: int,
        radiance: float,
        warm: float,
    ) -> None:
        """A string of small bulbs between two azimuths, hung at an elevation and sagging."""
        for along in np.linspace(0.0, 1.0, bulbs):
            azimuth_deg = from_deg + (to_deg - from_deg) * along
            elevation_deg = hung_deg - sag_deg * 4 * along * (1 - along)
            self.bulb(float(azimuth_deg), float(elevation_deg), 0.9, radiance, warm)

    def floor(self, table: Colour) -> None:
        """A table top below the horizon, paler towards the camera."""
        # the table ends within reach of an arm: its edge is seen below the horizon
        below = np.clip(-self.elevation / np.float32(np.radians(2.0)) - 6.5, 0, 1)[..., None]
        top = np.array(table, np.float32) * (0.8 + 0.2 * np.cos(self.azimuth))[..., None]
        self.map = self.map * (1 - below) + top * below

    def lit_table(self, albedo: Colour) -> Colour:
        """Radiance of a matt table top of this reflectance under the map as it is now."""
        height = np.maximum(np.sin(self.elevation), 0) * np.cos(self.elevation)
        texel = (np.pi / ROWS) * (2 * np.pi / COLUMNS)
        irradiance = (self.map.sum(axis=1) * height).sum(axis=0) * texel
        r, g, b = (float(x) for x in irradiance * np.array(albedo) / np.pi)
        return r, g, b

    def _off(self, azimuth_deg: float) -> Map:
        ahead = self.azimuth - np.float32(np.radians(azimuth_deg)) + np.pi
        return np.asarray(np.abs(ahead % (2 * np.pi) - np.pi), np.float32)
