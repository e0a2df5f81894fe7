"""Paint, print, fabric and vinyl: the swatch of a matt material beside a card.

Limits. Gloss, nap and weave show in one direction only; the camera's tone curve is known at the
card's brightness alone, and what it may do elsewhere is part of the uncertainty.
"""

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.spectra import illuminant_power, wavelengths_nm
from mockup.design.palette import SpectrumSwatch
from mockup.errors import PhotoError
from mockup.photo.card import REFLECTANCE, Card, corrected
from mockup.photo.measured import Measured, MeasuredSwatch
from mockup.photo.picture import Photo
from mockup.photo.quads import even_quads
from mockup.photo.spectral import Estimate, estimate, lights_by_cast
from mockup.photo.told import Area
from mockup.shading.lobes import COAT_IOR

__all__ = [
    "SHEETS",
    "find_area",
    "light_words",
    "lights_of",
    "measure_sheet",
    "of_area",
    "of_camera",
]

Floats = NDArray[np.float64]

SHEETS = ("paint", "print", "fabric", "vinyl")
_BLOCKS = 8  # along each side of an area: what differs between them is the material's own
_TONE = 0.04  # by which the exponent of a camera's tone curve may differ from 1; our choice
_VEIL = 0.002  # of a perfect white: light that the lens strews over the picture; typical
_STEP_NM = 10
_GLOSSY = ("paint", "print", "vinyl")
_MIRRORS = ((COAT_IOR - 1.0) / (COAT_IOR + 1.0)) ** 2  # Fresnel, straight on
_BEYOND = 0.02  # of linear sRGB, that a colour may leave its gamut by without a word


def measure_sheet(
    photo: Photo,
    card: Card,
    area: Area,
    kind: str,
    *,
    reflectance: float = REFLECTANCE,
    light: str | None = None,
) -> Measured:
    """The swatch of an even material.

    Parameters
    ----------
    kind
        One of `SHEETS`.
    reflectance
        Of the card.
    light
        CIE name of what the photo was taken in; None leaves it among common lights.

    Raises
    ------
    PhotoError
        The area is clipped, dark, on the card or too small, or the card's light is no one light.
    UnknownName
        No illuminant has that name.
    """
    lights = lights_of(card, light)
    area.checked(photo, card, kind)
    by_card = corrected(photo, card, reflectance, light)
    rgb, own = of_area(by_card.rgb[area.box])
    of_ln = by_card.covariance(area.middle_px)
    noise = own + of_camera(rgb, of_ln, reflectance, camera=by_card.camera)
    found = estimate(rgb, noise, lights, camera=by_card.camera)
    swatch = MeasuredSwatch(
        swatch=SpectrumSwatch(
            nm=_nm(),
            reflectance=_shares(found.reflectance),
            source=f"from {_plain(photo.name)} beside {_beside(card, reflectance)}, upsampled; "
            f"ΔE00 within {found.delta_e:.1f}",
        ),
        share=1.0,
        delta_e=found.delta_e,
        rgb_low=_rounded(found.rgb_band[0]),
        rgb_high=_rounded(found.rgb_band[1]),
        nm=_nm(),
        low=_shares(found.band[0]),
        high=_shares(found.band[1]),
    )
    words = (*photo.notes, *light_words(lights, light), *_words(found, own, rgb))
    if kind in _GLOSSY:
        words += _gloss_words(rgb, found.delta_e)
    return Measured(kind, (swatch,), {}, words)


def find_area(photo: Photo, card: Card) -> Area:
    """The inner part of the one even quadrilateral beside the card.

    Raises
    ------
    PhotoError
        There is none, or more than one.
    """
    middle = card.corners_px.mean(axis=0)
    reach = np.linalg.norm(card.corners_px[0] - middle)
    others = [
        quad
        for quad in even_quads(photo.linear)
        if np.linalg.norm(quad.corners_px.mean(axis=0) - middle) > reach
    ]
    if len(others) != 1:
        raise PhotoError(
            "the material is not told apart from what lies around it"
            if not others
            else "more than one even area lies beside the card",
            where=photo.name,
            remedy="Say where it lies: left, top, right and bottom",
        )
    corners = others[0].corners_px
    middle = corners.mean(axis=0)
    half = 0.35 * np.array([np.abs(corners[:, i] - middle[i]).min() * 2 for i in (0, 1)])
    low, high = np.ceil(middle - half).astype(int), np.floor(middle + half).astype(int) + 1
    return Area(int(low[0]), int(low[1]), int(high[0]), int(high[1]))


