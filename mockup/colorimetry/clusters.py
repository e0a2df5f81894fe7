"""The colours of a picture with their shares: clusters in Oklab, near duplicates merged by ΔE00.

No chance is in it: the same pixels give the same colours. Transparent pixels count by their
opacity.

References
----------
Lloyd (1982), Least squares quantization in PCM, doi:10.1109/TIT.1982.1056489.
Ward (1963), Hierarchical grouping to optimize an objective function,
doi:10.1080/01621459.1963.10500845.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.difference import delta_e_2000, lab_from_rgb8
from mockup.colorimetry.oklab import hex_from_oklab, oklab_from_rgb8
from mockup.errors import DesignError

__all__ = ["DUPLICATES_DELTA_E", "PictureColour", "picture_colours"]

Floats = NDArray[np.float64]

DUPLICATES_DELTA_E = 6.0  # ΔE00; nearer colours are one to whoever chooses jars from a picture
FEWEST, MOST = 1, 24
_SEEDS = 32
_ROUNDS = 60
_STILL = 1e-5  # Oklab; the clusters' middles have come to rest
_STEP = 8  # sRGB codes a bin is wide, so that a photo has some thousand of them
_FLAT_SHARE = 0.25  # of a cluster in one very colour: artwork, whose colours come out exactly
_EDGES_SHARE = 0.004  # of the picture; edges between two areas, not colours of their own
_NOISE_SHARE = 0.01  # of the picture; what is near another colour is a camera's noise


@dataclass(frozen=True, slots=True)
class PictureColour:
    """One colour of a picture, ``#rrggbb``, and its share of what is opaque, in (0, 1]."""

    srgb: str
    share: float


@dataclass(frozen=True, slots=True)
class _Counted:
    """Distinct colours: (n, 3) uint8, (n, 3) Oklab, and (n,) weights that add up to 1."""

    rgb8_srgb: NDArray[np.uint8]
    oklab: Floats
    weight: Floats


def picture_colours(rgba8_srgb: NDArray[np.uint8], *, most: int = 8) -> tuple[PictureColour, ...]:
    """The colours of a picture, the largest share first; shares add up to 1.

    Parameters
    ----------
    rgba8_srgb : (rows, columns, 3 or 4) uint8, sRGB codes and straight alpha
    most
        Colours at most; fewer where the picture has no more.

    Raises
    ------
    DesignError
        The picture is transparent throughout, or the count is not 1 to 24.
    """
    if not FEWEST <= most <= MOST:
        raise DesignError(
            f"{most} colours cannot be pulled out",
            where="picture",
            remedy=f"Ask for {FEWEST} to {MOST}",
        )
    counted = _counted(rgba8_srgb)
    groups = _merged(counted, _clusters(counted), most)
    shares = np.array([counted.weight[group].sum() for group in groups])
    order = sorted(range(len(groups)), key=lambda i: (-shares[i], groups[i][0]))
    return tuple(PictureColour(_told(counted, groups[i]), float(shares[i])) for i in order)


def _counted(rgba8_srgb: NDArray[np.uint8]) -> _Counted:
    pixels = rgba8_srgb.reshape(-1, rgba8_srgb.shape[-1])
    opacity = pixels[:, 3].astype(np.float64) if pixels.shape[1] == 4 else np.ones(len(pixels))
    if not opacity.any():
        raise DesignError(
            "it is transparent throughout and has no colours",
            where="picture",
            remedy="Name a picture with something in it",
        )
    seen = pixels[opacity > 0].astype(np.uint32)
    codes = seen[:, 0] << 16 | seen[:, 1] << 8 | seen[:, 2]
    distinct, which = np.unique(codes, return_inverse=True)
    weight = np.bincount(which, weights=opacity[opacity > 0])
    rgb8 = np.stack([distinct >> 16, distinct >> 8 & 255, distinct & 255], axis=-1).astype(np.uint8)
    return _Counted(rgb8, oklab_from_rgb8(rgb8), weight / weight.sum())


