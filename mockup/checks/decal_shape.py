"""Decals as the checks see them: their outline on the wall, and what else is of their material."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from mockup.blank.wall import Wall
from mockup.design.document import Design
from mockup.design.layers import DecalLayer
from mockup.skin.decal import decal_pieces
from mockup.skin.distance import DistanceGrid, signed_distance
from mockup.skin.place import Spot, piece_from_wall, wall_from_piece
from mockup.skin.skin import Skin

__all__ = ["DecalShape", "decal_shapes"]

Floats = NDArray[np.float64]

_TEXEL_MM = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class DecalShape:
    """One decal without its backings.

    Attributes
    ----------
    layer
        Its index in the document.
    role
        Of its material.
    text
        Whether it is to be read as words.
    capital_mm
        Height of its tallest letter or part.
    outline
        mm, about its place, not yet rotated.
    distance
        Distance to the outline, in the same coordinates.
    channels
        Those of `Skin.sheets` that are of the same role: other decals among them.
    """

    layer: int
    name: str
    role: str
    text: bool
    capital_mm: float
    spot: Spot
    outline: MultiPolygon
    distance: DistanceGrid
    channels: tuple[int, ...]

    @property
    def stroke_mm(self) -> float:
        """Mean width of its strokes: twice its area over its edge, exact for long strokes."""
        return float(2 * self.outline.area / self.outline.length)

    def distance_mm(self, wall: Wall, turn_rad: Floats, height_mm: Floats) -> Floats:
        """Distance of wall points to the decal's edge, < 0 inside, within ±1.3 mm."""
        x, y = piece_from_wall(wall, self.spot, turn_rad, height_mm)
        return self.distance.at(x, y).astype(np.float64)

    def on_wall(self, wall: Wall, points_mm: Floats) -> tuple[Floats, Floats]:
        """Turns, rad, and heights, mm, of points of the outline, (n, 2) mm."""
        beside, height = wall_from_piece(wall, self.spot, points_mm)
        return beside + self.spot.turn_rad, height


def decal_shapes(design: Design, skin: Skin) -> tuple[DecalShape, ...]:
    """Every decal that no later base coat paints over, from the steel outward."""
    layers = design.document.layers
    bases = [i for i, layer in enumerate(layers) if layer.kind == "base"]
    return tuple(
        _shape(design, skin, layer, index)
        for index, layer in enumerate(layers)
        if isinstance(layer, DecalLayer) and index > max(bases, default=-1)
    )


def _shape(design: Design, skin: Skin, layer: DecalLayer, index: int) -> DecalShape:
    outline = decal_pieces(design, layer, index)[-1].shape
    bounds = shapely.bounds(shapely.get_parts(outline))
    return DecalShape(
        layer=index,
        name=layer.name or layer.text or layer.svg or layer.bitmap or "decal",
        role=layer.swatch,
        text=layer.text is not None,
        capital_mm=layer.letter_height_mm or float((bounds[:, 3] - bounds[:, 1]).max()),
        spot=Spot.of(layer.place, lie=layer.lie),
        outline=outline,
        distance=signed_distance(outline, _TEXEL_MM),
        channels=tuple(i for i, sheet in enumerate(skin.sheets) if sheet.role == layer.swatch),
    )
