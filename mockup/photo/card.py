"""The neutral card in a photo: where it lies, what light falls on it, and the photo by its white.

A card of known reflectance tells the light's colour, the exposure and, over its own area, how light
falls off. Divided by that, the photo holds reflectances as a camera's three channels see them.

Limits. The card says nothing of what lies in another light than it does; what can be told of such
faults from the card itself is refused, with what to do.
"""

from dataclasses import dataclass
from typing import NoReturn

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.errors import PhotoError
from mockup.photo.fall_off import FallOff, fit_fall_off
from mockup.photo.picture import Photo
from mockup.photo.quads import Quad, clockwise, even_quads

__all__ = ["CARD_MM", "REFLECTANCE", "Card", "Corrected", "corrected", "find_card"]

Floats = NDArray[np.float64]

CARD_MM = (85.60, 53.98)  # ISO/IEC 7810:2019, ID-1: the size of bank cards and of many grey cards
REFLECTANCE = 0.18  # of a middle grey card, typical; the card's own data sheet stands above it
CARD_TOLERANCE = 0.02  # of the reflectance, relative; typical of a printed card
_MOST_CAST = 0.5  # of ln(r/g) and ln(b/g): a white balance further off is not taken for grey
_ALIKE_CAST = 0.1  # of the same: too near to choose by
_ASPECT_FACTOR = 1.25  # that perspective may change the ratio of sides by
_CELLS = (16, 10)  # over the card, along its longer and shorter side
_INNER = 0.08  # of a side, left out at each rim
_LEAST_CELL_PX = 4
_MOST_CLIPPED = 0.01
_LEAST_LIGHT = 0.008  # linear, of the brightest channel: sRGB code 20
_MOST_COLOUR_CHANGE = 0.05  # ln, of r/g or b/g from one end of the card to the other
_MOST_UNEVEN = 0.03  # rms of ln light beside the smooth surface


@dataclass(frozen=True, slots=True, eq=False)
class Card:
    """A card in a photo.

    Attributes
    ----------
    corners_px : (4, 2) float64
        x and y, clockwise from the top left; pixel (0, 0) has its middle at (0, 0).
    size_mm
        Of the sides that lie across and down in the picture.
    rgb : (3,) float64
        Mean linear light of its inner part.
    """

    corners_px: Floats
    size_mm: tuple[float, float]
    rgb: Floats

    @property
    def mm_from_px(self) -> Floats:
        """Homography from the picture to the card's plane, (3, 3) float64.

        Origin at the card's top left corner, x along its top edge, y down.
        """
        across, down = self.size_mm
        flat = np.array([[0.0, 0.0], [across, 0.0], [across, down], [0.0, down]])
        return homography(self.corners_px, flat)

    @property
    def px_per_mm(self) -> float:
        """Scale at the card's middle, the root of that of areas."""
        middle = self.corners_px.mean(axis=0)
        around = middle + np.array([[0, 0], [1, 0], [0, 1]])
        mm = through(self.mm_from_px, around)
        right, down = mm[1] - mm[0], mm[2] - mm[0]
        return float(1.0 / np.sqrt(abs(right[0] * down[1] - right[1] * down[0])))


@dataclass(frozen=True, slots=True, eq=False)
class Corrected:
    """A photo by the card's white.

    Attributes
    ----------
    rgb : (h, w, 3) float32
        Linear sRGB; a perfect white that lies where the card lies is 1. Colours are those under the
        photo's light, as an eye adapted to it sees them, as far as three factors do that.
    """

    rgb: NDArray[np.float32]
    fall_off: FallOff

    def covariance(self, at_px: ArrayLike) -> Floats:
        """Of ln rgb at a place, (2,) px → (3, 3) float64: fall-off and the card's own tolerance.

        It holds for all of a small area together and does not average out over it.
        """
        return self.fall_off.covariance(at_px) + CARD_TOLERANCE**2 * np.ones((3, 3))


def find_card(
    photo: Photo, corners: ArrayLike | None = None, *, size_mm: tuple[float, float] = CARD_MM
) -> Card:
    """The card, by its corners if they are given, else the one neutral and even quadrilateral.

    Parameters
    ----------
    corners : (4, 2) float, px, or None
        x and y, clockwise from the top left.
    size_mm
        Two sides of the card; the longer one is laid to the longer one in the picture.

    Raises
    ------
    PhotoError
        There is no card, several may be meant, the corners are no card's, the card is clipped or
        too dark to tell the light.
    """
    where = photo.name
    if corners is None:
        quad = _only_card(even_quads(photo.linear), max(size_mm) / min(size_mm), where)
        at = quad.corners_px
    else:
        at = _checked_corners(np.asarray(corners, np.float64), photo)
    sides = np.linalg.norm(at - np.roll(at, -1, axis=0), axis=1)
    lying = sides[0] + sides[2] >= sides[1] + sides[3]
    longer, shorter = max(size_mm), min(size_mm)
    inside = _inside(photo, at)
    _check_exposure(photo, inside, where)
    return Card(
        at,
        (longer, shorter) if lying else (shorter, longer),
        photo.linear[inside].mean(axis=0, dtype=np.float64),
    )


