"""Glitter strewn on white and on black: coverage, colours and their shares, cut, mean and sparkle.

What the two grounds differ by is what shows between the flakes, less by the shade that flakes throw
there in our own model; so coverage needs no flake to be told from the ground. The swatches are
aluminium under tinted lacquers, so bright that the model's mean is the photo's.

Limits. Both photos hold the same glitter, strewn alike. Flakes narrower than five pixels run into
one another. How bright the mirrored room was is known only where a grey flake tells it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates

from mockup.colorimetry.difference import XYZ_FROM_LINEAR_SRGB
from mockup.errors import PhotoError
from mockup.material.chip import MIRRORED
from mockup.photo.card import REFLECTANCE, Card, Corrected, corrected
from mockup.photo.flake_colours import FlakeColour, flake_colours
from mockup.photo.flake_regions import Ground
from mockup.photo.flake_size import cut_px, fitted_cut_px
from mockup.photo.lacquer import lacquer_swatch
from mockup.photo.measured import Figure, Measured
from mockup.photo.picture import Photo
from mockup.photo.plane import through
from mockup.photo.sparkle import sparkle_of, tilt_of
from mockup.photo.spectral import NORMAL_90, estimate
from mockup.photo.swatch import light_words, lights_of, of_camera
from mockup.photo.told import Area
from mockup.progress import Progress
from mockup.shading.gaps import find_gaps, node_depths
from mockup.shading.table import FLAKE_FILM_MM, HEXAGON, LAYER_MM

__all__ = ["Strewn", "gap_light", "measure_glitter"]

Floats = NDArray[np.float64]

_MOST_CLIPPED = 0.1  # of the flakes' pixels: flashes beyond what the photo holds
_LEAST_CONTRAST = 3.0  # of the two grounds' light
_LEAST_CUT_PX = 5.5
_TYPICAL_TILT_DEG = 7.0
_SHADE_UNSURE = 0.3  # of the shade that our model gives; our choice
_SHARE_UNSURE, _SHARE_UNSURE_PX = 0.04, 0.35  # of shares, and that times a flake's width in px
_ALUMINIUM = 0.91  # reflectance of what a grey flake is
_LUMINANCE = XYZ_FROM_LINEAR_SRGB[1]


@dataclass(frozen=True, slots=True)
class Strewn:
    """One photo: where the flakes lie, and where the bare ground shows."""

    photo: Photo
    card: Card
    area: Area
    bare: Area


@dataclass(frozen=True, slots=True)
class _Seen:
    """The strewn area by the card's white, its mean, and the ground's."""

    rgb: NDArray[np.float32]
    flat: Floats  # √luminance, straight from above
    mean: Floats
    bare: Floats
    white: Floats  # what a perfect white is in the photo there
    of_ln: Floats  # covariance of ln light, all of the area together
    clipped: float


def measure_glitter(
    on_white: Strewn,
    on_black: Strewn,
    *,
    reflectance: float = REFLECTANCE,
    light: str | None = None,
    progress: Progress = lambda share, what: None,
) -> Measured:
    """The swatches, shares and figures of a glitter.

    Parameters
    ----------
    reflectance
        Of the card.
    light
        CIE name of what the photos were taken in; None leaves it among common lights.

    Raises
    ------
    PhotoError
        A place cannot be measured, the grounds are too alike, or the flakes are too small in the
        photo.
    UnknownName
        No illuminant has that name.
    """
    lights = lights_of(on_white.card, light)
    px_per_mm = min(one.card.px_per_mm for one in (on_white, on_black))
    progress(0.0, "measuring the flakes on white")
    white = _seen(on_white, reflectance, light, px_per_mm)
    progress(0.1, "measuring the flakes on black")
    black = _seen(on_black, reflectance, light, px_per_mm)
    if white.bare.mean() < _LEAST_CONTRAST * black.bare.mean():
        raise PhotoError(
            "the two grounds are too alike to tell what shows between the flakes",
            where=f"{on_white.photo.name}, {on_black.photo.name}",
            remedy="Strew on white paper for the first photo and on black for the second",
        )
    progress(0.2, "measuring how large they are")
    coverage, cut = _coverage_and_cut(white, black, px_per_mm, on_white.photo.name)
    shade = gap_light(cut.value, coverage.value)
    colours = flake_colours(
        Ground(white.rgb, white.bare, white.white, pale=True),
        Ground(black.rgb, black.bare, black.white, pale=False),
        cut.value * px_per_mm,
        coverage.value,
        shade,
        lambda share, what: progress(0.4 + 0.55 * share, what),
    )
    progress(0.95, "measuring how they sparkle")
    gap = (1.0 - coverage.value) * shade
    flakes = np.maximum((black.mean - gap * black.bare) / coverage.value, 1e-4)
    sparkle, fitted = _sparkle(colours), _with_mean(colours, flakes)
    figures = {
        "coverage": coverage,
        "cut_mm": cut,
        "sparkle": sparkle,
        "tilt_deg": tilt_of(sparkle),
        "mirrored": _mirrored(fitted),
    }
    noises = [of_camera(one.mean, one.of_ln, reflectance) for one in (white, black)]
    means = [
        estimate(one.mean, noise, lights) for one, noise in zip((white, black), noises, strict=True)
    ]
    return Measured(
        "glitter",
        tuple(
            lacquer_swatch(
                colour.rgb / figures["mirrored"].value,
                of_camera(colour.rgb, black.of_ln, reflectance) / figures["mirrored"].value ** 2,
                lights,
                share=(colour.share, _share_within(fitted, cut.value * px_per_mm)),
                brightness=figures["mirrored"].within / NORMAL_90 / figures["mirrored"].value,
                source=f"flakes from {on_white.photo.name} and {on_black.photo.name}",
            )
            for colour in fitted
        ),
        figures,
        (
            *dict.fromkeys((*on_white.photo.notes, *on_black.photo.notes)),
            *light_words(lights, light),
            *_words(white, black, colours, figures["tilt_deg"]),
        ),
        tuple(tuple(round(float(v), 5) for v in mean.mix) for mean in means),
        max(mean.delta_e for mean in means),
    )


def gap_light(cut_mm: float, coverage: float, tilt_deg: float = _TYPICAL_TILT_DEG) -> float:
    """Light that reaches the ground between flakes over that without any, by `shading.gaps`."""
    radius = float(np.sqrt(HEXAGON * cut_mm**2 / np.pi))
    stands = max(LAYER_MM, cut_mm / HEXAGON * np.sin(np.radians(tilt_deg)))
    low = FLAKE_FILM_MM / 2.0
    gaps = find_gaps(round(radius, 3), low, round(low + float(stands), 3), tilt_deg, 1.0)
    return float(np.interp(-np.log1p(-coverage), node_depths(), gaps.seen))


def _seen(strewn: Strewn, reflectance: float, light: str | None, px_per_mm: float) -> _Seen:
    photo, card = strewn.photo, strewn.card
    area = strewn.area.checked(photo, card, "glitter", most_clipped=_MOST_CLIPPED)
    bare = strewn.bare.checked(photo, card, "bare ground")
    by_card = corrected(photo, card, reflectance, light)
    rgb, clipped = by_card.rgb[area.box], photo.clipped[area.box]
    return _Seen(
        rgb,
        _from_above(by_card, card, area, px_per_mm),
        _mean_light(rgb, clipped),
        np.median(by_card.rgb[bare.box].reshape(-1, 3).astype(np.float64), axis=0),
        by_card.fall_off.white(area.middle_px),
        by_card.covariance(area.middle_px),
        float(clipped.mean()),
    )


def _from_above(by_card: Corrected, card: Card, area: Area, px_per_mm: float) -> Floats:
    """The area's √luminance with the card's perspective taken away, at one scale."""
    corners = np.array(
        [[area.left, area.top], [area.right, area.top],
         [area.right, area.bottom], [area.left, area.bottom]], dtype=np.float64,
    )  # fmt: skip
    mm = through(card.mm_from_px, corners)
    left, right = mm[[0, 3], 0].max(), mm[[1, 2], 0].min()
    top, bottom = mm[[0, 1], 1].max(), mm[[2, 3], 1].min()
    x, y = (np.arange(*ends, 1.0 / px_per_mm) for ends in ((left, right), (top, bottom)))
    px_from_mm = np.asarray(np.linalg.inv(card.mm_from_px), np.float64)
    at = through(px_from_mm, np.stack(np.meshgrid(x, y), axis=-1))
    root = np.sqrt(np.maximum(by_card.rgb[area.box].astype(np.float64) @ _LUMINANCE, 0.0))
    places = (at[..., ::-1] - [area.top, area.left]).transpose(2, 0, 1)
    return np.asarray(map_coordinates(root, places, order=1, mode="nearest"))


def _mean_light(rgb: NDArray[np.float32], clipped: NDArray[np.bool_]) -> Floats:
    """Mean, with what clipped flashes lost.

    Above the brightest tenth light is taken to fall off exponentially; of such a law cut off at
    the top, the mean beyond is what the sum above the tenth shows over the count that is whole.
    """
    mean = rgb.reshape(-1, 3).mean(axis=0, dtype=np.float64)
    share = float(clipped.mean())
    if share == 0.0:
        return np.asarray(mean, np.float64)
    luminance = rgb.astype(np.float64) @ _LUMINANCE
    tenth = float(np.quantile(luminance, 1.0 - max(0.1, 3.0 * share)))
    above = luminance > tenth
    whole = max(int((above & ~clipped).sum()), 1)
    beyond = float((luminance[above] - tenth).sum()) / whole
    more = share * beyond / max(float(luminance.mean()), 1e-6)
    return np.asarray(mean * (1.0 + more), np.float64)


def _coverage_and_cut(
    white: _Seen, black: _Seen, px_per_mm: float, where: str
) -> tuple[Figure, Figure]:
    """Both, as the shade between flakes goes with their size and the cut's law with coverage."""
    shown = float(np.mean((white.mean - black.mean) / (white.bare - black.bare)))
    coverage, pictures = np.clip(1.0 - shown, 0.02, 0.985), [white.flat, black.flat]
    for _ in range(2):
        wide_px = cut_px(pictures, round(float(coverage), 2))
        if wide_px < _LEAST_CUT_PX:
            raise PhotoError(
                f"the flakes are {wide_px:.1f} pixels wide and run into one another",
                where=where,
                remedy=f"Take both photos from nearer, so that a flake is {_LEAST_CUT_PX:g} pixels "
                "wide or more",
            )
        shade = gap_light(wide_px / px_per_mm, float(coverage))
        coverage = np.clip(1.0 - shown / shade, 0.02, 0.985)
    cut = fitted_cut_px(pictures, round(float(coverage), 2))
    left = 1.0 - float(coverage)
    unsure = np.array(
        [
            _SHADE_UNSURE * (1.0 - shade) * left,
            left * np.sqrt(2.0 * white.of_ln.mean()),
            np.sqrt(left * coverage * 2.0 * cut.value**2 / white.flat.size),
            0.01,
        ]
    )
    return (
        Figure(float(coverage), NORMAL_90 * float(np.linalg.norm(unsure))),
        Figure(cut.value / px_per_mm, cut.within / px_per_mm),
    )


