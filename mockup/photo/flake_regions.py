"""A picture of strewn flakes cut into regions that each are part of one flake, or ground.

Blur runs over each edge alike, so that regions which are all edge count for neither side; nor do
ribbons of the ground along a flake, which grow lighter towards it.

References
----------
Falcao, Stolfi & Lotufo (2004), The image foresting transform, doi:10.1109/TPAMI.2004.1261076
(the watershed).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

__all__ = ["Ground", "Regions", "off_ground", "pixels_off_ground"]

Floats = NDArray[np.float64]

_GROUND_REACH = 0.25  # of the white ground's colour: what lies so near it is ground
_DARK_REACH = 2.0  # times the black ground: what is darker may be ground
_SHADE = 0.3  # of the white ground: darker than any shade of flakes on it
_EDGE = 0.3  # of the steepest slope nearby: a region as steep is an edge
_LEAST_REGION_PX = 8
_CORE = 0.35  # share of a region, its flattest, that tells its colour
_BLUR_PX = 0.7  # σ, before slopes are taken
_RIBBON = 1.15  # times its core's light a region has, that is a ribbon of ground along a flake


@dataclass(frozen=True, slots=True)
class Ground:
    """A picture of strewn flakes.

    Attributes
    ----------
    rgb : (h, w, 3) float32
        White by the card.
    bare : (3,) float64
        The ground where it is bare.
    white : (3,) float64
        What a perfect white is in the photo there, linear light.
    pale
        Whether it is the white ground.
    step
        So many pixels of the photo in a row are one of `rgb`.
    """

    rgb: NDArray[np.float32]
    bare: Floats
    white: Floats
    pale: bool
    step: int = 1


@dataclass(frozen=True, slots=True)
class Regions:
    """Parts of flakes: light of their cores `rgb` (n, 3), `area` (n,) as shares of the picture.

    `rim` (n,) is the light of all of a part over that of its core.
    """

    rgb: Floats
    area: Floats
    rim: Floats

    @property
    def strength(self) -> float:
        """Median light of the strongest channel."""
        return float(np.median(self.rgb.max(axis=1)))

    def only(self, kept: NDArray[np.bool_]) -> "Regions":
        """Those of them."""
        return Regions(self.rgb[kept], self.area[kept], self.rim[kept])


def off_ground(ground: Ground, cut_px: float) -> Regions:
    """The regions of a picture that are not ground."""
    found = _regions(ground.rgb, cut_px)
    flake = found.rim > 1.0 / _RIBBON if ground.pale else found.rim < _RIBBON
    return found.only(flake & _is_off(found.rgb, ground))


def pixels_off_ground(ground: Ground) -> NDArray[np.bool_]:
    """Which pixels look like no ground: (h, w)."""
    return _is_off(np.maximum(ground.rgb.astype(np.float64), 0.0), ground)


def _is_off(rgb: Floats, ground: Ground) -> NDArray[np.bool_]:
    """Whether light (…, 3) is none that the ground has, bare or shaded."""
    if not ground.pale:
        return np.asarray(rgb.max(axis=-1) > _DARK_REACH * ground.bare.max())
    ratio = rgb / ground.bare
    most = ratio.max(axis=-1)
    return np.asarray((np.ptp(ratio, axis=-1) >= _GROUND_REACH * most) | (most < _SHADE))


def _regions(rgb: NDArray[np.float32], cut_px: float) -> Regions:
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
) -> Regions:
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
    light = np.bincount(labels.ravel(), weights=rgb.sum(axis=-1).ravel(), minlength=count + 1)
    rim = light / np.maximum(size, 1) / np.maximum(mean.sum(axis=1), 1e-9)
    return Regions(mean[whole], size[whole] / size[whole].sum(), rim[whole])
