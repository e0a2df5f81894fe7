"""The colours of strewn flakes and their shares.

A flake is as bright as what it mirrors, so that one colour of glitter shows in every brightness.
Flakes are told apart by their tint. What looks like its ground is lost: grey flakes on white, dark
ones on black. So those are told by the other ground, and all others by both.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mockup.photo.flake_regions import Ground, Regions, off_ground
from mockup.photo.flake_shares import true_shares
from mockup.photo.flake_throw import Thrown
from mockup.photo.flake_tints import nearest_tint, one_near_black, tints_of
from mockup.progress import Progress

__all__ = ["FlakeColour", "flake_colours"]

Floats = NDArray[np.float64]

_LEAST_SHARE = 0.04  # of the flakes; less is an edge or noise
_DARK = 4.0  # times the black ground: weaker colours are lost on it in part
_NEAR_BLACK = 0.1  # linear light below which tints change with what paper adds to them
_GREY = 0.045  # Oklab chroma of a tint that is grey


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
        nearest = [nearest_tint(each.rgb, tints) for each in regions]
        parts = [
            [each.only(which == i) for each, which in zip(regions, nearest, strict=True)]
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

    @property
    def looks(self) -> Floats:
        """A first guess of shares, by area on the ground that shows most of a tint."""
        seen = np.array([[float(part.area.sum()) for part in both] for both in self.parts])
        most = np.where(self.lost, 0.0, seen).max(axis=1)
        return np.asarray(most / max(float(most.sum()), 1e-9))


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
    tints = tints_of(regions)
    tints = tints[_distinct(tints, _Sorted.by(tints, regions, black.bare))]
    found = _Sorted.by(tints, regions, black.bare)
    colours = [_colour(both, ~lost) for both, lost in zip(found.parts, found.lost, strict=True)]
    shares = found.looks
    if len(tints) > 1:
        middles = np.array([_middle(one.light, one.weight) for one in colours])
        mix = Thrown(
            np.stack([one.rgb for one in colours]) * middles[:, None],
            shares,
            np.concatenate([one.light / m for one, m in zip(colours, middles, strict=True)]),
            np.concatenate([one.weight / one.weight.sum() for one in colours]),
            cut_px,
            coverage,
            shade,
        )
        shares = true_shares(
            (white, black), tints, found.lost, mix,
            lambda share, what: progress(0.3 + 0.7 * share, what),
        )  # fmt: skip
    shares = np.where(shares < _LEAST_SHARE, 0.0, shares)  # what throws explain as a blend
    shares = shares / shares.sum()
    order = [i for i in np.argsort(-shares) if shares[i] > 0]
    return tuple(replace(colours[i], share=float(shares[i])) for i in order)


def _distinct(tints: Floats, found: _Sorted) -> list[int]:
    """Which tints are colours of their own: enough of them, and no dark one in other light."""
    kept: list[int] = []
    for i in np.argsort(-found.looks):
        dark = [k for k in kept if max(_strength(found.parts[j]) for j in (i, k)) < _NEAR_BLACK]
        twin = any(one_near_black(tints[i], tints[k]) for k in dark)
        if found.looks[i] >= _LEAST_SHARE and not twin:
            kept.append(int(i))
    return kept


def _is_dark(parts: list[Regions], bare: Floats) -> bool:
    """Whether a colour is so weak that some of it passes for the black ground."""
    return bool(_strength(parts) < _DARK * bare.max())


def _strength(parts: list[Regions]) -> float:
    """Median light of the strongest channel, on the ground that shows most of a colour."""
    clearer = max(parts, key=lambda part: float(part.area.sum()))
    return clearer.strength if clearer.area.size else np.inf


def _colour(parts: list[Regions], used: NDArray[np.bool_]) -> FlakeColour:
    whole = [part for part, use in zip(parts, used, strict=True) if use]
    area = np.concatenate([part.area for part in whole])
    rgb = np.concatenate([part.rgb for part in whole])
    mean = area @ rgb / area.sum()
    light = rgb.sum(axis=1) / max(float(mean.sum()), 1e-6)
    return FlakeColour(0.0, mean, light, area, int(used.sum()))


def _middle(light: Floats, weight: Floats) -> float:
    """Median by weight of light over its mean; of flakes that are black for the most part a bit."""
    order = np.argsort(light)
    rank = np.cumsum(weight[order]) / weight.sum()
    return max(float(light[order][np.searchsorted(rank, 0.5)]), 0.05)