def _sparkle(colours: tuple[FlakeColour, ...]) -> Figure:
    """Of all flakes, each beside the mean of its colour."""
    light = np.concatenate([one.light for one in colours])
    weight = np.concatenate([one.weight for one in colours])
    parts = [sparkle_of(light[i::4], weight[i::4]) for i in range(4)]
    return Figure(sparkle_of(light, weight), NORMAL_90 * float(np.std(parts, ddof=1)) / 2.0 + 0.02)


def _with_mean(colours: tuple[FlakeColour, ...], mean: Floats) -> list[FlakeColour]:
    """The colours brought to the mean of all flakes, channel by channel."""
    own = sum(one.share * one.rgb for one in colours)
    factor = np.clip(mean / np.maximum(own, 1e-6), 0.4, 2.5)
    return [one.brightened(factor) for one in colours]


def _mirrored(colours: list[FlakeColour]) -> Figure:
    """Light that the flakes mirror over a white card's, and how sure it is.

    A grey flake is plain aluminium. Without one our own lights' mean is taken, or more where a
    lacquer would have to send back more than it gets.
    """
    strongest = [float(one.rgb.max()) / _ALUMINIUM for one in colours]
    grey = [s for s, one in zip(strongest, colours, strict=True) if np.ptp(one.rgb) < 0.2 * s]
    if grey and max(grey) >= 0.8 * max(strongest):
        return Figure(max(strongest), NORMAL_90 * 0.1 * max(strongest))
    found = max(MIRRORED, *strongest)
    return Figure(found, NORMAL_90 * 0.3 * found)


def _share_within(colours: list[FlakeColour], cut_px: float) -> float:
    return 0.0 if len(colours) == 1 else _SHARE_UNSURE + _SHARE_UNSURE_PX / cut_px


def _words(white: _Seen, black: _Seen, colours: tuple[FlakeColour, ...], tilt: Figure) -> list[str]:
    words = []
    clipped = max(white.clipped, black.clipped)
    if clipped > 0.002:
        words.append(
            f"{100 * clipped:.1f} % of the flakes flash beyond what the photo holds; their light "
            "is estimated. Less exposure makes the mean surer."
        )
    if any(float(one.rgb.max()) < 3.0 * float(black.bare.max()) for one in colours):
        words.append("The share of dark flakes is less sure: on black they look like the ground.")
    if tilt.within > tilt.value:
        words.append(
            "Their sparkle hardly tells how they are tilted, as the room is not known; "
            f"{_TYPICAL_TILT_DEG:g}° is typical."
        )
    words.append("Flakes of one cut are taken for granted; of a mix of cuts a middle one is told.")
    return words
