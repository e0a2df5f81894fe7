"""Contrast between a decal and what really lies behind it, along its edge.

Colours are those of even light (`shading.even_light`): metals and flakes by what they mirror on the
mean, not at one angle; that is `legibility`'s part. Glitter counts as the mean of its flakes and of
what shows between them, as WCAG 2.2 tells to take dithered colours.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.checks.decal_shape import DecalShape
from mockup.checks.stations import Side, Stations
from mockup.colorimetry.cam16 import delta_e_cam16_ucs
from mockup.colorimetry.contrast import contrast_wcag22, relative_luminance
from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.colorimetry.vision import VISIONS, Vision, linear_srgb_as_seen
from mockup.material.metamers import EVERYDAY
from mockup.material.pigment import artwork_seen
from mockup.shading.even_light import EvenColours, even_colours
from mockup.shading.lobes import COAT_IOR
from mockup.skin.skin import Skin

__all__ = [
    "ContrastKey",
    "DecalContrast",
    "Place",
    "contrast_of",
    "layer_roles",
    "limit_of",
    "side_colours",
]

Floats = NDArray[np.float64]
Table = NDArray[np.float32]

TEXT = 4.5  # WCAG 2.2, success criterion 1.4.3
LARGE_TEXT = 3.0  # the same, for large text
GRAPHICS = 3.0  # 1.4.11
# Capitals of 18 point type, and of 14 point where it is bold, as the CSS reference pixel shows them
# (1/96 inch at 28 inches, CSS Values 3, sec. 5.2), brought to a distance of 1 m. A capital is 0.7
# of the type's size.
LARGE_CAPITAL_MM = 0.7 * 18 / 72 * 25.4 * 1000 / (28 * 25.4)
LARGE_BOLD_CAPITAL_MM = LARGE_CAPITAL_MM * 14 / 18
BOLD = 1 / 6  # stroke over capital; regular type has about 1/8, bold 1/5


class ContrastKey(NamedTuple):
    """A light and an eye."""

    illuminant: str
    vision: Vision


class Place(NamedTuple):
    """The station where a decal stands out least, and by how much."""

    station: int
    turn_rad: float
    height_mm: float
    key: ContrastKey
    ratio: float
    delta_e_2000: float
    delta_e_cam16_ucs: float


@dataclass(frozen=True, slots=True, eq=False)
class DecalContrast:
    """How far one decal stands out, at each of n stations along its edge.

    Attributes
    ----------
    limit
        Ratio that WCAG 2.2 asks for at its size.
    ratio, delta_e_2000, delta_e_cam16_ucs
        (n,) float64 for each illuminant and vision; NaN where nothing but its own material lies
        round it.
    """

    shape: DecalShape
    stations: Stations
    limit: float
    ratio: Mapping[ContrastKey, Floats]
    delta_e_2000: Mapping[ContrastKey, Floats]
    delta_e_cam16_ucs: Mapping[ContrastKey, Floats]

    def worst(self, visions: Sequence[Vision] = VISIONS) -> Place | None:
        """Where it stands out least, over all lights and these eyes; None without an outer edge."""
        best: tuple[float, int, ContrastKey] | None = None
        for key, ratio in self.ratio.items():
            if key.vision in visions and np.isfinite(ratio).any():
                at = int(np.nanargmin(ratio))
                if best is None or ratio[at] < best[0]:
                    best = float(ratio[at]), at, key
        return None if best is None else self.place(best[1], best[2])

    def place(self, station: int, key: ContrastKey) -> Place:
        """The figures at one station."""
        return Place(
            station,
            float(self.stations.turn_rad[station]),
            float(self.stations.height_mm[station]),
            key,
            float(self.ratio[key][station]),
            float(self.delta_e_2000[key][station]),
            float(self.delta_e_cam16_ucs[key][station]),
        )

    def share_below(self, key: ContrastKey) -> float:
        """Share of its outer edge, by length, where the ratio misses the limit."""
        ratio, length = self.ratio[key], self.stations.length_mm
        there = np.isfinite(ratio)
        missed = there & (np.nan_to_num(ratio, nan=np.inf) < self.limit)
        return float(length[missed].sum() / max(length[there].sum(), 1e-9))

    @property
    def covered(self) -> float:
        """Share of the decal, near its edge, that something laid over it hides."""
        own = [1 + i for i in self.shape.channels]
        shows = self.stations.within.layers[:, own].sum(axis=1)
        return float(1 - np.average(shows, weights=self.stations.length_mm))


def contrast_of(
    shape: DecalShape,
    stations: Stations,
    skin: Skin,
    table_under: Callable[[str], Table],
    *,
    illuminants: Sequence[str] = EVERYDAY,
    visions: Sequence[Vision] = VISIONS,
    backing: Callable[[str], Floats] | None = None,
) -> DecalContrast:
    """Contrast of one decal under each illuminant for each kind of vision.

    Parameters
    ----------
    table_under
        Gives the parameter table of the palette in use under an illuminant.
    backing
        Colour, (3,) linear sRGB, of a backing that the stations try, under an illuminant.
    """
    ratio, by_2000, by_ucs = {}, {}, {}
    for illuminant in illuminants:
        even = even_colours(skin, table_under(illuminant))
        around = side_colours(stations.around, skin, even, illuminant)
        if backing is not None:
            around = around + stations.around.backed[:, None] * backing(illuminant)
        within = side_colours(stations.within, skin, even, illuminant)
        for sheet in shape.channels:  # what lies round a clear film is seen through it too
            share = stations.within.layers[:, 1 + sheet, None].astype(np.float64)
            within = within + share * even.through(sheet, around)
        sides = within, around
        nothing = stations.around.layers.sum(axis=1) + stations.around.backed < 0.5
        for vision in visions:
            a, b = (np.clip(linear_srgb_as_seen(side, vision), 0, None) for side in sides)
            key = ContrastKey(illuminant, vision)
            ratio[key] = contrast_wcag22(relative_luminance(a), relative_luminance(b))
            by_2000[key] = delta_e_2000(lab_from_linear_srgb(a), lab_from_linear_srgb(b))
            by_ucs[key] = delta_e_cam16_ucs(a, b)
            for figures in (ratio[key], by_2000[key], by_ucs[key]):
                figures[nothing] = np.nan
    return DecalContrast(shape, stations, limit_of(shape), ratio, by_2000, by_ucs)


def side_colours(side: Side, skin: Skin, even: EvenColours, illuminant: str) -> Floats:
    """Mean colour of one side at each station: (n, 3) float64, linear sRGB."""
    colours = side.layers[:, 1:].astype(np.float64) @ np.concatenate([even.sheets, even.flakes])
    bare = side.layers[:, 0].astype(np.float64)
    if side.art_station.size:
        ior = COAT_IOR if skin.base_depth_mm > 0 else None
        texels = artwork_seen(side.art_rgba8_srgb[None], coat_ior=ior, illuminant=illuminant)[0]
        art = even.paint(
            linear_from_rgb8(texels[:, :3]).astype(np.float64),
            texels[:, 3] / 255,
            side.coverage[side.art_station].astype(np.float64),
        )
        weight = side.art_weight.astype(np.float64)
        for channel in range(3):
            colours[:, channel] += np.bincount(
                side.art_station, weight * art[:, channel], len(colours)
            )
        bare = np.maximum(bare - np.bincount(side.art_station, weight, len(bare)), 0)
    none = np.zeros((len(colours), 3))
    paint = even.paint(none, none[:, 0], side.coverage.astype(np.float64))
    return np.asarray(colours + bare[:, None] * paint)


def layer_roles(skin: Skin) -> Iterator[tuple[tuple[str, float], ...]]:
    """The roles of each layer as `Side.layers` counts them, with their share of it."""
    yield ((skin.base_role or "steel", 1.0),)
    for sheet in skin.sheets:
        yield ((sheet.role, 1.0),)
    for flakes in skin.flakes:
        yield flakes.mix


def limit_of(shape: DecalShape) -> float:
    """Contrast ratio that WCAG 2.2 asks for: of graphics, of large lettering, of small."""
    if not shape.text:
        return GRAPHICS
    bold = shape.stroke_mm >= BOLD * shape.capital_mm
    least = LARGE_BOLD_CAPITAL_MM if bold else LARGE_CAPITAL_MM
    return LARGE_TEXT if shape.capital_mm >= least else TEXT
