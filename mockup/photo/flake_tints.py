"""The tints of strewn flakes: their light at its own full strength, clustered as any picture's."""

from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

from mockup.colorimetry.clusters import picture_colours
from mockup.colorimetry.difference import delta_e_2000, lab_from_rgb8
from mockup.colorimetry.oklab import linear_from_oklab, oklab_from_rgb8
from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_hex, rgb8_from_linear
from mockup.photo.flake_regions import Regions

__all__ = ["nearest_tint", "one_near_black", "tints_of"]

Floats = NDArray[np.float64]

_MOST_COLOURS = 6
_ONE_TINT = 12.0  # ΔE00; nearer tints are one, bled into by its neighbours
_BLEND_REST = 0.12  # of a tint's light, that may be left when it is told as a blend
_FULL = 0.8  # linear light of the strongest channel of a tint
_BLACK = 0.05  # linear light below which a tint cannot be told and is dark


def tints_of(flakes: list[Regions]) -> Floats:
    """The tints there are, in Oklab, the one of the largest area first: (k, 3)."""
    counts = [np.rint(1e4 * each.area / each.area.sum()).astype(np.intp) for each in flakes]
    pixels = [np.repeat(_tint(e.rgb), n, axis=0) for e, n in zip(flakes, counts, strict=True)]
    found = picture_colours(np.concatenate(pixels)[None], most=_MOST_COLOURS)
    rgb8 = np.stack([rgb8_from_hex(colour.srgb) for colour in found])
    shares = [colour.share for colour in found]
    lab, linear, kept = lab_from_rgb8(rgb8), linear_from_rgb8(rgb8).astype(np.float64), [0]
    for i in range(1, len(found)):  # the largest share first
        alike = delta_e_2000(lab[i], lab[kept]).min() <= _ONE_TINT
        pairs = combinations([linear[k] for k in kept if shares[i] < 0.6 * shares[k]], 2)
        with_ground = [(linear[k], np.ones(3)) for k in kept if shares[i] < 0.3 * shares[k]]
        if not alike and not any(_is_blend(linear[i], pair) for pair in (*pairs, *with_ground)):
            kept.append(i)
    return oklab_from_rgb8(rgb8[kept])


def nearest_tint(rgb: Floats, tints: Floats) -> NDArray[np.intp]:
    """Number of the tint (k, 3), in Oklab, that light (n, 3) is nearest to: (n,)."""
    distance = ((oklab_from_rgb8(_tint(rgb))[:, None] - tints) ** 2).sum(axis=-1)
    return np.asarray(distance.argmin(axis=1))


def one_near_black(one: Floats, other: Floats) -> bool:
    """Whether two tints of dark flakes, in Oklab, are one with more and less light of paper on it.

    Of light near black a tint is told that is darker and, as it has less of the veil, purer.
    """
    darker, paler = sorted((linear_from_oklab(tint) for tint in (one, other)), key=np.sum)
    if darker.max() > 0.9 * _FULL:
        return False
    parts, left = nnls(np.stack([darker, np.ones(3)], axis=-1), paler)
    return bool(left < _BLEND_REST * np.linalg.norm(paler) and parts[0] > 0.05)


def _is_blend(tint: Floats, parents: tuple[Floats, ...]) -> bool:
    """Whether a tint is light of two others: where flakes are blurred into one another."""
    parts, left = nnls(np.stack(parents, axis=-1), tint)
    return bool(left < _BLEND_REST * np.linalg.norm(tint) and parts.min() > 0.05)


def _tint(rgb: Floats) -> NDArray[np.uint8]:
    strongest = np.maximum(rgb.max(axis=1, keepdims=True), _BLACK)
    return rgb8_from_linear(_FULL * rgb / strongest)
