"""The neutral card in a photo: where it lies, what light falls on it, and the photo by its white.

A card of known reflectance tells the light's colour, the exposure and, over its own area, how light
falls off. Divided by that, the photo holds reflectances as a camera's three channels see them.

Limits. The card says nothing of what lies in another light than it does; what can be told of such
faults from the card itself is refused, with what to do.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.srgb import srgb_from_linear
from mockup.errors import PhotoError
from mockup.photo.card_corners import checked_corners, only_card
from mockup.photo.chart import Chart, find_chart, fit_chart
from mockup.photo.fall_off import FallOff, fit_fall_off
from mockup.photo.faults import check_exposure, check_light
from mockup.photo.picture import Photo
from mockup.photo.plane import UNIT_SQUARE, area_px, homography, through
from mockup.photo.quads import even_quads

__all__ = [
    "CARD_MM",
    "REFLECTANCE",
    "Card",
    "Corrected",
    "corrected",
    "find_card",
    "find_chart_card",
]

Floats = NDArray[np.float64]

CARD_MM = (85.60, 53.98)  # ISO/IEC 7810:2019, ID-1: the size of bank cards and of many grey cards
REFLECTANCE = 0.18  # of a middle grey card, typical; the card's own data sheet stands above it
CARD_TOLERANCE = 0.02  # of the reflectance, relative; typical of a printed card
_CELLS = (16, 10)  # over the card, along its longer and shorter side
_INNER = 0.08  # of a side, left out at each rim
_LEAST_CELL_PX = 4
# A JPEG rounds the mean of a block to about ±0.3 codes of brightness and of each colour difference,
# alike all over an even card: ITU-R BT.601 makes that so many codes of red, green and blue.
_ROUNDING_CODES = np.array([0.5, 0.4, 0.6])
_MIDDLE_GREY = 21  # patch of a chart; reflectance about 0.2
# An even card lies on few of the steps in which JPEG rounds, and where one step goes over into the
# next looks like a slope: so many cells tell by themselves of light and of colours, and light is
# rounded less. Held to photos in tests.
_LIGHT_STEPS, _COLOUR_STEPS = 24, 4
_LIGHT_ROUNDING = 1.0 / 3.0  # of that of colours
_CHART_CAMERA = 0.6  # of a camera's errors, left by a matrix that is fitted to 24 patches
_JPEG_BLOCK_PX = 16  # over which JPEG's halved colour is one


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
        Mean linear light of its inner part; of a chart, that of a middle grey.
    chart
        Where it is no card but a chart.
    """

    corners_px: Floats
    size_mm: tuple[float, float]
    rgb: Floats
    chart: Chart | None = None

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
    rounding : (3,) float64
        Relative standard deviation of the card's own light by the rounding of JPEG.
    camera
        Share that is left of what a camera's matrix and tone curve get wrong: 1 by a card.
    """

    rgb: NDArray[np.float32]
    fall_off: FallOff
    rounding: Floats
    camera: float = 1.0

    def covariance(self, at_px: ArrayLike) -> Floats:
        """Of ln rgb at a place, (2,) px → (3, 3) float64: fall-off and the card's own tolerance.

        It holds for all of a small area together and does not average out over it.
        """
        tolerance = CARD_TOLERANCE**2 * np.ones((3, 3))
        return self.fall_off.covariance(at_px) + tolerance + np.diag(self.rounding**2)


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
        quad = only_card(even_quads(photo.linear), max(size_mm) / min(size_mm), where)
        at = quad.corners_px
    else:
        at = checked_corners(np.asarray(corners, np.float64), photo)
    sides = np.linalg.norm(at - np.roll(at, -1, axis=0), axis=1)
    lying = sides[0] + sides[2] >= sides[1] + sides[3]
    longer, shorter = max(size_mm), min(size_mm)
    inside = _inside(photo, at)
    check_exposure(photo, inside, where)
    return Card(
        at,
        (longer, shorter) if lying else (shorter, longer),
        photo.linear[inside].mean(axis=0, dtype=np.float64),
    )


def corrected(
    photo: Photo, card: Card, reflectance: float = REFLECTANCE, light: str | None = None
) -> Corrected:
    """The photo by the card's white, exposure and fall-off, or by all that a chart tells.

    Parameters
    ----------
    reflectance
        Of the card, in (0, 1], alike at all wavelengths; a chart has its own.
    light
        CIE name of the photo's light, under which a chart's colours are known.

    Raises
    ------
    PhotoError
        The card lies in two lights, beside something that tints it, or partly in shade.
    """
    if card.chart is not None:
        return _by_chart(photo, card, card.chart, light or "D65")
    if not 0.02 <= reflectance <= 1.0:
        raise PhotoError(
            f"a card of reflectance {reflectance:g} cannot be measured by",
            where=photo.name,
            remedy="Give its reflectance as a share from 0.02 to 1, such as 0.18",
        )
    at_px, seen, noise = _cells(photo, card)
    blocks = max(area_px(card.corners_px) / _JPEG_BLOCK_PX**2, 1.0)
    rounding, count = _rounding(card), len(at_px)
    rounded = float(rounding.mean())
    noise = np.hypot(noise, _LIGHT_ROUNDING * rounded * np.sqrt(count / _LIGHT_STEPS))
    colour_noise = rounded * float(np.sqrt(count / _COLOUR_STEPS))
    field, rest = fit_fall_off(
        at_px, seen / reflectance, noise, colour_noise, photo.size_px, independent=blocks
    )
    check_light(seen, rest, at_px, blocks, photo.name)
    return Corrected(photo.linear / field.whole(), field, rounding)


def find_chart_card(
    photo: Photo, corners: ArrayLike | None, *, size_mm: tuple[float, float] = CARD_MM
) -> Card | None:
    """A chart of 24 patches in place of a card, or None where there is none.

    Parameters
    ----------
    corners : (4, 2) float, px, or None
        Of the whole field of patches, in any turn.
    size_mm
        Of that field.
    """
    chart = find_chart(photo.linear, None if corners is None else np.asarray(corners, np.float64))
    if chart is None:
        return None
    lying = chart.quarter_turns % 2 == 0
    longer, shorter = max(size_mm), min(size_mm)
    return Card(
        np.roll(chart.corners_px, chart.quarter_turns, axis=0),
        (longer, shorter) if lying else (shorter, longer),
        chart.rgb[_MIDDLE_GREY],
        chart,
    )


def _by_chart(photo: Photo, card: Card, chart: Chart, light: str) -> Corrected:
    fit = fit_chart(chart, light, photo.size_px)
    straight = np.maximum(photo.linear, 0.0) ** np.float32(1.0 / fit.tone) / fit.fall_off.whole()
    rgb = straight @ fit.matrix.T.astype(np.float32)
    return Corrected(np.asarray(rgb), fit.fall_off, _rounding(card), _CHART_CAMERA)


def _rounding(card: Card) -> Floats:
    codes = 255.0 * srgb_from_linear(np.clip(card.rgb, 1e-4, 1.0))
    return np.asarray(_ROUNDING_CODES * 2.4 / (codes + 0.055 * 255.0))  # IEC 61966-2-1, eq. 6


def _places(photo: Photo, corners: Floats) -> tuple[tuple[slice, slice], Floats]:
    """The box about a quadrilateral, and its pixels' places in it from 0 to 1: (h, w, 2)."""
    width, height = photo.size_px
    x0, y0 = np.maximum(np.floor(corners.min(axis=0)).astype(int), 0)
    x1, y1 = np.minimum(np.ceil(corners.max(axis=0)).astype(int) + 1, [width, height])
    pixels = np.stack(np.meshgrid(np.arange(x0, x1), np.arange(y0, y1)), axis=-1)
    return (slice(y0, y1), slice(x0, x1)), through(homography(corners, UNIT_SQUARE), pixels)


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