def _clusters(counted: _Counted) -> list[NDArray[np.intp]]:
    """Indices of the distinct colours in each cluster: Lloyd's rounds over coarse bins."""
    bins = counted.rgb8_srgb.astype(np.int64) // _STEP
    keys = bins[:, 0] << 16 | bins[:, 1] << 8 | bins[:, 2]
    _, which = np.unique(keys, return_inverse=True)
    points, weight = _means(counted.oklab, counted.weight, which)
    middles = _seeds(points, weight)
    for _ in range(_ROUNDS):
        _, nearest = np.unique(_nearest(points, middles), return_inverse=True)  # none is empty
        moved, _ = _means(points, weight, nearest)
        still = len(moved) == len(middles) and np.abs(moved - middles).max() < _STILL
        middles = moved
        if still:
            break
    nearest = _nearest(points, middles)[which]
    groups = [np.flatnonzero(nearest == i) for i in range(len(middles))]
    return [group for group in groups if len(group)]


def _means(points: Floats, weight: Floats, which: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """Weighted mean and weight of the points of each group."""
    total = np.bincount(which, weights=weight)
    sums = [np.bincount(which, weights=weight * axis) for axis in points.T]
    return np.stack(sums, axis=-1) / total[:, None], np.asarray(total, np.float64)


def _seeds(points: Floats, weight: Floats) -> Floats:
    """The heaviest point, then each time the one that is told worst by those there are."""
    chosen = [int(weight.argmax())]
    far = _squared(points, points[chosen[0]])
    while len(chosen) < min(_SEEDS, len(points)):
        worst = int((weight * far).argmax())
        if far[worst] == 0.0:
            break
        chosen.append(worst)
        far = np.minimum(far, _squared(points, points[worst]))
    return points[chosen]


def _squared(points: Floats, middle: Floats) -> Floats:
    return np.asarray(((points - middle) ** 2).sum(axis=-1))


def _nearest(points: Floats, middles: Floats) -> NDArray[np.intp]:
    distances = np.stack([_squared(points, middle) for middle in middles], axis=-1)
    return np.asarray(distances.argmin(axis=-1))


def _merged(counted: _Counted, groups: list[NDArray[np.intp]], most: int) -> list[NDArray[np.intp]]:
    """Join what is one colour to the eye, then slivers, then what costs least, down to `most`."""
    while len(groups) > 1:
        weight = np.array([counted.weight[group].sum() for group in groups])
        told = [bytes.fromhex(_told(counted, group)[1:]) for group in groups]
        pair = _pair_to_join(np.array([list(codes) for codes in told], np.uint8), weight, most)
        if pair is None:
            break
        joined = np.sort(np.concatenate([groups[i] for i in pair]))
        groups = [group for i, group in enumerate(groups) if i not in pair] + [joined]
    return groups


def _pair_to_join(
    rgb8_srgb: NDArray[np.uint8], weight: Floats, most: int
) -> tuple[int, int] | None:
    lab = lab_from_rgb8(rgb8_srgb)
    apart = delta_e_2000(lab[:, None], lab[None, :])
    np.fill_diagonal(apart, np.inf)
    if apart.min() < DUPLICATES_DELTA_E:
        return _least(apart)
    sliver = int(weight.argmin())
    close = apart[sliver].min() < 2.0 * DUPLICATES_DELTA_E
    if weight[sliver] < (_NOISE_SHARE if close else _EDGES_SHARE):
        return sliver, int(apart[sliver].argmin())
    if len(weight) <= most:
        return None
    # Ward (1963): what the sum of squares grows by; roots, so that a small vivid area outlives
    # the shades of a large grey one
    pull = np.sqrt(weight)
    return _least(apart**2 * pull[:, None] * pull / (pull[:, None] + pull))


def _least(cost: Floats) -> tuple[int, int]:
    i, j = np.unravel_index(int(cost.argmin()), cost.shape)
    return int(i), int(j)


def _told(counted: _Counted, group: NDArray[np.intp]) -> str:
    """The colour that stands for a group: its most frequent one in flat artwork, else its mean."""
    weight = counted.weight[group]
    top = int(weight.argmax())
    if weight[top] >= _FLAT_SHARE * weight.sum():
        return f"#{counted.rgb8_srgb[group[top]].tobytes().hex()}"
    return hex_from_oklab(weight @ counted.oklab[group] / weight.sum())
