"""Drawings and bitmaps → the outline of a cut shape, and its size."""

from typing import Any

import shapely
from shapely import affinity

from mockup.design.document import Asset
from mockup.errors import AssetError
from mockup.skin.outline_fill import as_multipolygon
from mockup.skin.outline_trace import outline_from_bitmap
from mockup.skin.svg import admit_svg
from mockup.skin.svg_draw import painted_region
from mockup.skin.svg_length import view_transform

__all__ = ["outline_from_bitmap", "outline_from_svg", "sized"]

_FINENESS = 20_000  # chords leave a curve by less than this part of the shape's longer side


def outline_from_svg(asset: Asset, *, where: str, tolerance: float | None = None) -> Any:
    """What an SVG paints, as one shape; any colour that can be seen counts alike.

    Parameters
    ----------
    asset
        An SVG file, or a gzipped one.
    where
        Who asks, for messages.
    tolerance
        How far a chord may leave its curve, in the drawing's user units; else 1/20 000 of the
        shape's longer side, which is 0.01 mm on a shape of 200 mm.

    Returns
    -------
    shapely MultiPolygon, user units of the drawing, x to the right and y up. The viewport clips
    as it does on screen.

    Raises
    ------
    AssetError
        The drawing is refused (see `admit_svg`), holds what cannot be cut, or paints nothing.
    """
    drawing = admit_svg(asset, where=where)
    fit = drawing.root.get("preserveAspectRatio", "")
    try:
        view = view_transform(drawing.view_box, fit, drawing.width_px, drawing.height_px)
        scale, left, top = view[0], view[4], view[5]
        first = max(drawing.width_px, drawing.height_px) / _FINENESS
        tolerance_px = first if tolerance is None else tolerance * scale
        region = painted_region(drawing, tolerance_px=tolerance_px)
        finer = _longer_side(region) / _FINENESS
        if tolerance is None and 0 < finer < first / 2:
            region = painted_region(drawing, tolerance_px=finer)
    except (ValueError, OverflowError, shapely.errors.ShapelyError) as error:
        raise AssetError(
            f"{asset.name} cannot be cut: {error}", where=where, remedy="Mend the drawing"
        ) from error
    user_from_px = [1 / scale, 0, 0, -1 / scale, -left / scale, top / scale]
    shape = as_multipolygon(affinity.affine_transform(region, user_from_px))
    if shape.is_empty:
        raise AssetError(
            f"{asset.name} paints nothing that can be cut",
            where=where,
            remedy="Give its shapes a fill or a stroke within its view box",
        )
    return shape


def sized(outline: Any, *, width_mm: float | None = None, height_mm: float | None = None) -> Any:
    """`outline` scaled to a width or a height and centred at the origin by its bounding box.

    One of the two keeps the proportions, both stretch the shape, none only centres it.
    """
    left, low, right, high = outline.bounds
    sx = None if width_mm is None else width_mm / (right - left)
    sy = None if height_mm is None else height_mm / (high - low)
    sx, sy = sx or sy or 1.0, sy or sx or 1.0
    x, y = (left + right) / 2, (low + high) / 2
    return affinity.affine_transform(outline, [sx, 0, 0, sy, -x * sx, -y * sy])


def _longer_side(region: Any) -> float:
    if region.is_empty:
        return 0.0
    left, low, right, high = region.bounds
    return float(max(right - left, high - low))
