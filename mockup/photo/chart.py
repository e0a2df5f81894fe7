"""A chart of 24 patches in a photo: found by its patches, and the photo by their known colours.

The greys tell the light and the camera's tone curve; all patches together tell how light falls off
and what the camera's own matrix gets wrong. So a chart leaves less unsure than a card does.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.chart import CHART_COLUMNS, CHART_ROWS, GREYS, chart_reflectances
from mockup.colorimetry.difference import XYZ_FROM_LINEAR_SRGB
from mockup.colorimetry.spectra import linear_srgb_weights
from mockup.photo.fall_off import FallOff, fit_fall_off
from mockup.photo.plane import UNIT_SQUARE, homography, through
from mockup.photo.quads import Quad, even_quads

__all__ = ["Chart", "ChartFit", "find_chart", "fit_chart"]

Floats = NDArray[np.float64]

_LEAST_AREA = 0.0006  # of the picture, that a patch has
_LEAST_PATCHES = 12  # of 24, found by themselves
_ALIKE_SIDES = 1.4  # factor between the sides of patches
_PITCHES = (1.0, 1.7)  # from patch to patch, over a patch's side
_OFF_GRID = 0.2  # of a pitch
_MOST_UNLIKE = 0.4  # rms of ln light beside the reference: more is another thing
_DARKEST = 0.03  # of a perfect white, added before logarithms: less is veil and noise
_INNER = 0.2  # of a patch's side, to each side of its middle
_PATCH = 0.4  # of a pitch, from a patch's middle to its rim
_RIDGE = 0.02  # pull of the matrix to one that changes nothing
_NOISE, _COLOUR_NOISE = 0.03, 0.02  # of patches beside a smooth surface
_ROUNDS = 6  # by which the fit stands still
_BRIGHTEST = 0.9  # of the photo's range: a patch that is brighter may be clipped
_LUMINANCE = XYZ_FROM_LINEAR_SRGB[1]


@dataclass(frozen=True, slots=True, eq=False)
class Chart:
    """Where its patches lie, row by row from the dark skin, and what they show.

    Attributes
    ----------
    at_px : (24, 2) float64
    rgb : (24, 3) float64
        Mean linear light.
    corners_px : (4, 2) float64
        Of the whole chart, clockwise as seen, from its dark skin's corner.
    quarter_turns
        How often it is turned to the right: 2 is upside down.
    """

    at_px: Floats
    rgb: Floats
    corners_px: Floats
    quarter_turns: int


@dataclass(frozen=True, slots=True, eq=False)
class ChartFit:
    """What the patches tell of camera and light.

    Attributes
    ----------
    tone
        Exponent of light that the camera's own curve adds.
    matrix : (3, 3) float64
        From the camera's colours, white by the greys, to those of the observer; white stays.
    fall_off
        Light of a perfect white at every place, the tone curve undone.
    """

    tone: float
    matrix: Floats
    fall_off: FallOff


def find_chart(linear: NDArray[np.float32], corners_px: Floats | None = None) -> Chart | None:
    """The chart, or None.

    Parameters
    ----------
    linear : (h, w, 3) float32
    corners_px : (4, 2) float64, or None
        Outer corners of the four patches in its corners, in any turn.
    """
    if corners_px is not None:
        found = [homography(UNIT_SQUARE * [CHART_COLUMNS, CHART_ROWS] - 0.5, corners_px)]
        found.append(homography(UNIT_SQUARE * [CHART_ROWS, CHART_COLUMNS] - 0.5, corners_px))
    else:
        found = list(_lattices(even_quads(linear, least_area=_LEAST_AREA)))
    best = min(
        (_read(linear, px_from_grid, turns) for px_from_grid in found for turns in range(4)),
        key=lambda one: one[0],
        default=None,
    )
    return best[1] if best is not None and best[0] < _MOST_UNLIKE else None


def fit_chart(chart: Chart, light: str, size_px: tuple[int, int]) -> ChartFit:
    """Tone, matrix and fall-off by the reference under a light.

    Each is fitted to what the two others leave, in turn: the greys lie in one row from white to
    black, so that a tone curve looks like a slope of the light, and wrong colours look like either.

    Parameters
    ----------
    size_px
        Width and height of the photo.

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    wanted = np.maximum(chart_reflectances() @ linear_srgb_weights(light), 1e-3)
    rgb, known = np.maximum(chart.rgb, 1e-5), wanted @ _LUMINANCE
    use = rgb.max(axis=1) < _BRIGHTEST
    use[-1] = False  # the black holds mostly veil
    tone, matrix, shade = 1.0, np.eye(3), np.ones((24, 1))
    for _ in range(_ROUNDS):
        straight = rgb ** (1.0 / tone) / shade
        white = (straight[GREYS] / wanted[GREYS])[:-1].mean(axis=0)
        matrix = _matrix(straight / white, wanted)
        seen = straight / white @ matrix.T @ _LUMINANCE
        tone *= float(np.polyfit(np.log(known[use]), np.log(seen[use]), 1)[0])
        tone = float(np.clip(tone, 0.7, 1.5))
        brightness = rgb ** (1.0 / tone) / white @ matrix.T @ _LUMINANCE / known
        fall_off, _ = fit_fall_off(
            chart.at_px[use], (brightness[:, None] * white)[use], np.full(24, _NOISE)[use],
            _COLOUR_NOISE, size_px, independent=24.0,
        )  # fmt: skip
        shade = (fall_off.white(chart.at_px) / white).mean(axis=1, keepdims=True)
    return ChartFit(tone, matrix, fall_off)


