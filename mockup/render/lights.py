"""Surroundings, made by our own code or read from a file: radiance over all directions.

The stage's frame: x to the right, y away from the camera, z up; the cup's front and the camera look
along ±y, so that the camera stands at −y. A map is latitude by longitude: row j at elevation
90° − 180° (j + ½) / rows, column i at azimuth 360° (i + ½) / columns − 180°, azimuth 0 towards the
camera (−y) and growing to +x. Radiance is relative; `white_card` says what a white card shows, and
the exposure is set by it, so that a swatch's colour is its colour.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mockup.errors import UnknownName
from mockup.render.light_file import check_panorama, is_panorama_name, read_panorama
from mockup.render.room import COLUMNS, ROWS, Room, directions

__all__ = [
    "COLUMNS",
    "ROWS",
    "Light",
    "directions",
    "find_light",
    "illuminant_of",
    "light_label",
    "light_names",
]

Map = NDArray[np.float32]

WHITE_CARD = 0.86  # displayed linear value of a perfect white card that faces the camera


@dataclass(frozen=True, slots=True)
class Light:
    """A light by name; a panorama's name is its path.

    Attributes
    ----------
    radiance : (ROWS, COLUMNS, 3) float32
        Linear sRGB primaries, relative units.
    table : (3,) float32
        Radiance of the pale table top, already in the map's lower half.
    backdrop : (2, 3) float32
        Radiance of the wall behind the cup, at the table and at the top of the picture.
    illuminant
        CIE name of what the lamps are like; swatches are seen under it. The map holds colours as
        a camera set to that lamp records them: a white card is white, or as warm as one leaves it.
    """

    name: str
    radiance: Map
    table: Map
    backdrop: Map
    illuminant: str = "D65"

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


def illuminant_of(name: str, *, where: str = "light") -> str:
    """CIE name of the illuminant of the light `name`, without making its map.

    Raises
    ------
    UnknownName
        There is no such light.
    AssetError
        It is a file that is not there or is no panorama.
    """
    if is_panorama_name(name):
        check_panorama(Path(name), where=where)
        return "D65"  # a camera's panorama is balanced to its light
    if name not in _LIGHTS:
        raise UnknownName("light", name, _LIGHTS, where=where)
    return _ILLUMINANTS.get(name, "D65")


def light_label(name: str) -> str:
    """What to call a light in print: its name, of a panorama without its folder and ending."""
    return Path(name).stem if is_panorama_name(name) else name


def light_names() -> list[str]:
    """Names that `find_light` knows."""
    return sorted(_LIGHTS)


def find_light(name: str, *, where: str = "light") -> Light:
    """The light `name`: one of ours, or a panorama file (.hdr, .exr) by its path.

    Raises
    ------
    UnknownName
        There is no such light.
    AssetError
        It is a file that is no panorama of light.
    """
    if is_panorama_name(name):
        return _of_panorama(Path(name), where)
    if name not in _LIGHTS:
        raise UnknownName("light", name, _LIGHTS, where=where)
    return _LIGHTS[name]()


def _of_panorama(path: Path, where: str) -> Light:
    """A table of mid grey in the panorama; the backdrop is what lies behind it at the horizon."""
    room = Room((0.0, 0.0, 0.0), 0.0)
    room.map = read_panorama(path, where=where)
    behind = np.abs(room.azimuth[0]) > np.radians(150)
    shown = [
        (room.elevation[:, 0] > np.radians(low)) & (room.elevation[:, 0] < np.radians(high))
        for low, high in ((-8, 8), (8, 30))
    ]
    backdrop = [np.median(room.map[rows][:, behind], axis=(0, 1)) for rows in shown]
    table = room.lit_table((0.45, 0.45, 0.45))
    room.floor(table)
    return Light(str(path), room.map, np.array(table, np.float32), np.array(backdrop, np.float32))


def _softbox() -> Light:
    """A product table: a large diffuser at the left, a strip at the right, one above, bulbs."""
    room = Room((0.92, 0.97, 1.0), 0.16)
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
    room = Room((1.0, 0.96, 0.9), 0.22)
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


def _kitchen() -> Light:
    """A table in a lamp-lit room in the evening: warm LED lamps on pale walls and cupboards.

    A unit of radiance is about 25 cd/m²: walls .2 (5 cd/m²), the ceiling over the lamp 2.2, a
    pendant's shade 16 (400), its globe 75, the strip under the cupboards 14, a standing lamp 8, a
    lit door 4.
    """
    room = Room((1.0, 0.93, 0.80), 0.42)
    for azimuth_deg, radiance in ((-118, 0.50), (-92, 0.55), (100, 0.42), (128, 0.40)):
        pale = (radiance, 0.94 * radiance, 0.80 * radiance)  # cupboard doors
        room.panel(azimuth_deg, 24, 11.5, 22, pale, 1.2)
    room.panel(20, 80, 80, 12, (2.2, 2.0, 1.66), 10.0)
    room.panel(160, 9, 52, 1.8, (14.0, 13.0, 11.2), 1.0)
    room.panel(-50, 10, 9.0, 20, (8.0, 7.4, 6.2), 2.5)
    room.panel(30, 6, 5.0, 20, (4.0, 3.7, 3.1), 2.0)
    room.panel(46, 48, 13, 9, (16.0, 14.9, 12.7), 3.0)
    room.bulb(46, 40, 3.0, 75, 0.3)
    room.panel(-8, 14, 22, 30, (0.6, 0.56, 0.48), 12.0)  # the lit wall behind the camera
    table = room.lit_table((0.56, 0.47, 0.36))  # oiled beech
    room.floor(table)
    backdrop = np.array([[0.92, 0.85, 0.72], [0.60, 0.55, 0.45]], np.float32)
    return Light(
        "kitchen", room.map, np.array(table, np.float32), backdrop, _ILLUMINANTS["kitchen"]
    )


def _market() -> Light:
    """A stall at noon: high sun from the left, blue sky, a canvas roof at the right, house fronts.

    A unit of radiance is about 5000 cd/m²: sky .8 to 1.3, sunlit plaster 2.4 to 3.8, fronts in
    shade .25 to .5, canvas that the sun shines through 2.4. The sun gives a table top about 3 times
    the light of all else, but is spread to 1.2° by haze, and so 12,000 instead of 300,000 units
    bright.
    """
    room = Room((1.0, 1.0, 1.0), 0.0)
    room.sky((1.15, 1.32, 1.55), (0.50, 0.78, 1.30), (1.5, 1.42, 1.28))
    fronts = (
        (-150, 20, 3.4), (-106, 14, 0.5), (-70, 24, 3.8), (-40, 17, 0.35), (-12, 21, 2.4),
        (18, 13, 0.25), (44, 26, 3.6), (74, 18, 0.5), (110, 16, 1.8), (148, 21, 2.4),
    )  # fmt: skip
    for azimuth_deg, roof_deg, radiance in fronts:
        plaster = (radiance, 0.93 * radiance, 0.80 * radiance)
        room.panel(azimuth_deg, roof_deg / 2 - 7, 13, roof_deg / 2 + 7, plaster, 1.0, hides=True)
    room.panel(84, 58, 62, 20, (2.6, 2.45, 2.1), 2.0, hides=True)
    room.bulb(-46, 50, 1.2, 12_000, 0.12)
    table = room.lit_table((0.42, 0.40, 0.36))  # weathered boards
    room.floor(table)
    backdrop = np.array([[2.9, 2.9, 2.75], [2.3, 2.55, 2.8]], np.float32)
    return Light("market", room.map, np.array(table, np.float32), backdrop, _ILLUMINANTS["market"])


def _evening() -> Light:
    """A terrace after sunset: three strings of lamps, lit windows, the last blue of the sky.

    A unit of radiance is about 8 cd/m²: the sky .1 to .3, windows 5 to 9, an open door 5, bulbs of
    frosted glass 520 (4000 cd/m²), 1.8° across.
    """
    room = Room((0.5, 0.6, 1.0), 0.05)
    room.sky((0.26, 0.30, 0.52), (0.04, 0.07, 0.20), (0.16, 0.15, 0.14))
    for azimuth_deg, radiance in ((-142, 6.0), (-122, 9.0), (70, 7.0), (88, 5.0), (168, 6.0)):
        glow = (radiance, 0.86 * radiance, 0.60 * radiance)
        room.panel(azimuth_deg, 12, 5.5, 9, glow, 0.8)
    room.panel(-42, 8, 8, 24, (5.2, 4.5, 3.3), 3.0)  # an open door
    room.panel(4, 6, 5, 20, (1.5, 1.3, 0.95), 6.0)  # a pillar that the lamps light
    room.panel(38, 8, 7, 24, (3.4, 2.9, 2.1), 3.0)
    room.garland(-170, -8, 44, 24, 17, 520, 0.45)
    room.garland(-34, 128, 42, 24, 17, 520, 0.45)
    room.garland(100, 215, 46, 24, 12, 520, 0.45)
    table = room.lit_table((0.12, 0.09, 0.07))  # dark stained wood
    room.floor(table)
    backdrop = np.array([[0.24, 0.23, 0.29], [0.09, 0.11, 0.21]], np.float32)
    return Light(
        "evening", room.map, np.array(table, np.float32), backdrop, _ILLUMINANTS["evening"]
    )


_ILLUMINANTS = {"evening": "A", "kitchen": "LED-B1", "market": "D50"}  # the others are D65
_LIGHTS: dict[str, Callable[[], Light]] = {
    "evening": _evening,
    "kitchen": _kitchen,
    "market": _market,
    "softbox": _softbox,
    "window": _window,
}
