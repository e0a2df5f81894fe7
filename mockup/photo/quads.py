"""Even quadrilaterals in a photo: where a card may lie, with corners to a fraction of a pixel."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import ConvexHull, QhullError

__all__ = ["Quad", "clockwise", "even_quads", "refined"]

Floats = NDArray[np.float64]

_LONG_SIDE_PX = 640  # of the picture that is searched
_SLOPES = (0.01, 0.02, 0.04)  # a pixel, of √light: what still counts as even
_LEAST_AREA, _MOST_AREA = 0.003, 0.6  # of the picture
_FILLED = 0.85  # of the quadrilateral by its own even pixels; the rest is its blurred rim
_LEAST_ANGLE_DEG, _MOST_ANGLE_DEG = 45.0, 135.0
_RIM_PX = 4  # of the searched picture, to either side of an edge
_PROFILES = 48  # across each edge
_CONTRAST = 0.03  # of √light, that an edge has at least


@dataclass(frozen=True, slots=True, eq=False)
class Quad:
    """An even area: `corners_px` (4, 2) float64, clockwise from the top left; mean `rgb` (3,)."""

    corners_px: Floats
    rgb: Floats

    @property
    def aspect(self) -> float:
        """Longer over shorter side, by the means of opposite sides."""
        sides = np.linalg.norm(self.corners_px - np.roll(self.corners_px, -1, axis=0), axis=1)
        across, down = sides[0] + sides[2], sides[1] + sides[3]
        return float(max(across, down) / min(across, down))


def even_quads(linear: NDArray[np.float32], *, least_area: float = _LEAST_AREA) -> list[Quad]:
    """Every even quadrilateral that lies whole within the picture, each once.

    Parameters
    ----------
    linear : (h, w, 3) float32, linear light
    least_area
        Of the picture, that one has.
    """
    step = max(1, round(max(linear.shape[:2]) / _LONG_SIDE_PX))
    root = np.sqrt(np.maximum(_reduced(linear, step), 0.0))
    smooth = ndimage.gaussian_filter(root, (1.2, 1.2, 0))
    slopes = [ndimage.sobel(smooth, axis=axis) / 8.0 for axis in (0, 1)]
    steepness = np.sqrt(sum(slope**2 for slope in slopes)).max(axis=-1)
    found: list[Quad] = []
    for limit in _SLOPES:
        for corners, inside in _areas(steepness < limit, least_area):
            px = (corners + 0.5) * step - 0.5
            if any(_same(px, other.corners_px) for other in found):
                continue
            side = float(np.sqrt(_area(px)))  # of patches of a chart, the next one is near
            rim_px = min(_RIM_PX * step, 0.1 * side)
            rough = refined(linear, px, rim_px=min(2 * _RIM_PX * step, 0.17 * side))
            whole = None if rough is None else refined(linear, rough, rim_px=max(rim_px, 2.0))
            if whole is None or any(_same(whole, other.corners_px) for other in found):
                continue
            found.append(Quad(whole, (root[inside] ** 2).mean(axis=0)))
    return found


def clockwise(corners_px: Floats) -> Floats:
    """Corners clockwise as seen, from the one nearest to the picture's top left."""
    middle = corners_px.mean(axis=0)
    turn = np.arctan2(*(corners_px - middle).T[::-1])
    ordered = corners_px[np.argsort(turn)]
    return np.roll(ordered, -int(ordered.sum(axis=1).argmin()), axis=0)


def refined(linear: NDArray[np.float32], corners_px: Floats, *, rim_px: float) -> Floats | None:
    """Corners where the lines through its edges meet, or None where an edge cannot be seen.

    Each edge is looked for where light is halfway between inside and outside, within `rim_px`.
    """
    lines = []
    for i in range(4):
        line = _edge(linear, corners_px[i], corners_px[(i + 1) % 4], rim_px)
        if line is None:
            return None
        lines.append(line)
    return np.array([_meeting(lines[i - 1], lines[i]) for i in range(4)])


def _reduced(linear: NDArray[np.float32], step: int) -> Floats:
    height, width = (side // step * step for side in linear.shape[:2])
    blocks = linear[:height, :width].reshape(height // step, step, width // step, step, 3)
    return np.asarray(blocks.mean(axis=(1, 3), dtype=np.float64))


def _areas(
    even: NDArray[np.bool_], least_area: float
) -> Iterator[tuple[Floats, tuple[NDArray[np.intp], NDArray[np.intp]]]]:
    """Corners of each even area that is a quadrilateral, and rows and columns of its pixels."""
    labels, _ = ndimage.label(even)
    areas = np.bincount(labels.ravel())
    rim = np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]]))
    boxes = ndimage.find_objects(labels)
    for label in np.flatnonzero(areas >= least_area * even.size):
        if label == 0 or label in rim or areas[label] > _MOST_AREA * even.size:
            continue
        rows, columns = boxes[label - 1]
        part = np.nonzero(labels[rows, columns] == label)
        inside = part[0] + rows.start, part[1] + columns.start
        corners = _corners(np.stack(inside[::-1], axis=-1).astype(np.float64))
        if corners is not None and areas[label] >= _FILLED * _area(corners):
            yield corners, inside


