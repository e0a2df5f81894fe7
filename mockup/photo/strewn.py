"""What a photo shows of strewn flakes: their light, the bare ground's, and both seen from above.

References
----------
Hill (1975), A simple general approach to inference about the tail of a distribution,
doi:10.1214/aos/1176343247.
"""

from dataclasses import dataclass, replace
from typing import TypeVar, cast

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates

from mockup.colorimetry.difference import XYZ_FROM_LINEAR_SRGB
from mockup.errors import PhotoError
from mockup.photo.card import Card, Corrected, corrected
from mockup.photo.picture import Photo
from mockup.photo.plane import through
from mockup.photo.told import Area

__all__ = ["Seen", "Strewn", "reduced", "seen"]

Floats = NDArray[np.float64]
Picture = TypeVar("Picture", NDArray[np.float32], NDArray[np.float64])

_MOST_CLIPPED = 0.1  # of the flakes' pixels: flashes beyond what the photo holds
_HELD = 0.95  # of the photo's range: what is brighter may be clipped
_BRIGHTEST = 50.0  # times the top of the photo's range: a bare bulb in a flake; our choice
_LEAST_GRAIN = 2.0  # times the bare ground's: flakes are no smoother than paper; our choice
_INDICES = np.arange(0.025, 8.0, 0.05)  # of the law of flashes, which are tried
_LUMINANCE = XYZ_FROM_LINEAR_SRGB[1]


@dataclass(frozen=True, slots=True)
class Strewn:
    """One photo: where the flakes lie, and where the bare ground shows."""

    photo: Photo
    card: Card
    area: Area
    bare: Area


@dataclass(frozen=True, slots=True)
class Seen:
    """The strewn area by the card's white, its mean, and the ground's."""

    rgb: NDArray[np.float32]
    flat: Floats  # √luminance, straight from above
    mean: Floats
    bare: Floats
    white: Floats  # what a perfect white is in the photo there
    of_ln: Floats  # covariance of ln light, all of the area together
    flashes: float  # share of the mean that is estimated, as the photo's range cut it off

    @property
    def top(self) -> Floats:
        """The most that the photo holds there, by the card's white."""
        return _HELD / self.white


def seen(strewn: Strewn, reflectance: float, light: str | None, px_per_mm: float) -> Seen:
    """What a photo shows of its flakes.

    Parameters
    ----------
    reflectance, light
        Of the card; CIE name of the photo's light.
    px_per_mm
        Of `flat`.

    Raises
    ------
    PhotoError
        A place cannot be measured, or holds no flakes.
    """
    photo, card = strewn.photo, strewn.card
    area = strewn.area.checked(photo, card, "glitter", most_clipped=_MOST_CLIPPED)
    bare = strewn.bare.checked(photo, card, "bare ground")
    by_card = corrected(photo, card, reflectance, light)
    rgb, clipped = by_card.rgb[area.box], photo.clipped[area.box]
    if _grain(rgb) < _LEAST_GRAIN * _grain(by_card.rgb[bare.box]):
        raise PhotoError(
            "where glitter is marked the photo shows no flakes, or bare ground is marked on them",
            where=photo.name,
            remedy="Mark the glitter, and beside it the paper where none lies",
        )
    lost = _lost_flashes(photo.linear[area.box], clipped, rgb.astype(np.float64) @ _LUMINANCE)
    return Seen(
        rgb,
        _from_above(by_card, card, area, px_per_mm),
        (1.0 + lost) * rgb.reshape(-1, 3).mean(axis=0, dtype=np.float64),
        np.median(by_card.rgb[bare.box].reshape(-1, 3).astype(np.float64), axis=0),
        by_card.fall_off.white(area.middle_px),
        by_card.covariance(area.middle_px),
        lost / (1.0 + lost),
    )


def reduced(found: Seen, step: int) -> Seen:
    """The same in fewer pixels, each the mean of `step` × `step`."""
    return replace(found, rgb=_blocks(found.rgb, step), flat=_blocks(found.flat, step))


def _blocks(values: Picture, step: int) -> Picture:
    height, width = (side // step for side in values.shape[:2])
    whole = values[: height * step, : width * step]
    blocks = whole.reshape(height, step, width, step, *values.shape[2:])
    return cast(Picture, blocks.mean(axis=(1, 3)))


def _grain(rgb: NDArray[np.float32]) -> float:
    """Spread of light from pixel to pixel, over its mean."""
    light = rgb.astype(np.float64) @ _LUMINANCE
    return float(light.std() / max(float(light.mean()), 1e-6))


def _from_above(by_card: Corrected, card: Card, area: Area, px_per_mm: float) -> Floats:
    """The area's √luminance with the card's perspective taken away, at one scale."""
    corners = np.array(
        [[area.left, area.top], [area.right, area.top],
         [area.right, area.bottom], [area.left, area.bottom]], dtype=np.float64,
    )  # fmt: skip
    mm = through(card.mm_from_px, corners)
    left, right = mm[[0, 3], 0].max(), mm[[1, 2], 0].min()
    top, bottom = mm[[0, 1], 1].max(), mm[[2, 3], 1].min()
    x, y = (np.arange(*ends, 1.0 / px_per_mm) for ends in ((left, right), (top, bottom)))
    px_from_mm = np.asarray(np.linalg.inv(card.mm_from_px), np.float64)
    at = through(px_from_mm, np.stack(np.meshgrid(x, y), axis=-1))
    root = np.sqrt(np.maximum(by_card.rgb[area.box].astype(np.float64) @ _LUMINANCE, 0.0))
    places = (at[..., ::-1] - [area.top, area.left]).transpose(2, 0, 1)
    return np.asarray(map_coordinates(root, places, order=1, mode="nearest"))


def _lost_flashes(
    linear: NDArray[np.float32], clipped: NDArray[np.bool_], by_card: Floats
) -> float:
    """Light of clipped flashes beyond what the photo holds, over the mean of all there is.

    Above half of the photo's range light is taken for a Pareto law, whose index shows in how many
    of these pixels are clipped: lamps with soft edges fall off fast, bare bulbs hardly at all. It
    ends at `_BRIGHTEST`, without which the mean of bulbs would have no bound.
    """
    share = float(clipped.mean())
    if share == 0.0:
        return 0.0
    half = float((clipped | (linear.max(axis=-1) > 0.5)).mean())
    end = _BRIGHTEST**-_INDICES
    means = _INDICES / (1.0 - _INDICES) * (_BRIGHTEST ** (1.0 - _INDICES) - 1.0) / (1.0 - end)
    beyond = float(np.interp(half / share, (2.0**_INDICES - end) / (1.0 - end), means)) - 1.0
    held = float(by_card[clipped].mean())
    return share * beyond * held / max(float(by_card.mean()), 1e-6)
