"""Glitter strewn on white and on black: coverage, colours and their shares, cut, mean and sparkle.

What the two grounds differ by is what shows between the flakes, less by the shade that flakes throw
there in our own model; so coverage needs no flake to be told from the ground. The swatches are
aluminium under tinted lacquers, so bright that the model's mean is the photo's.

Limits. Both photos hold the same glitter, strewn alike. Flakes narrower than seven pixels run into
one another. How bright the mirrored room was is known only where a grey flake tells it.
"""

import numpy as np
from numpy.typing import NDArray

from mockup.errors import PhotoError
from mockup.material.chip import MIRRORED
from mockup.photo.card import REFLECTANCE
from mockup.photo.flake_colours import FlakeColour, flake_colours
from mockup.photo.flake_regions import Ground
from mockup.photo.flake_size import covariance_of, cut_px, fit_cut_px, fitted_cut_px
from mockup.photo.flake_words import twice_found_words
from mockup.photo.lacquer import lacquer_swatch
from mockup.photo.measured import Figure, Measured
from mockup.photo.sparkle import sparkle_of, tilt_of
from mockup.photo.spectral import NORMAL_90, estimate
from mockup.photo.strewn import Seen, Strewn, reduced, seen
from mockup.photo.swatch import light_words, lights_of, of_camera
from mockup.progress import Progress
from mockup.shading.gaps import find_gaps, node_depths
from mockup.shading.table import FLAKE_FILM_MM, HEXAGON, LAYER_MM

__all__ = ["gap_light", "measure_glitter"]

Floats = NDArray[np.float64]

_LEAST_CONTRAST = 3.0  # of the two grounds' light
_LEAST_CUT_PX = 7.0  # below, blur passes for smaller flakes
_ENOUGH_CUT_PX = 16.0  # by which flakes of a large photo are measured; more pixels tell no more
_TYPICAL_TILT_DEG = 7.0
_SHADE_UNSURE = 0.3  # of the shade that our model gives; our choice
_SHARE_UNSURE, _SHARE_UNSURE_PX = 0.025, 0.2  # of shares, and that times a flake's width in px
_FLASHES = 0.01  # of the light: more is told
_ALUMINIUM = 0.91  # reflectance of what a grey flake is


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
    white = seen(on_white, reflectance, light, px_per_mm)
    progress(0.1, "measuring the flakes on black")
    black = seen(on_black, reflectance, light, px_per_mm)
    if white.bare.mean() < _LEAST_CONTRAST * black.bare.mean():
        raise PhotoError(
            "the two grounds are too alike to tell what shows between the flakes",
            where=f"{on_white.photo.name}, {on_black.photo.name}",
            remedy="Strew on white paper for the first photo and on black for the second",
        )
    progress(0.2, "measuring how large they are")
    step = _step(white, black)
    white, black, px_per_mm = reduced(white, step), reduced(black, step), px_per_mm / step
    progress(0.3, "measuring how dense they lie")
    coverage, cut = _coverage_and_cut(white, black, px_per_mm, on_white.photo.name)
    shade = gap_light(cut.value, coverage.value)
    colours = flake_colours(
        Ground(white.rgb, white.bare, white.white, pale=True, step=step),
        Ground(black.rgb, black.bare, black.white, pale=False, step=step),
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
    parts = coverage.value * np.stack([one.share * one.rgb for one in fitted])
    means = [
        estimate(one.mean, _noise_of_mean(one, reflectance), lights, parts=parts)
        for one in (white, black)
    ]
    swatches = tuple(
        lacquer_swatch(
            colour.rgb / figures["mirrored"].value,
            of_camera(colour.rgb, black.of_ln, reflectance) / figures["mirrored"].value ** 2,
            lights,
            share=(colour.share, _share_within(fitted, colour, cut.value * px_per_mm)),
            brightness=figures["mirrored"].within / NORMAL_90 / figures["mirrored"].value,
            source=f"flakes from {on_white.photo.name} and {on_black.photo.name}",
        )
        for colour in fitted
    )
    return Measured(
        "glitter",
        swatches,
        figures,
        (
            *dict.fromkeys((*on_white.photo.notes, *on_black.photo.notes)),
            *light_words(lights, light),
            *twice_found_words(swatches),
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


def _shown(white: Seen, black: Seen) -> float:
    """Share of the ground's light that shows between the flakes.

    Flashes count up to what both photos hold, so that they cancel out: flakes are the same on both
    grounds.
    """
    top = np.minimum(white.top, black.top)
    seen = [np.minimum(one.rgb, top).mean(axis=(0, 1), dtype=np.float64) for one in (white, black)]
    return float(np.mean((seen[0] - seen[1]) / (white.bare - black.bare)))


def _step(white: Seen, black: Seen) -> int:
    """Pixels in a row that may be one, as the flakes are large in both photos."""
    coverage = round(float(np.clip(1.0 - _shown(white, black), 0.02, 0.98)), 2)
    return max(int(cut_px([white.flat, black.flat], coverage) / _ENOUGH_CUT_PX), 1)


def _coverage_and_cut(
    white: Seen, black: Seen, px_per_mm: float, where: str
) -> tuple[Figure, Figure]:
    """Both, as the shade between flakes goes with their size and the cut's law with coverage."""
    shown, pictures = _shown(white, black), [white.flat, black.flat]
    covariances = [covariance_of(picture) for picture in pictures]
    coverage = np.clip(1.0 - shown, 0.02, 0.985)
    for _ in range(2):
        wide_px = fit_cut_px(covariances, round(float(coverage), 2))
        if wide_px < _LEAST_CUT_PX:
            raise PhotoError(
                f"the flakes are {wide_px:.1f} pixels wide and run into one another",
                where=where,
                remedy="Take both photos from nearer, so that a flake is 8 pixels wide or more",
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


def _share_within(colours: list[FlakeColour], one: FlakeColour, cut_px: float) -> float:
    """Larger by √2 for what one photo of the two tells alone, as grey flakes are lost on white."""
    if len(colours) == 1:
        return 0.0
    return (_SHARE_UNSURE + _SHARE_UNSURE_PX / cut_px) * float(np.sqrt(2.0 / one.grounds))


def _noise_of_mean(found: Seen, reflectance: float) -> Floats:
    """Covariance of the strewn area's mean."""
    flashes = found.flashes * found.mean
    return of_camera(found.mean, found.of_ln, reflectance) + np.outer(flashes, flashes)


def _words(white: Seen, black: Seen, colours: tuple[FlakeColour, ...], tilt: Figure) -> list[str]:
    words = []
    flashes = max(white.flashes, black.flashes)
    if flashes > _FLASHES:
        words.append(
            f"About {100 * flashes:.0f} % of the light is estimated, as it comes from flashes "
            "beyond what the photo holds. Take both photos again at half the exposure (−1), or "
            "under a softer lamp where bare bulbs flash, and the mean is surer."
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
