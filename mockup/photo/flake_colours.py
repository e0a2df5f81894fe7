"""The colours of strewn flakes and their shares.

A flake is as bright as what it mirrors, so that one colour of glitter shows in every brightness.
Flakes are told apart by their tint: their light at its own full strength, clustered as the colours
of any picture are. What looks like its ground is lost: grey flakes on white, dark ones on black. So
those count on the other ground, and all others on both.

Blur and JPEG spread bright flakes over dark ones. How far is learnt from flakes of these colours
that are thrown by our own model and photographed alike; the shares are those that look as the
photos do.

References
----------
Bishop, Fienberg & Holland (1975), Discrete Multivariate Analysis, sec. 5.2 (tables with cells that
are empty by nature, fitted in turn by rows and columns).
"""

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

from mockup.colorimetry.clusters import picture_colours
from mockup.colorimetry.difference import delta_e_2000, lab_from_rgb8
from mockup.colorimetry.oklab import oklab_from_rgb8
from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_hex, rgb8_from_linear
from mockup.photo.flake_regions import Ground, Regions, off_ground
from mockup.photo.flake_throw import Thrown, thrown_picture
from mockup.progress import Progress

__all__ = ["FlakeColour", "flake_colours"]

Floats = NDArray[np.float64]

MOST_COLOURS = 6
_LEAST_SHARE = 0.04  # of the flakes; less is an edge or noise
_ONE_TINT = 12.0  # ΔE00; nearer tints are one, bled into by its neighbours
_BLEND_REST = 0.12  # of a tint's light, that may be left when it is told as a blend
_FULL = 0.8  # linear light of the strongest channel of a tint
_DARK = 4.0  # times the black ground: weaker colours are lost on it in part
_BLACK = 0.05  # linear light below which a tint cannot be told and is dark
_GREY = 0.045  # Oklab chroma of a tint that is grey
_THROWS = 3  # each nearer to the photos than the one before
_OWN_SCALE = 0.5  # power of a ground's own scale; our choice, held to thrown and to traced flakes
_ROUNDS = 40  # of fitting shares and grounds in turn
_MOST_STEP = 2.0  # factor by which one of them may change a share


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
    grounds
        On how many of the two grounds it is not lost.
    """

    share: float
    rgb: Floats
    light: Floats
    weight: Floats
    grounds: int

    def brightened(self, factor: Floats) -> "FlakeColour":
        """The same colour with each channel times a factor."""
        return replace(self, rgb=self.rgb * factor)


@dataclass(frozen=True, slots=True)
class _Sorted:
    """Regions of the white and the black ground by tint, and on which ground each tint is lost."""

    parts: list[list[Regions]]
    lost: NDArray[np.bool_]

    @classmethod
    def by(cls, tints: Floats, regions: list[Regions], black: Floats) -> "_Sorted":
        """Sort by the nearest tint."""
        parts = [
            [each.only(_nearest(each.rgb, tints) == i) for each in regions]
            for i in range(len(tints))
        ]
        lost = np.array(
            [
                [float(np.hypot(*tint[1:])) < _GREY, _is_dark(both, black)]
                for tint, both in zip(tints, parts, strict=True)
            ]
        )
        lost[lost[:, 1], 0] = False  # dark grey is no white ground
        return cls(parts, lost)

    def shares(self, lost: NDArray[np.bool_]) -> Floats:
        """Of each tint, by its area on the grounds where it is not lost."""
        seen = np.array([[float(part.area.sum()) for part in both] for both in self.parts])
        return _on_their_grounds(seen, lost)


def flake_colours(
    white: Ground,
    black: Ground,
    cut_px: float,
    coverage: float,
    shade: float,
    progress: Progress,
) -> tuple[FlakeColour, ...]:
    """Colours of the flakes, the largest share first; shares add up to 1.

    Parameters
    ----------
    shade
        Light in the gaps between flakes over that without any.
    """
    regions: list[Regions] = []
    for ground in (white, black):
        progress(0.15 * len(regions), "telling flakes apart")
        regions.append(off_ground(ground, cut_px))
    tints = _tints_of(regions)
    found = _Sorted.by(tints, regions, black.bare)
    kept = found.shares(found.lost) >= _LEAST_SHARE
    tints = tints[kept]
    found = _Sorted.by(tints, regions, black.bare)
    looks = found.shares(found.lost)
    colours = [_colour(both, ~lost) for both, lost in zip(found.parts, found.lost, strict=True)]
    shares = looks
    throws = _THROWS if len(tints) > 1 else 0
    for i in range(throws):
        progress(0.3 + 0.7 * i / throws, "throwing flakes of the same colours")
        mix = Thrown(
            np.stack([one.rgb for one in colours]),
            shares,
            [(one.light, one.weight) for one in colours],
            cut_px,
            coverage,
            shade,
        )
        seen, truth = _thrown_shares(mix, (white, black), tints, found.lost)
        factor = np.clip(truth / np.maximum(seen, 1e-3), 1.0 / _MOST_STEP, _MOST_STEP)
        shares = looks * factor / (looks * factor).sum()
    shares = np.where(shares < _LEAST_SHARE, 0.0, shares)  # what throws explain as a blend
    shares = shares / shares.sum()
    order = [i for i in np.argsort(-shares) if shares[i] > 0]
    return tuple(replace(colours[i], share=float(shares[i])) for i in order)


def _thrown_shares(
    mix: Thrown, grounds: tuple[Ground, Ground], tints: Floats, lost: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """Shares of the tints in pictures of a mix, as they look there and as they are: (k,), (k,)."""
    regions, visible = [], []
    for ground in grounds:
        rgb, truth = thrown_picture(mix, ground)
        regions.append(off_ground(replace(ground, rgb=rgb), mix.cut_px))
        visible.append(truth)
    seen = _Sorted.by(tints, regions, grounds[1].bare).shares(lost)
    return seen, _on_their_grounds(np.stack(visible, axis=-1), lost)


def _on_their_grounds(areas: Floats, lost: NDArray[np.bool_]) -> Floats:
    """Shares by areas on the white and the black ground, (k, 2), where a tint is not lost.

    How much of the flakes is told from a ground at all is each ground's own. So areas are a share
    times a scale of the ground, but where a tint is lost; fitted as such a table is of counts,
    with the scales drawn towards each other: of few colours they know little.
    """
    seen, kept = np.where(lost, 0.0, areas), (~lost).astype(np.float64)
    scale = np.ones(2)
    for _ in range(_ROUNDS):
        shares = seen.sum(axis=1) / np.maximum(kept @ scale, 1e-9)
        fit = np.where(kept.any(axis=0), seen.sum(axis=0) / np.maximum(shares @ kept, 1e-9), 1.0)
        scale = np.maximum(fit, 1e-9) ** _OWN_SCALE
    return np.asarray(shares / max(float(shares.sum()), 1e-9))


def _is_dark(parts: list[Regions], bare: Floats) -> bool:
    """Whether a colour is so weak that some of it passes for the black ground."""
    clearer = max(parts, key=lambda part: float(part.area.sum()))
    return bool(clearer.area.size and clearer.strength < _DARK * bare.max())


def _colour(parts: list[Regions], used: NDArray[np.bool_]) -> FlakeColour:
    whole = [part for part, use in zip(parts, used, strict=True) if use]
    area = np.concatenate([part.area for part in whole])
    rgb = np.concatenate([part.rgb for part in whole])
    mean = area @ rgb / area.sum()
    return FlakeColour(0.0, mean, rgb.sum(axis=1) / mean.sum(), area, int(used.sum()))


def _tints_of(flakes: list[Regions]) -> Floats:
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


def _tint(rgb: Floats) -> NDArray[np.uint8]:
    strongest = np.maximum(rgb.max(axis=1, keepdims=True), _BLACK)
    return rgb8_from_linear(_FULL * rgb / strongest)


def _nearest(rgb: Floats, middles: Floats) -> NDArray[np.intp]:
    distance = ((oklab_from_rgb8(_tint(rgb))[:, None] - middles) ** 2).sum(axis=-1)
    return np.asarray(distance.argmin(axis=1))