def of_area(rgb: NDArray[np.float32]) -> tuple[Floats, Floats]:
    """Median of an area's blocks, and the covariance between them: (3,), (3, 3) float64."""
    height, width = (side // _BLOCKS * _BLOCKS for side in rgb.shape[:2])
    count = min(_BLOCKS, rgb.shape[0], rgb.shape[1])
    blocks = (
        rgb[:height, :width]
        .reshape(count, height // count, count, width // count, 3)
        .mean(axis=(1, 3), dtype=np.float64)
        .reshape(-1, 3)
    )
    middle = np.median(blocks, axis=0)
    apart = np.abs(blocks - middle).max(axis=1)
    kept = blocks[apart <= np.quantile(apart, 0.9)]  # a lamp's reflection, a crumb
    return np.asarray(middle), np.cov(kept.T)


def lights_of(card: Card, light: str | None) -> tuple[str, ...]:
    """The lights that the photo may have been taken in.

    Raises
    ------
    UnknownName
        `light` is no illuminant of the CIE.
    """
    if light is None:
        return lights_by_cast(card.rgb)
    illuminant_power(light)
    return (light,)


def light_words(lights: tuple[str, ...], told: str | None) -> tuple[str, ...]:
    """What is taken for the photo's light."""
    if told is not None:
        return ()
    names = ", ".join(lights)
    return (
        f"The light was not told and may be {names}; tell it, and the colour is surer."
        if len(lights) > 1
        else f"By the card's cast the light is taken for {names}.",
    )


def of_camera(rgb: Floats, of_ln: Floats, reflectance: float, *, camera: float = 1.0) -> Floats:
    """Covariance of rgb from fall-off, card, tone curve and the lens's own veil.

    Parameters
    ----------
    of_ln : (3, 3) float64
        Of fall-off and card, of ln rgb.
    reflectance
        At which the tone curve is known.
    camera
        Share that is left of what the tone curve gets wrong.
    """
    bright = np.maximum(rgb, 1e-3)
    tone = camera * _TONE * np.log(bright / reflectance)
    return np.asarray(
        bright[:, None] * (of_ln + tone[:, None] * tone) * bright + _VEIL**2 * np.ones((3, 3))
    )


def _words(found: Estimate, own: Floats, rgb: Floats) -> tuple[str, ...]:
    words = []
    if (found.mix < -_BEYOND).any() or (found.mix > 1.0 + _BEYOND).any():
        words.append(
            "It is more colourful or brighter than paint on a screen can be; the nearest that can "
            "is written."
        )
    uneven = np.sqrt(np.trace(own) / 3) / max(float(rgb.mean()), 1e-3)
    if uneven > 0.05:
        words.append(f"It is uneven: its parts differ by {100 * uneven:.0f} %.")
    return tuple(words)


def _gloss_words(rgb: Floats, stated: float) -> tuple[str, ...]:
    """What a face that mirrors a room as bright as white paper may have added, if that matters.

    Such light is the same in all channels, so that the darkest one holds all of it. It matters
    where it makes the colour a quarter less sure: √(1 + 0.75²) is 1.25.
    """
    veil = min(_MIRRORS, float(rgb.min()))
    seen, below = lab_from_linear_srgb(np.clip([rgb, rgb - veil], 0.0, 1.0))
    apart = float(delta_e_2000(seen, below))
    if apart <= 0.75 * stated:
        return ()
    return (
        f"If it is glossy, up to {100 * veil / float(rgb.mean()):.0f} % of its light may be the "
        "room that it mirrors, which one photo cannot tell. Hold something black where it would "
        "mirror the room, and measure again.",
    )


def _nm() -> tuple[float, ...]:
    return tuple(float(nm) for nm in wavelengths_nm()[:: _STEP_NM // 5])


def _shares(reflectance: Floats) -> tuple[float, ...]:
    return tuple(round(float(share), 4) for share in reflectance[:: _STEP_NM // 5])


def _rounded(rgb: Floats) -> tuple[float, ...]:
    return tuple(round(float(value), 4) for value in rgb)


def _beside(card: Card, reflectance: float) -> str:
    return "a chart" if card.chart is not None else f"a card of {reflectance:g}"


def _plain(name: str) -> str:
    """A file's name as a source can hold it."""
    return "".join(c if c.isprintable() else "_" for c in name)[:80]
