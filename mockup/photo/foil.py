"""Foil from two photos: one in which it mirrors the card, one in which it mirrors something dark.

Smooth foil shows the card itself, darker by its own reflectance; rough foil strews some of its
light and shows the surroundings too. The difference of the two photos is the card's own light; what
the second still shows comes from beside the dark thing. So both together tell the reflectance and
the share of the lobe that the card fills, which goes with the roughness.

The card stands behind the foil, which lies flat before it, so that the camera sees the card's face
and that face mirrored. For the second photo the dark thing takes the card's place and is as large,
and the card lies beside.

References
----------
Walter et al. (2007), doi:10.2312/EGWR/EGSR07/195-206 (GGX).
Dupuy & Benyoub (2023), Sampling Visible GGX Normals with Spherical Caps, doi:10.1111/cgf.14867.
"""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from mockup.errors import PhotoError
from mockup.photo.card import CARD_MM, REFLECTANCE, Card, corrected
from mockup.photo.lacquer import lacquer_swatch
from mockup.photo.measured import Figure, Measured
from mockup.photo.picture import Photo
from mockup.photo.swatch import light_words, lights_of, of_area, of_camera
from mockup.photo.told import Area
from mockup.shading.lobes import find_lobes

__all__ = ["DARK", "DISTANCE_MM", "Mirroring", "card_share", "measure_foil"]

Floats = NDArray[np.float64]

DARK = 0.03  # reflectance of black cloth or paper, typical
DISTANCE_MM = 60.0  # from the place on the foil to the card's middle, if it is not told
_SLANT_RAD = np.pi / 4  # of the view; shares hardly depend on it
_ROUGHNESS = np.linspace(0.1, 0.7, 25)  # as swatches have it
_SURROUNDINGS = 1.0  # mean light beside the card: what lights a white card, by definition
_SURROUNDINGS_UNSURE = 0.35  # of it, relative; our choice
_DISTANCE_UNSURE = 0.2  # relative; our choice
_RAYS = 4096
_MOSTLY_CARD = 0.85  # of the lobe; by less, what is unsure is mostly the surroundings
_LEAST_DIFFERENCE = 0.15  # of the first photo's light


@dataclass(frozen=True, slots=True)
class Mirroring:
    """One photo, the card in it, and the place on the foil that mirrors."""

    photo: Photo
    card: Card
    area: Area


def measure_foil(
    card_mirrored: Mirroring,
    dark_mirrored: Mirroring,
    *,
    reflectance: float = REFLECTANCE,
    dark: float = DARK,
    distance_mm: float = DISTANCE_MM,
    metal: str = "aluminium",
    light: str | None = None,
) -> Measured:
    """Tint and roughness of a foil.

    Parameters
    ----------
    reflectance, dark
        Of the card and of what takes its place.
    distance_mm
        From the place on the foil to the card's middle.
    metal
        Under the lacquer, one of `design.palette.METALS`.
    light
        CIE name of what the photos were taken in; None leaves it among common lights.

    Raises
    ------
    PhotoError
        A place cannot be measured, or both photos show the same there.
    UnknownName
        No illuminant or metal has that name.
    """
    lights = lights_of(card_mirrored.card, light)
    bright, of_bright = _seen(card_mirrored, reflectance, light)
    black, of_black = _seen(dark_mirrored, reflectance, light)
    lobe = (bright - black) / (
        reflectance - dark
    )  # reflectance times the share that the card fills
    if (bright - black).mean() < _LEAST_DIFFERENCE * bright.mean():
        raise PhotoError(
            "the foil shows the same in both photos",
            where=f"{card_mirrored.photo.name}, {dark_mirrored.photo.name}",
            remedy="Let the marked place mirror the card in the first and something black in the "
            "second; foil that mirrors neither is measured as paint",
        )
    strewn = np.maximum(black - lobe * dark, 0.0)
    whole = np.maximum(lobe + strewn / _SURROUNDINGS, 1e-4)
    unsure = _SURROUNDINGS_UNSURE * strewn
    noise = (of_bright + of_black) / (reflectance - dark) ** 2 + np.outer(unsure, unsure)
    share = Figure(
        float(lobe.mean() / whole.mean()),
        float(np.sqrt(noise.mean()) / whole.mean() * strewn.mean() / whole.mean()) + 0.01,
    )
    roughness = _roughness(share, card_mirrored.card.size_mm, distance_mm)
    once = find_lobes(roughness.value**2).single_bare  # what leaves rough metal at the first bounce
    swatch = lacquer_swatch(
        whole / once,
        noise / once**2,
        lights,
        source=f"foil from {card_mirrored.photo.name} and {dark_mirrored.photo.name}",
        metal=metal,
        roughness=round(roughness.value, 3),
    )
    notes = dict.fromkeys((*card_mirrored.photo.notes, *dark_mirrored.photo.notes))
    words = (*notes, *light_words(lights, light), *_words(roughness, share, whole))
    return Measured("foil", (swatch,), {"specular_roughness": roughness}, words)