def _corners(points: Floats) -> Floats | None:
    """The hull's four corners: the others are dropped in the order of the area they hold."""
    try:
        hull = points[ConvexHull(points).vertices]
    except QhullError:
        return None
    while len(hull) > 4:
        ahead, behind = np.roll(hull, -1, axis=0) - hull, np.roll(hull, 1, axis=0) - hull
        hull = np.delete(hull, np.abs(_cross(ahead, behind)).argmin(), axis=0)
    if len(hull) < 4:
        return None
    corners = clockwise(hull)
    return corners if _square_enough(corners) else None


def _square_enough(corners: Floats) -> bool:
    ahead, behind = np.roll(corners, -1, axis=0) - corners, np.roll(corners, 1, axis=0) - corners
    cosine = (ahead * behind).sum(1) / np.maximum(
        np.linalg.norm(ahead, axis=1) * np.linalg.norm(behind, axis=1), 1e-9
    )
    angle = np.degrees(np.arccos(np.clip(cosine, -1, 1)))
    return bool((angle > _LEAST_ANGLE_DEG).all() and (angle < _MOST_ANGLE_DEG).all())


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _area(corners: Floats) -> float:
    return float(abs(_cross(corners, np.roll(corners, -1, axis=0)).sum()) / 2.0)


def _same(a: Floats, b: Floats) -> bool:
    shift = np.linalg.norm(a.mean(axis=0) - b.mean(axis=0))
    return bool(shift < 0.25 * np.sqrt(_area(a)) and 0.5 < _area(a) / max(_area(b), 1e-9) < 2.0)


def _edge(
    linear: NDArray[np.float32], start: Floats, end: Floats, rim_px: float
) -> tuple[Floats, Floats] | None:
    """A point of the edge and its direction."""
    along = end - start
    out = np.array([along[1], -along[0]]) / np.linalg.norm(along)  # clockwise: outside is left
    at = start + np.linspace(0.12, 0.88, _PROFILES)[:, None] * along
    reach = np.linspace(-rim_px, rim_px, int(8 * rim_px) + 1)
    places = at[:, None] + reach[None, :, None] * out
    profiles = np.maximum(_sampled(linear, places), 0.0)  # blur mixes light, not codes
    ends = max(2, len(reach) // 6)
    inside, outside = profiles[:, :ends].mean(axis=1), profiles[:, -ends:].mean(axis=1)
    step = outside - inside
    height = np.linalg.norm(step, axis=-1)
    seen = np.linalg.norm(np.sqrt(outside) - np.sqrt(inside), axis=-1) > _CONTRAST
    if seen.sum() < _PROFILES // 2:
        return None
    share = ((profiles - inside[:, None]) * step[:, None]).sum(-1) / np.maximum(height, 1e-9)[
        :, None
    ] ** 2
    points = at[seen] + _crossing(share[seen], reach)[:, None] * out
    return _line(points, along)


def _sampled(linear: NDArray[np.float32], places: Floats) -> Floats:
    """Bilinear: (..., 2) px → (..., 3)."""
    rows_columns = np.moveaxis(places[..., ::-1], -1, 0)
    box = _box(places, linear.shape)
    part = linear[box].astype(np.float64)
    shifted = rows_columns - np.array([box[0].start, box[1].start]).reshape(2, 1, 1)
    return np.stack(
        [ndimage.map_coordinates(part[..., i], shifted, order=1, mode="nearest") for i in range(3)],
        axis=-1,
    )


def _box(places: Floats, shape: tuple[int, ...]) -> tuple[slice, slice]:
    low, high = places.min(axis=(0, 1)) - 2, places.max(axis=(0, 1)) + 3
    (x0, y0), (x1, y1) = np.floor(low).astype(int), np.ceil(high).astype(int)
    x0, y0 = min(max(x0, 0), shape[1] - 2), min(max(y0, 0), shape[0] - 2)
    return slice(y0, max(y1, y0 + 2)), slice(x0, max(x1, x0 + 2))


def _crossing(share: Floats, reach: Floats) -> Floats:
    """Where each profile passes one half, from the inside out, between two samples."""
    over = share >= 0.5
    at = np.clip(over.argmax(axis=1), 1, len(reach) - 1)
    row = np.arange(len(share))
    low, high = share[row, at - 1], share[row, at]
    part = np.clip((0.5 - low) / np.where(high - low > 1e-9, high - low, 1.0), 0.0, 1.0)
    return np.asarray(reach[at - 1] + part * (reach[at] - reach[at - 1]))


def _line(points: Floats, along: Floats) -> tuple[Floats, Floats]:
    """Least squares without the outliers: a tenth of a pixel's noise, a thumb over the edge."""
    for _ in range(3):
        middle = points.mean(axis=0)
        direction = np.linalg.svd(points - middle, full_matrices=False)[2][0]
        apart = np.abs(_cross(points - middle, direction))
        keep = apart <= max(2.5 * float(np.median(apart)), 0.05)
        if keep.all() or keep.sum() < 8:
            break
        points = points[keep]
    return middle, direction if direction @ along > 0 else -direction


def _meeting(a: tuple[Floats, Floats], b: tuple[Floats, Floats]) -> Floats:
    across = _cross(a[1], b[1])
    t = _cross(b[0] - a[0], b[1]) / (across if abs(across) > 1e-9 else 1e-9)
    return np.asarray(a[0] + t * a[1])