def corrected(photo: Photo, card: Card, reflectance: float = REFLECTANCE) -> Corrected:
    """The photo by the card's white, exposure and fall-off.

    Parameters
    ----------
    reflectance
        Of the card, in (0, 1], alike at all wavelengths.

    Raises
    ------
    PhotoError
        The card lies in two lights, beside something that tints it, or partly in shade.
    """
    if not 0.02 <= reflectance <= 1.0:
        raise PhotoError(
            f"a card of reflectance {reflectance:g} cannot be measured by",
            where=photo.name,
            remedy="Give its reflectance as a share from 0.02 to 1, such as 0.18",
        )
    at_px, light, noise = _cells(photo, card)
    field, rest = fit_fall_off(at_px, light / reflectance, noise, photo.size_px)
    _check_light(light, rest, at_px, photo.name)
    return Corrected(photo.linear / field.whole(), field)


def homography(from_points: Floats, to_points: Floats) -> Floats:
    """The plane projective map of four points on four others: (4, 2), (4, 2) → (3, 3) float64.

    References
    ----------
    Hartley & Zisserman (2004), Multiple View Geometry, 2nd ed., sec. 4.1.
    """
    rows, right = [], []
    for (x, y), (u, v) in zip(from_points, to_points, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)


def through(matrix: Floats, points: ArrayLike) -> Floats:
    """Points through a homography: (..., 2) → (..., 2) float64."""
    flat = np.asarray(points, np.float64)
    mapped = np.concatenate([flat, np.ones((*flat.shape[:-1], 1))], axis=-1) @ matrix.T
    return np.asarray(mapped[..., :2] / mapped[..., 2:])


def _only_card(quads: list[Quad], aspect: float, where: str) -> Quad:
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


def _checked_corners(corners: Floats, photo: Photo) -> Floats:
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


def _places(photo: Photo, corners: Floats) -> tuple[tuple[slice, slice], Floats]:
    """The box about a quadrilateral, and its pixels' places in it from 0 to 1: (h, w, 2)."""
    width, height = photo.size_px
    x0, y0 = np.maximum(np.floor(corners.min(axis=0)).astype(int), 0)
    x1, y1 = np.minimum(np.ceil(corners.max(axis=0)).astype(int) + 1, [width, height])
    unit = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    pixels = np.stack(np.meshgrid(np.arange(x0, x1), np.arange(y0, y1)), axis=-1)
    return (slice(y0, y1), slice(x0, x1)), through(homography(corners, unit), pixels)


def _inside(photo: Photo, corners: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    box, unit = _places(photo, corners)
    rows, columns = np.nonzero(((unit > _INNER) & (unit < 1.0 - _INNER)).all(axis=-1))
    return rows + box[0].start, columns + box[1].start


def _cells(photo: Photo, card: Card) -> tuple[Floats, Floats, Floats]:
    """Middles (n, 2) px, mean light (n, 3) and its relative noise (n,) over the card."""
    box, unit = _places(photo, card.corners_px)
    inner = ((unit > _INNER) & (unit < 1.0 - _INNER)).all(axis=-1)
    counts = _CELLS if card.size_mm[0] >= card.size_mm[1] else _CELLS[::-1]
    cell = np.floor((unit[inner] - _INNER) / (1.0 - 2.0 * _INNER) * counts).astype(np.intp)
    which = cell[:, 1] * counts[0] + cell[:, 0]
    values = np.maximum(photo.linear[box][inner].astype(np.float64), 1e-6)
    rows, columns = np.nonzero(inner)
    places = np.stack([columns + box[1].start, rows + box[0].start], axis=-1).astype(np.float64)
    count = np.bincount(which, minlength=counts[0] * counts[1])

    def mean(of: Floats) -> Floats:
        sums = [np.bincount(which, weights=axis, minlength=len(count)) for axis in of.T]
        return np.stack(sums, axis=-1) / np.maximum(count, 1)[:, None]

    light = mean(values)
    spread = np.sqrt(np.maximum(mean(values**2) - light**2, 0.0)) / np.maximum(light, 1e-6)
    full = count >= _LEAST_CELL_PX
    noise = spread.mean(axis=1) / np.sqrt(np.maximum(count / 4.0, 1.0))  # JPEG ties neighbours
    return mean(places)[full], light[full], noise[full]


def _check_exposure(
    photo: Photo, inside: tuple[NDArray[np.intp], NDArray[np.intp]], where: str
) -> None:
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


def _check_light(light: Floats, rest: Floats, at_px: Floats, where: str) -> None:
    """Refuse what the card itself shows of mixed light."""
    logs = np.log(light)
    terms = np.concatenate([np.ones((len(at_px), 1)), at_px - at_px.mean(axis=0)], axis=1)
    colours = np.stack([logs[:, 0] - logs[:, 1], logs[:, 2] - logs[:, 1]], axis=-1)
    slopes = np.linalg.lstsq(terms, colours, rcond=None)[0]
    plane = terms @ slopes
    change = (
        plane[plane[:, np.abs(np.ptp(plane, axis=0)).argmax()].argmax()]
        - plane[plane[:, np.abs(np.ptp(plane, axis=0)).argmax()].argmin()]
    )
    if np.abs(change).max() > _MOST_COLOUR_CHANGE:
        raise _two_lights(where) if _from_lamp_to_lamp(change) else _tinted(where)
    if np.sqrt((rest.mean(axis=1) ** 2).mean()) > _MOST_UNEVEN:
        raise PhotoError(
            "a shadow or a reflection lies across the card",
            where=where,
            remedy="Turn the card or the lamp until it is evenly lit, and take the photo again",
        )


def _from_lamp_to_lamp(change: Floats) -> bool:
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
