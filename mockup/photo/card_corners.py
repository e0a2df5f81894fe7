"""Which four corners in a photo are the card's."""

from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from mockup.errors import PhotoError
from mockup.photo.picture import Photo
from mockup.photo.quads import Quad, clockwise

__all__ = ["checked_corners", "only_card"]

Floats = NDArray[np.float64]

_MOST_CAST = 0.5  # of ln(r/g) and ln(b/g): a white balance further off is not taken for grey
_ALIKE_CAST = 0.1  # of the same: too near to choose by
_ASPECT_FACTOR = 1.25  # that perspective may change the ratio of sides by


def only_card(quads: list[Quad], aspect: float, where: str) -> Quad:
    """The one quadrilateral that may be a grey card of this ratio of sides.

    Raises
    ------
    PhotoError
        There is none, or more than one.
    """
    grey = sorted((q for q in quads if _cast(q) <= _MOST_CAST), key=_cast)
    if not grey:
        raise PhotoError(
            "no card found in this photo",
            where=where,
            remedy="Lay a neutral card of one even grey beside the material, whole in the picture "
            "and on a ground of another brightness; or give its four corners",
        )
    shaped = [q for q in grey if abs(np.log(q.aspect / aspect)) <= np.log(_ASPECT_FACTOR)]
    likely = shaped or grey
    if len(likely) > 1 and _cast(likely[1]) - _cast(likely[0]) < _ALIKE_CAST:
        raise PhotoError(
            "more than one grey area may be the card",
            where=where,
            remedy="Give the four corners of the one that is the card",
        )
    return likely[0]


def _cast(quad: Quad) -> float:
    red, green, blue = np.log(np.maximum(quad.rgb, 1e-6))
    return float(max(abs(red - green), abs(blue - green)))


def checked_corners(corners: Floats, photo: Photo) -> Floats:
    """Corners that a user told, clockwise from the top left: (4, 2) → (4, 2) float64, px.

    Raises
    ------
    PhotoError
        They can be no card's, or say that the photo is upside down.
    """
    where = f"{photo.name}: the card's corners"
    if corners.shape != (4, 2) or not np.isfinite(corners).all():
        _refuse_corners(where, "there must be four of them", "Give x and y of each corner")
    width, height = photo.size_px
    if (corners < -0.5).any() or (corners > np.array([width, height]) - 0.5).any():
        _refuse_corners(where, "one lies outside the picture", "Give places within the picture")
    ordered = clockwise(corners)
    steps = np.roll(ordered, -1, axis=0) - ordered
    turns = steps[:, 0] * np.roll(steps[:, 1], -1) - steps[:, 1] * np.roll(steps[:, 0], -1)
    if (turns <= 0).any() or min(np.linalg.norm(steps, axis=1)) < 8:
        _refuse_corners(
            where, "they make no quadrilateral", "Give the card's own corners, 8 px apart or more"
        )
    start = int(np.linalg.norm(ordered - corners[0], axis=1).argmin())
    if start == 2 and np.allclose(np.roll(ordered, -start, axis=0), corners):
        _refuse_corners(
            where,
            "the top left one lies at the bottom right: this photo is upside down",
            "Turn the photo, or give the corners clockwise from the top left as it is",
        )
    if not np.allclose(np.roll(ordered, -start, axis=0), corners):
        _refuse_corners(where, "they do not go round", "Give them clockwise from the top left")
    return ordered


def _refuse_corners(where: str, problem: str, remedy: str) -> NoReturn:
    raise PhotoError(problem, where=where, remedy=remedy)