def _matrix(seen: Floats, wanted: Floats) -> Floats:
    """From seen colours to those wanted, dark ones as much as pale ones: (3, 3)."""
    weight = 1.0 / (wanted.mean(axis=1, keepdims=True) + 0.05)
    ridge = _RIDGE * len(seen) * np.eye(3)
    held = 100.0 * np.ones((1, 3))  # white stays white
    left = np.concatenate([seen * weight, ridge, held])
    right = np.concatenate([wanted * weight, ridge, held])
    return np.asarray(np.linalg.lstsq(left, right, rcond=None)[0].T, np.float64)


def _lattices(quads: list[Quad]) -> Iterator[Floats]:
    """Maps from a grid of 6 × 4 or 4 × 6 whole numbers to pixels, from patches that lie so."""
    tried: set[int] = set()
    for seed in range(len(quads)):
        if seed in tried:
            continue
        cells = _neighbours(quads, seed)
        tried.update(cells)
        if len(cells) < _LEAST_PATCHES:
            continue
        grid = np.array(list(cells.values()))
        px = np.stack([quads[i].corners_px.mean(axis=0) for i in cells])
        low, span = grid.min(axis=0), np.ptp(grid, axis=0) + 1
        for size in ((CHART_COLUMNS, CHART_ROWS), (CHART_ROWS, CHART_COLUMNS)):
            free = np.array(size) - span
            if (free < 0).any():
                continue
            for right in range(free[0] + 1):
                for down in range(free[1] + 1):
                    yield _least_squares(grid - low + [right, down], px)


def _neighbours(quads: list[Quad], seed: int) -> dict[int, tuple[int, int]]:
    """Patches that can be walked to from one to the next, by their place in the grid."""
    middles = np.stack([quad.corners_px.mean(axis=0) for quad in quads])
    across = np.stack([_side(quad, 0) for quad in quads])
    down = np.stack([_side(quad, 1) for quad in quads])
    sides = np.stack([np.linalg.norm(across, axis=1), np.linalg.norm(down, axis=1)], axis=-1)
    found, open_ = {seed: (0, 0)}, [seed]
    while open_:
        i = open_.pop()
        steps = np.linalg.solve(np.stack([across[i], down[i]], axis=-1), (middles - middles[i]).T).T
        alike = (np.abs(np.log(sides / sides[i])) < np.log(_ALIKE_SIDES)).all(axis=1)
        for axis, sign in ((0, 1), (0, -1), (1, 1), (1, -1)):
            ahead, beside = sign * steps[:, axis], np.abs(steps[:, 1 - axis])
            near = alike & (ahead > _PITCHES[0]) & (ahead < _PITCHES[1]) & (beside < _OFF_GRID)
            for j in np.flatnonzero(near):
                if int(j) not in found:
                    place = list(found[i])
                    place[axis] += sign
                    found[int(j)] = (place[0], place[1])
                    open_.append(int(j))
    return found


