"""A bitmap → the outline of what is dark (or light) in it, finer than its pixels.

The edge is found by marching squares on a field that is 1 inside and 0 outside, so that an edge
softened by anti-aliasing lies where the pixel says, not at the pixel's border. Contours come from
contourpy, a small compiled library; it returns outer rings with their holes.
"""

from itertools import pairwise
from typing import Any

import contourpy
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity

from mockup.design.document import Asset
from mockup.errors import AssetError
from mockup.skin.outline_fill import as_multipolygon
from mockup.skin.picture import open_picture, picture_size_px, read_picture
from mockup.skin.picture_kind import kind_of
from mockup.skin.picture_scale import reduced

__all__ = ["outline_from_bitmap"]

MOST_SIDE_PX = 3000  # finer than a blade follows on any cup: 0.1 mm on 300 mm
SPECK_PX2 = 4.0  # smaller islands and holes are dust
MOST_PIECES = 4000
_LEAST_CONTRAST = 0.1  # share of full scale between the two tones
_SOFTEN_PX = 0.6  # standard deviation of the blur that takes out the staircase
_SIMPLIFY_PX = 0.05
_LUMA = np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)  # ITU-R BT.709-6, item 3.2


def outline_from_bitmap(asset: Asset, *, where: str, dark_is_shape: bool = True) -> Any:
    """Trace a bitmap of two tones.

    What is transparent is never shape. The tones are parted halfway between the mean of the dark
    and the mean of the light pixels; where all that can be seen is of one tone and the rest is
    transparent, what can be seen is the shape.

    Returns
    -------
    shapely MultiPolygon, px of the bitmap, x to the right and y up, origin at its lower left.

    Raises
    ------
    AssetError
        The file is refused, is no bitmap, is blank, or falls into too many pieces.

    References
    ----------
    Ridler & Calvard (1978), doi:10.1109/TSMC.1978.4310039, for the threshold.
    Lorensen & Cline (1987), doi:10.1145/37402.37422, in two dimensions.
    """
    kind = kind_of(asset, where=where)
    if kind == "SVG":
        raise AssetError(
            f"{asset.name} is a drawing", where=where, remedy="Name it as svg, not as bitmap"
        )
    image = open_picture(asset, kind, where=where)
    width, height = picture_size_px(image)
    scale = min(1.0, MOST_SIDE_PX / max(width, height))
    size = max(1, round(width * scale)), max(1, round(height * scale))
    picture = read_picture(asset, image, size, where=where)
    field = _shape_field(reduced(picture.image, size), dark_is_shape)
    shape = _contours(field, asset, where) if field is not None else shapely.MultiPolygon()
    if shape.is_empty:
        raise AssetError(
            f"{asset.name} is blank: it shows no shape apart from its ground",
            where=where,
            remedy="Use a picture with a dark shape on a light or transparent ground",
        )
    across, down = width / size[0], height / size[1]
    return affinity.affine_transform(shape, [across, 0, 0, -down, 0, height])


def _shape_field(rgba: NDArray[np.uint8], dark_is_shape: bool) -> NDArray[np.floating] | None:
    """1 inside the shape, 0 outside, between at its edge; None if there is but one tone."""
    alpha = rgba[..., 3].astype(np.float32) / np.float32(255)
    tone = (rgba[..., :3] @ _LUMA).astype(np.float32) / np.float32(255)
    dark, light = _two_tones(tone[alpha > 0.5])
    if light - dark < _LEAST_CONTRAST:
        return alpha if alpha.min() < 0.5 < alpha.max() else None
    share = (tone - dark) / (light - dark)
    inside = np.clip(1 - share if dark_is_shape else share, 0, 1).astype(np.float32)
    field: NDArray[np.floating] = np.minimum(inside, alpha)
    return field


def _two_tones(tones: NDArray[np.floating]) -> tuple[float, float]:
    """Means of the dark and of the light pixels, parted halfway between them."""
    if tones.size == 0:
        return 0.0, 0.0
    count, edges = np.histogram(tones, bins=256, range=(0, 1))
    middle = (edges[1:] + edges[:-1]) / 2
    level = float((tones.min() + tones.max()) / 2)
    dark = light = level
    for _ in range(64):
        below = middle <= level
        if not count[below].any() or not count[~below].any():
            break
        dark = float(np.average(middle[below], weights=count[below]))
        light = float(np.average(middle[~below], weights=count[~below]))
        before, level = level, (dark + light) / 2
        if abs(level - before) < 1e-4:
            break
    return dark, light


def _contours(field: NDArray[np.floating], asset: Asset, where: str) -> Any:
    """Marching squares at one half, px, y down; specks are left out."""
    soft = _softened(np.pad(field, 2))
    at = np.arange(soft.shape[1]) - 1.5, np.arange(soft.shape[0]) - 1.5  # pixel centres
    lines = contourpy.contour_generator(*at, soft, fill_type="OuterOffset")
    filled: Any = lines.filled(0.5, np.inf)
    pieces = []
    for ring_points, starts in zip(*filled, strict=True):
        rings = [ring_points[a:b] for a, b in pairwise(starts)]
        solid = [shapely.Polygon(ring) for ring in rings]
        if solid[0].area < SPECK_PX2:
            continue
        holes = [
            ring for ring, hole in zip(rings[1:], solid[1:], strict=True) if hole.area >= SPECK_PX2
        ]
        pieces.append(shapely.Polygon(rings[0], holes))
    if len(pieces) > MOST_PIECES:
        raise AssetError(
            f"{asset.name} falls into {len(pieces)} pieces",
            where=where,
            remedy="Use a plain shape in two tones; a photo cannot be cut",
        )
    return as_multipolygon(shapely.simplify(shapely.MultiPolygon(pieces), _SIMPLIFY_PX))


def _softened(field: NDArray[np.floating]) -> NDArray[np.floating]:
    """A Gaussian blur over five pixels each way; beyond the border all is outside."""
    taps = np.exp(-0.5 * (np.arange(-2, 3) / _SOFTEN_PX) ** 2).astype(np.float32)
    taps /= taps.sum()
    for axis in (0, 1):
        padded = np.pad(field, [(2, 2) if a == axis else (0, 0) for a in (0, 1)])
        n = field.shape[axis]
        shifted = [padded.take(range(i, i + n), axis=axis) for i in range(len(taps))]
        field = np.tensordot(taps, np.stack(shifted), axes=1).astype(np.float32)
    return field