@cache
def card_share(
    roughness: float, distance_mm: float, size_mm: tuple[float, float] = CARD_MM
) -> float:
    """Share of a metal's lobe that a card fills whose middle lies in the mirrored direction.

    Parameters
    ----------
    roughness
        Perceptual; its square is the GGX alpha.
    """
    view = np.array([np.sin(_SLANT_RAD), 0.0, np.cos(_SLANT_RAD)])
    ray = _mirrored_rays(view, roughness**2)
    ahead = np.array([-view[0], 0.0, view[2]])
    up = np.array([view[2], 0.0, view[0]])
    along = ray @ ahead
    across = distance_mm * ray[:, 1] / np.maximum(along, 1e-6)
    height = distance_mm * (ray @ up) / np.maximum(along, 1e-6)
    long, short = max(size_mm) / 2.0, min(size_mm) / 2.0
    within = (along > 0) & (np.abs(across) <= long) & (np.abs(height) <= short)
    tangent2 = (ray[:, 0] ** 2 + ray[:, 1] ** 2) / np.maximum(ray[:, 2], 1e-9) ** 2
    seen = (ray[:, 2] > 0) * 2.0 / (1.0 + np.sqrt(1.0 + roughness**4 * tangent2))  # G1 of the ray
    return float((seen * within).sum() / seen.sum())


def _mirrored_rays(view: Floats, alpha: float) -> Floats:
    """Directions (n, 3) that GGX facets mirror the view to, each as likely; z up."""
    at = np.arange(_RAYS) + 0.5
    u, v = at / _RAYS, at * 0.6180339887 % 1.0
    stretch = np.array([alpha, alpha, 1.0])
    tall = view * stretch / np.linalg.norm(view * stretch)
    z = (1.0 - u) * (1.0 + tall[2]) - tall[2]
    r = np.sqrt(np.maximum(1.0 - z * z, 0.0))
    cap = np.stack([r * np.cos(2 * np.pi * v), r * np.sin(2 * np.pi * v), z], axis=-1) + tall
    normal = cap * stretch
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    return np.asarray(2.0 * (normal @ view)[:, None] * normal - view)


def _seen(mirroring: Mirroring, reflectance: float, light: str | None) -> tuple[Floats, Floats]:
    area = mirroring.area.checked(mirroring.photo, mirroring.card, "foil")
    by_card = corrected(mirroring.photo, mirroring.card, reflectance, light)
    rgb, own = of_area(by_card.rgb[area.box])
    return rgb, own + of_camera(rgb, by_card.covariance(area.middle_px), reflectance)


def _roughness(share: Figure, size_mm: tuple[float, float], distance_mm: float) -> Figure:
    """The roughness whose lobe the card fills by that share, at this distance or thereabouts."""

    def at(filled: float, far_mm: float) -> float:
        table = np.array([card_share(float(r), round(far_mm, 1), size_mm) for r in _ROUGHNESS])
        falling = np.minimum.accumulate(table)
        return float(np.interp(-filled, -falling, _ROUGHNESS))

    value = at(share.value, distance_mm)
    by_share = max(
        abs(at(share.value + side * share.within, distance_mm) - value) for side in (-1, 1)
    )
    by_distance = max(
        abs(at(share.value, distance_mm * (1.0 + side * _DISTANCE_UNSURE)) - value)
        for side in (-1, 1)
    )
    return Figure(value, max(0.02, math.hypot(by_share, by_distance)))


def _words(roughness: Figure, share: Figure, whole: Floats) -> list[str]:
    words = []
    if share.value < _MOSTLY_CARD:
        words.append(
            f"{100 * (1.0 - share.value):.0f} % of what it shows comes from beside the card, where "
            "the light is not known. Nearer to the card, or with a larger one, the tint is surer."
        )
    if roughness.value <= _ROUGHNESS[0] + 0.01:
        words.append("It is as smooth as can be told: a crinkle of the sheet is not its roughness.")
    if roughness.value >= _ROUGHNESS[-1] - 0.01:
        words.append("It strews nearly all of its light; measured as paint it may look truer.")
    if whole.max() > 1.0:
        words.append("It sends back more than it gets: the card is lit less where it is mirrored.")
    return words
