"""How a traced scene becomes a photo, and where things lie in it."""

from functools import cache

import numpy as np

from mockup.colorimetry.spectra import wavelengths_nm
from mockup.photo.picture import open_photo
from tests.bench import photo_scenes as scenes
from tests.photo.scenes import GREY, camera_weights, developed, saved


@cache
def between():
    """(81, n): spectra at the traced wavelengths → straight lines between them."""
    nm = scenes.NM
    return np.stack([np.interp(wavelengths_nm(), nm, one) for one in np.eye(len(nm))], -1)


def mm_of(view, box):
    """Left, bottom, right, top in mm of a rectangle of pixels, straight from above."""
    scale = view.across_mm / view.size_px[0]
    left, top, right, bottom = box
    width, height = view.size_px
    return (
        (left - width / 2) * scale, (height / 2 - bottom) * scale,
        (right - width / 2) * scale, (height / 2 - top) * scale,
    )  # fmt: skip


def inner(box, by=0.15):
    """Cells of a picture at twice the size, well inside a rectangle of pixels."""
    left, top, right, bottom = box
    dx, dy = by * (right - left), by * (bottom - top)
    return (
        slice(round(2 * (top + dy)), round(2 * (bottom - dy))),
        slice(round(2 * (left + dx)), round(2 * (right - dx))),
    )


def corners_of(box):
    left, top, right, bottom = box
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]]) - 0.5


def doubled(light):
    """A picture at twice the size, as photos are developed from."""
    return np.repeat(np.repeat(light, 2, axis=0), 2, axis=1)


def photographed(light, illuminant, card_cells, rng, faults, path):
    """A photo of traced light, (2h, 2w, n), so exposed that the card is as bright as it is grey."""
    seen = light @ (between().T @ camera_weights(illuminant))
    seen *= GREY / seen[card_cells].mean()
    return open_photo(saved(path.parent, developed(seen, rng, faults), path.name))
