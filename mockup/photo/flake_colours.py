"""The colours of strewn flakes and their shares.

A flake is as bright as what it mirrors, so that one colour of glitter shows in every brightness.
Flakes are told apart by their tint: their light at its own full strength. The tints are found where
the picture is flattest, in the middle of flakes, as the colours of any picture are; the shares over
all of the picture, cut along its steepest lines into regions that each are part of one flake.

Blur runs over each edge alike, so that regions which are all edge count for neither side. What
looks like its ground is lost: grey flakes on white, dark ones on black. So those count on the other
ground, and all others on both.

References
----------
Falcao, Stolfi & Lotufo (2004), The image foresting transform, doi:10.1109/TPAMI.2004.1261076
(the watershed).
"""

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.optimize import nnls

from mockup.colorimetry.clusters import picture_colours
from mockup.colorimetry.difference import delta_e_2000, lab_from_rgb8
from mockup.colorimetry.oklab import oklab_from_rgb8
from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_hex, rgb8_from_linear

__all__ = ["FlakeColour", "Ground", "flake_colours"]

Floats = NDArray[np.float64]

MOST_COLOURS = 6
_LEAST_SHARE = 0.04  # of the flakes; less is an edge or noise
_ONE_TINT = 12.0  # ΔE00; nearer tints are one, bled into by its neighbours
_BLEND_REST = 0.12  # of a tint's light, that may be left when it is told as a blend
_FULL = 0.8  # linear light of the strongest channel of a tint
_GROUND_REACH = 0.25  # of the white ground's colour: what lies so near it is ground
_DARK_REACH = 2.0  # times the black ground: what is darker may be ground
_SHADE = 0.3  # of the white ground: darker than any shade of flakes on it
_DARK = 4.0  # times the black ground: weaker colours are lost on it in part
_BLACK = 0.05  # linear light below which a tint cannot be told and is dark
_EDGE = 0.3  # of the steepest slope nearby: a region as steep is an edge
_GREY = 0.045  # Oklab chroma of a tint that is grey
_LEAST_REGION_PX = 8
_CORE = 0.35  # share of a region, its flattest, that tells its colour
_BLUR_PX = 0.7  # σ, before slopes are taken


@dataclass(frozen=True, slots=True)
class Ground:
    """A picture of strewn flakes: `rgb` (h, w, 3), white by the card; `bare` (3,) its ground."""

    rgb: NDArray[np.float32]
    bare: Floats


@dataclass(frozen=True, slots=True)
class FlakeColour:
    """One colour of the flakes.

    Attributes
    ----------
    share
        Of the flakes.
    rgb : (3,) float64
        Mean light where it is seen best.
    light, weight : (n,) float64
        Of its single parts: light over the mean of all of them, and area.
    """

    share: float
    rgb: Floats
    light: Floats
    weight: Floats

    def brightened(self, factor: Floats) -> "FlakeColour":
        """The same colour with each channel times a factor."""
        return replace(self, rgb=self.rgb * factor)


@dataclass(frozen=True, slots=True)
class _Regions:
    """Parts of flakes or ground: `rgb` (n, 3), `area` (n,) as shares of the picture."""

    rgb: Floats
    area: Floats

    @property
    def strength(self) -> float:
        """Median light of the strongest channel."""
        return float(np.median(self.rgb.max(axis=1)))

    def only(self, kept: NDArray[np.bool_]) -> "_Regions":
        """Those of them."""
        return _Regions(self.rgb[kept], self.area[kept])


def flake_colours(white: Ground, black: Ground, cut_px: float) -> tuple[FlakeColour, ...]:
    """Colours of the flakes, the largest share first; shares add up to 1."""
    regions = [
        _off_white(_regions(white.rgb, cut_px), white.bare),
        _off_black(_regions(black.rgb, cut_px), black.bare),
    ]
    middles = _tints_of(regions)
    parts = [
        [each.only(_nearest(each.rgb, middles) == i) for each in regions]
        for i in range(len(middles))
    ]
    seen = np.array([[float(part.area.sum()) for part in both] for both in parts])
    lost = np.array(
        [
            [float(np.hypot(*middle[1:])) < _GREY, _is_dark(both, black.bare)]
            for middle, both in zip(middles, parts, strict=True)
        ]
    )
    lost[lost.all(axis=1)] = [False, True]  # dark grey is no white ground
    areas = np.where(lost, 0.0, seen).sum(axis=1) / (~lost).sum(axis=1)
    kept = np.flatnonzero(areas >= _LEAST_SHARE * areas.sum())
    return tuple(
        _colour(float(areas[i] / areas[kept].sum()), parts[i], ~lost[i])
        for i in kept[np.argsort(-areas[kept])]
    )


