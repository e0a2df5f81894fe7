"""What the card itself shows of faults that nothing can be measured through."""

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.srgb import srgb_from_linear
from mockup.errors import PhotoError
from mockup.photo.picture import Photo

__all__ = ["check_exposure", "check_light", "from_lamp_to_lamp"]

Floats = NDArray[np.float64]

_MOST_CLIPPED = 0.01
_LEAST_LIGHT = 0.008  # linear, of the brightest channel: sRGB code 20
_MOST_COLOUR_CHANGE = 0.05  # ln, of r/g or b/g from one end of the card to the other
_ROUNDED_CODES = 1.0  # a step of JPEG's colour, which light that falls off may cross
_MOST_UNEVEN = 0.03  # rms of ln light beside the smooth surface


def check_exposure(
    photo: Photo, inside: tuple[NDArray[np.intp], NDArray[np.intp]], where: str
) -> None:
    """Refuse a photo whose card, at these pixels, is clipped or nearly black.

    Raises
    ------
    PhotoError
        More than a hundredth of it is clipped, or its brightest channel is below sRGB code 20.
    """
    if photo.clipped[inside].mean() > _MOST_CLIPPED:
        raise PhotoError(
            "the card is clipped: the photo is too bright to tell its light",
            where=where,
            remedy="Take it again with less exposure, and keep lamps from mirroring in the card",
        )
    if float(photo.linear[inside].mean(axis=0).max()) < _LEAST_LIGHT:
        raise PhotoError(
            "the photo is underexposed: the card is nearly black in it",
            where=where,
            remedy="Take it again with more light or a longer exposure",
        )


def check_light(light: Floats, rest: Floats, at_px: Floats, blocks: float, where: str) -> None:
    """Refuse what the card itself shows of mixed light."""
    logs = np.log(light)
    terms = np.concatenate([np.ones((len(at_px), 1)), at_px - at_px.mean(axis=0)], axis=1)
    colours = np.stack([logs[:, 0] - logs[:, 1], logs[:, 2] - logs[:, 1]], axis=-1)
    slopes = np.linalg.lstsq(terms, colours, rcond=None)[0]
    plane = terms @ slopes
    noise = float((colours - plane).std()) * np.sqrt(12.0 / min(blocks, len(at_px)))
    codes = 255.0 * srgb_from_linear(light.mean(axis=0)).min()
    step = _ROUNDED_CODES * 2.4 / (codes + 0.055 * 255.0)
    wider = plane[:, np.ptp(plane, axis=0).argmax()]
    change = plane[wider.argmax()] - plane[wider.argmin()]
    if np.abs(change).max() > _MOST_COLOUR_CHANGE + 2.0 * noise + step:
        raise _two_lights(where) if from_lamp_to_lamp(change) else _tinted(where)
    if np.sqrt((rest.mean(axis=1) ** 2).mean()) > _MOST_UNEVEN:
        raise PhotoError(
            "a shadow or a reflection lies across the card",
            where=where,
            remedy="Turn the card or the lamp until it is evenly lit, and take the photo again",
        )


def from_lamp_to_lamp(change: Floats) -> bool:
    """Whether red and blue change against each other as from a warmer to a cooler lamp.

    From D65 to A ln(r/g) grows by 0.80 and ln(b/g) falls by 1.27, in linear sRGB.
    """
    red, blue = change
    return bool(red * blue < 0 and 0.25 < abs(red / blue) < 1.6)


def _two_lights(where: str) -> PhotoError:
    return PhotoError(
        "two lights of different colour fall on the card, so that no one white holds",
        where=where,
        remedy="Put one of them out or draw the curtain, and take the photo again",
    )


def _tinted(where: str) -> PhotoError:
    return PhotoError(
        "the card is tinted from one side, as by a coloured wall or cloth nearby",
        where=where,
        remedy="Move card and material away from what is coloured, or cover it with white paper",
    )