def _side(quad: Quad, axis: int) -> Floats:
    """Mean vector of two opposite sides: 0 across, 1 down."""
    a, b, c, d = quad.corners_px
    return np.asarray((b - a + c - d) / 2.0 if axis == 0 else (d - a + c - b) / 2.0)


def _least_squares(grid: Floats, px: Floats) -> Floats:
    """Homography by many points; Hartley & Zisserman (2004) sec. 4.1."""
    (x, y), (u, v) = grid.T.astype(np.float64), px.T
    one, zero = np.ones_like(x), np.zeros_like(x)
    upper = np.stack([x, y, one, zero, zero, zero, -u * x, -u * y], axis=-1)
    lower = np.stack([zero, zero, zero, x, y, one, -v * x, -v * y], axis=-1)
    terms, values = np.concatenate([upper, lower]), np.concatenate([u, v])
    return np.append(np.linalg.lstsq(terms, values, rcond=None)[0], 1.0).reshape(3, 3)


def _read(linear: NDArray[np.float32], px_from_grid: Floats, turns: int) -> tuple[float, Chart]:
    """How unlike the reference the patches are when the chart is turned so, and the patches."""
    columns, rows = np.meshgrid(np.arange(CHART_COLUMNS), np.arange(CHART_ROWS))
    own = np.stack([columns, rows], axis=-1).reshape(-1, 2).astype(np.float64)
    last = np.array([CHART_COLUMNS - 1.0, CHART_ROWS - 1.0])
    rim = np.array([[-_PATCH, -_PATCH], [last[0] + _PATCH, -_PATCH], last + _PATCH,
                    [-_PATCH, last[1] + _PATCH]])  # fmt: skip
    at_px = through(px_from_grid, _turned(own, turns, last))
    height, width = linear.shape[:2]
    chart_px = through(px_from_grid, _turned(rim, turns, last))
    if (chart_px < -0.5).any() or (chart_px > np.array([width, height]) - 0.5).any():
        return np.inf, Chart(at_px, np.zeros((24, 3)), chart_px, turns)
    inner = _INNER * np.stack(np.meshgrid(*[np.linspace(-1, 1, 7)] * 2), axis=-1).reshape(-1, 2)
    places = through(px_from_grid, _turned(own[:, None] + inner, turns, last))
    x, y = np.rint(np.moveaxis(places, -1, 0)).astype(np.intp)
    rgb = linear[y.clip(0, height - 1), x.clip(0, width - 1)].mean(axis=1, dtype=np.float64)
    wanted = chart_reflectances() @ linear_srgb_weights("D65")
    white = np.maximum((rgb[GREYS] / wanted[GREYS]).mean(axis=0), 1e-6)
    seen, known = (np.log(np.maximum(light, 0.0) + _DARKEST) for light in (rgb / white, wanted))
    unlike = float(np.sqrt(((seen - known) ** 2).mean()))
    return unlike, Chart(at_px, rgb, chart_px, turns)


def _turned(own: Floats, turns: int, last: Floats) -> Floats:
    """Places in the grid as seen, of places in the chart that is turned to the right so often."""
    x, y = own[..., 0], own[..., 1]
    match turns:
        case 0:
            return own
        case 1:
            return np.stack([last[1] - y, x], axis=-1)
        case 2:
            return np.stack([last[0] - x, last[1] - y], axis=-1)
        case _:
            return np.stack([y, last[0] - x], axis=-1)