def _is_dark(parts: list[_Regions], bare: Floats) -> bool:
    """Whether a colour is so weak that some of it passes for the black ground."""
    return any(part.area.size and part.strength < _DARK * bare.max() for part in parts)


def _colour(share: float, parts: list[_Regions], used: NDArray[np.bool_]) -> FlakeColour:
    whole = [part for part, use in zip(parts, used, strict=True) if use]
    area = np.concatenate([part.area for part in whole])
    rgb = np.concatenate([part.rgb for part in whole])
    mean = area @ rgb / area.sum()
    return FlakeColour(share, mean, rgb.sum(axis=1) / mean.sum(), area)


def _tints_of(flakes: list[_Regions]) -> Floats:
    """The tints there are, in Oklab: (k, 3)."""
    counts = [np.rint(1e4 * each.area / each.area.sum()).astype(np.intp) for each in flakes]
    pixels = [np.repeat(_tint(e.rgb), n, axis=0) for e, n in zip(flakes, counts, strict=True)]
    found = picture_colours(np.concatenate(pixels)[None], most=MOST_COLOURS)
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


def _is_blend(tint: Floats, parents: tuple[Floats, ...]) -> bool:
    """Whether a tint is light of two others: where flakes are blurred into one another."""
    parts, left = nnls(np.stack(parents, axis=-1), tint)
    return bool(left < _BLEND_REST * np.linalg.norm(tint) and parts.min() > 0.05)


def _regions(rgb: NDArray[np.float32], cut_px: float) -> _Regions:
    """The picture cut along its steepest lines, each part with the mean light of its core."""
    light = np.maximum(rgb.astype(np.float64), 0.0)
    steep = np.sqrt(
        sum(ndimage.gaussian_gradient_magnitude(light[..., i], _BLUR_PX) ** 2 for i in range(3))
    )
    markers, count = ndimage.label(steep == ndimage.minimum_filter(steep, 3))
    cost = np.clip(steep / max(float(np.quantile(steep, 0.995)), 1e-12), 0.0, 1.0)
    labels = ndimage.watershed_ift((65535 * cost).astype(np.uint16), markers.astype(np.int32))
    order = np.lexsort((steep.ravel(), labels.ravel()))
    sorted_labels = labels.ravel()[order]
    size = np.bincount(labels.ravel(), minlength=count + 1)
    rank = np.arange(order.size) - (np.cumsum(size) - size)[sorted_labels]
    core = np.zeros(order.size, bool)
    core[order] = rank < np.maximum(_CORE * size[sorted_labels], 1)
    window = 2 * max(2, round(0.3 * cut_px)) + 1
    slope = steep / np.maximum(ndimage.maximum_filter(steep, window), 1e-12)
    return _means(rgb, labels, core.reshape(labels.shape), count, slope)


def _means(
    rgb: NDArray[np.float32],
    labels: NDArray[np.integer],
    core: NDArray[np.bool_],
    count: int,
    slope: Floats | None = None,
) -> _Regions:
    """Mean light of the cores; without what is small, or as steep as all around it."""
    size = np.bincount(labels.ravel(), minlength=count + 1).astype(np.float64)
    of = labels[core]
    inner = np.maximum(np.bincount(of, minlength=count + 1), 1)
    sums = [np.bincount(of, weights=rgb[core][:, i], minlength=count + 1) for i in range(3)]
    whole = size >= _LEAST_REGION_PX
    if slope is not None:
        whole &= np.bincount(of, weights=slope[core], minlength=count + 1) / inner < _EDGE
    whole[0] = False
    mean = np.maximum(np.stack(sums, axis=-1) / inner[:, None], 0.0)
    return _Regions(mean[whole], size[whole] / size[whole].sum())


def _off_white(regions: _Regions, bare: Floats) -> _Regions:
    ratio = regions.rgb / bare
    most = ratio.max(axis=1)
    return regions.only((np.ptp(ratio, axis=1) >= _GROUND_REACH * most) | (most < _SHADE))


def _off_black(regions: _Regions, bare: Floats) -> _Regions:
    return regions.only(regions.rgb.max(axis=1) > _DARK_REACH * bare.max())


def _tint(rgb: Floats) -> NDArray[np.uint8]:
    strongest = np.maximum(rgb.max(axis=1, keepdims=True), _BLACK)
    return rgb8_from_linear(_FULL * rgb / strongest)


def _nearest(rgb: Floats, middles: Floats) -> NDArray[np.intp]:
    distance = ((oklab_from_rgb8(_tint(rgb))[:, None] - middles) ** 2).sum(axis=-1)
    return np.asarray(distance.argmin(axis=1))
