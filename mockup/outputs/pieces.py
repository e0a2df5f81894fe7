"""Every piece of sheet that has to be cut for a design, as it lies flat before it is laid.

Foil stands for adhesive sheet on to which foil is pressed: it is cut with its backing paper on and
laid with its cut face to the cup, so it is cut `mirrored`. Vinyl, film, paper and fabric are cut
face up and lifted as they are seen. Outlines here are never mirrored; who draws them mirrors them.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from mockup.blank.flat import flat_from_wall, sheet_from_wall, wall_from_sheet
from mockup.blank.grid import WallGrid
from mockup.blank.wall import Blank, Wall
from mockup.design.document import Design
from mockup.design.layers import DecalLayer, WrapLayer
from mockup.skin.artwork import artwork_size_mm
from mockup.skin.decal import decal_pieces
from mockup.skin.fit import FITS, Fit
from mockup.skin.outline_fill import as_multipolygon
from mockup.skin.place import Spot, check_fit, sheet_from_piece

__all__ = ["Material", "Piece", "pieces", "sector_outline"]

Floats = NDArray[np.float64]
Material = Literal["foil", "vinyl", "film", "paper", "fabric"]

_TEXEL_MM = 0.25  # of the grid that a wrap's fit asks for; the fit itself is in mm
_SPAN_STEP_MM = 1.0
_ARC_STEP_RAD = np.pi / 360  # a chord of half a degree leaves a 60 mm radius by 0.0006 mm


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """One piece of sheet.

    Attributes
    ----------
    layer
        Index of its layer in the document.
    role
        Role of the palette, or a wrap's artwork.
    outline
        mm, y up, on the flat sheet as cut and seen from its face; the origin is at the anchor, y
        runs up the wall there. A wrap that goes round includes its overlap, not its trim.
    turn_deg, height_mm
        Where the anchor lies on the wall: 0° is the front, growing to the right.
    order
        From the steel outward, over the whole design.
    mirrored
        It is cut from behind.
    span_mm
        Lowest and highest point on the wall.
    outset_mm
        From the shape as drawn; a decal's pieces differ by it.
    """

    layer: int
    name: str
    kind: Literal["wrap", "decal"]
    role: str
    material: Material
    outline: MultiPolygon
    turn_deg: float
    height_mm: float
    order: int
    mirrored: bool
    span_mm: tuple[float, float]
    outset_mm: float = 0.0

    @property
    def area_mm2(self) -> float:
        """Area of the sheet that stays, mm²."""
        return float(self.outline.area)


def pieces(design: Design, blank: Blank) -> tuple[Piece, ...]:
    """What has to be cut, from the steel outward.

    Raises
    ------
    GeometryError
        A piece leaves the wall or overlaps itself.
    DesignError
        An asset cannot be read, or an inset leaves nothing of a shape.
    """
    found: list[Piece] = []
    for index, layer in enumerate(design.document.layers):
        if isinstance(layer, WrapLayer):
            found.append(_wrap_piece(design, blank.wall, layer, index, len(found)))
        elif isinstance(layer, DecalLayer):
            found += _decal_pieces(design, blank.wall, layer, index, len(found))
    return tuple(found)


def _decal_pieces(
    design: Design, wall: Wall, layer: DecalLayer, index: int, order: int
) -> list[Piece]:
    where = f"{design.where}: layers[{index}]"
    spot = Spot.of(layer.place, lie=layer.lie)
    cut = decal_pieces(design, layer, index)
    largest = max(cut, key=lambda piece: piece.outset_mm)
    check_fit(wall, spot, largest.shape, where=f"{where}.place")
    made = []
    for nth, piece in enumerate(cut):
        metal = design.swatch(piece.role, where=where).metallic
        outline = as_multipolygon(sheet_from_piece(wall, spot, piece.shape))
        made.append(
            Piece(
                layer=index,
                name=layer.name or layer.text or layer.svg or layer.bitmap or "decal",
                kind="decal",
                role=piece.role,
                material="foil" if metal else "vinyl",
                outline=outline,
                turn_deg=float(np.degrees(spot.turn_rad)),
                height_mm=spot.height_mm,
                order=order + nth,
                mirrored=metal,
                span_mm=_span(wall, spot, outline),
                outset_mm=piece.outset_mm,
            )
        )
    return made


def _wrap_piece(design: Design, wall: Wall, layer: WrapLayer, index: int, order: int) -> Piece:
    where = f"{design.where}: layers[{index}]"
    asset = design.asset(layer.artwork, where=f"layers[{index}].artwork")
    natural = artwork_size_mm(asset, where=f"{where}.artwork")
    grid = WallGrid.over(wall.length_mm, wall.radius_max_mm, _TEXEL_MM)
    fit = FITS[layer.fit](wall, grid, layer, natural, where)
    low, high = max(fit.low_mm, 0.0), min(fit.high_mm, wall.length_mm)
    if layer.fit == "placed" and layer.place is not None:
        spot = Spot.of(layer.place, rotation_deg=layer.rotation_deg)
        outline = _placed_outline(wall, layer, fit, spot, low, high)
        turn_deg, height = float(np.degrees(spot.turn_rad)), spot.height_mm
        span = _span(wall, spot, outline)
    else:
        overlap_rad = layer.overlap_mm / float(wall.radius_at((low + high) / 2))
        outline = sector_outline(wall, low, high, -np.pi, np.pi + overlap_rad)
        turn_deg, height, span = (layer.seam_deg + 360.0) % 360.0 - 180.0, 0.0, (low, high)
    return Piece(
        layer=index,
        name=layer.name or layer.artwork,
        kind="wrap",
        role=layer.artwork,
        material=layer.sheet,
        outline=outline,
        turn_deg=turn_deg,
        height_mm=height,
        order=order,
        mirrored=False,
        span_mm=span,
    )


def _span(wall: Wall, spot: Spot, outline: MultiPolygon) -> tuple[float, float]:
    edge = shapely.get_coordinates(shapely.segmentize(outline, _SPAN_STEP_MM))
    _, heights = wall_from_sheet(wall, 0.0, spot.height_mm, edge)
    return float(heights.min()), float(heights.max())


def sector_outline(
    wall: Wall, low_mm: float, high_mm: float, first_rad: float, last_rad: float
) -> MultiPolygon:
    """The wall between two heights and two turns, unrolled: mm about turn 0 and height 0.

    A turn beyond ±π goes on past the seam, as an overlap does.
    """
    steps = max(2, int(np.ceil((last_rad - first_rad) / _ARC_STEP_RAD)) + 1)
    turns = np.linspace(first_rad, last_rad, steps)
    foot = flat_from_wall(wall, turns, low_mm)
    rim = flat_from_wall(wall, turns[::-1], high_mm)
    origin = flat_from_wall(wall, 0.0, 0.0)
    return MultiPolygon([shapely.Polygon(np.concatenate([foot, rim]) - origin)])


def _placed_outline(
    wall: Wall, layer: WrapLayer, fit: Fit, spot: Spot, low_mm: float, high_mm: float
) -> MultiPolygon:
    """A rectangle in its place, trimmed where it passes its limits on the wall."""
    west = layer.offset_mm[0] - fit.width_mm / 2
    south = layer.offset_mm[1] - fit.height_mm / 2
    sheet = MultiPolygon([shapely.box(west, south, west + fit.width_mm, south + fit.height_mm)])
    sheet = sheet_from_piece(wall, spot, sheet)
    turns = np.linspace(-np.pi * (1 - 1e-9), np.pi * (1 - 1e-9), 721)
    edge = [
        sheet_from_wall(wall, 0.0, spot.height_mm, turn, height)
        for turn, height in ((turns, low_mm), (turns[::-1], high_mm))
    ]
    band = shapely.make_valid(shapely.Polygon(np.concatenate(edge)))
    return as_multipolygon(sheet & band)
