"""Shapes cut from sheet, with the larger or smaller copies that lie under them."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from mockup.blank.grid import WallGrid
from mockup.blank.wall import Wall
from mockup.design.document import Design
from mockup.design.layers import DecalLayer
from mockup.errors import DesignError
from mockup.material.channels import MAPS
from mockup.skin.distance import BAND_MM, signed_distance
from mockup.skin.lettering import outline_from_text
from mockup.skin.outline import outline_from_bitmap, outline_from_svg, sized
from mockup.skin.place import Spot, Window, check_fit, piece_from_wall, window_of
from mockup.skin.stack import Stack

__all__ = ["CutPiece", "decal_outline", "decal_pieces", "lay_decal"]

_ARC_STEPS = 16  # chords in a quarter of a round join, or more:
_CHORD_MM = 0.004  # a chord leaves the arc of a round join by no more
_TRIAL_MM = 20.0  # letter height at which text of a given size is first set
_FINE_MM = 0.1  # distances are made at least this finely, whatever the grid
_STRIP = 256  # rows taken at a time
_KEPT = 48  # outlines and pieces


@dataclass(frozen=True, slots=True)
class CutPiece:
    """One piece of sheet to cut: mm, y up, about the decal's place, not yet rotated."""

    role: str
    outset_mm: float
    shape: MultiPolygon


# Kept as they were made last, so that a cup whose glitter changes need not have its letters set
# and its shapes read again.
_text_outline = lru_cache(maxsize=_KEPT)(outline_from_text)
_svg_outline = lru_cache(maxsize=_KEPT)(outline_from_svg)
_bitmap_outline = lru_cache(maxsize=_KEPT)(outline_from_bitmap)


def lay_decal(stack: Stack, layer: DecalLayer, index: int) -> None:
    """Lay backings and shape at the decal's place.

    Raises
    ------
    GeometryError
        It leaves the wall or overlaps itself round the back.
    DesignError
        It cannot be read, or an inset leaves nothing of it.
    """
    where = f"{stack.design.where}: layers[{index}]"
    name = layer.name or layer.text or layer.svg or layer.bitmap or "decal"
    pieces = decal_pieces(stack.design, layer, index)
    spot = Spot.of(layer.place, lie=layer.lie)
    largest = max(pieces, key=lambda piece: piece.outset_mm)
    check_fit(stack.wall, spot, largest.shape, where=f"{where}.place")
    for piece in pieces:
        _lay_piece(stack, spot, piece, name, where)


def decal_pieces(design: Design, layer: DecalLayer, index: int) -> tuple[CutPiece, ...]:
    """What has to be cut for a decal, undermost first; the cut sheet and the picture share it.

    A backing's outset is measured from the shape as cut, after the layer's own outset.
    """
    outline = decal_outline(design, layer, index)
    where = f"{design.where}: layers[{index}]"
    outsets = [
        (backing.swatch, layer.outset_mm + backing.outset_mm, f"{where}.backing[{i}]")
        for i, backing in enumerate(layer.backing)
    ]
    outsets.append((layer.swatch, layer.outset_mm, f"{where}"))
    return tuple(
        CutPiece(role, outset, _offset(outline, outset, f"{at}.outset_mm"))
        for role, outset, at in outsets
    )


def decal_outline(design: Design, layer: DecalLayer, index: int) -> MultiPolygon:
    """The decal's shape at its size, before any outset: mm, y up, centred."""
    where = f"layers[{index}]"
    if layer.svg is not None:
        asset = design.asset(layer.svg, where=f"{where}.svg")
        outline = _svg_outline(asset, where=f"{design.where}: {where}.svg")
    elif layer.bitmap is not None:
        asset = design.asset(layer.bitmap, where=f"{where}.bitmap")
        outline = _bitmap_outline(
            asset, where=f"{design.where}: {where}.bitmap", dark_is_shape=layer.dark_is_shape
        )
    else:
        return _lettering(design, layer, where)
    return sized(outline, width_mm=layer.width_mm, height_mm=layer.height_mm)


def _lettering(design: Design, layer: DecalLayer, where: str) -> MultiPolygon:
    """Text by its letters' height or, spacing kept in mm, by the size of the whole."""
    assert layer.text is not None
    font: bytes | str = layer.font
    if layer.font.startswith("assets/"):
        font = design.asset(layer.font, where=f"{where}.font").data
    letter_height, wanted = layer.letter_height_mm or _TRIAL_MM, layer.width_mm or layer.height_mm
    axis = 0 if layer.width_mm is not None else 1
    for trial in range(4):
        outline = _text_outline(
            layer.text,
            font=font,
            letter_height_mm=letter_height,
            letter_spacing_mm=layer.letter_spacing_mm,
            line_spacing=layer.line_spacing,
            where=f"{design.where}: {where}.text",
        )
        if wanted is None or (trial and layer.letter_spacing_mm == 0):
            break
        west, south, east, north = outline.bounds
        letter_height *= wanted / (east - west, north - south)[axis]
    if wanted is None:
        return outline
    return sized(outline, width_mm=layer.width_mm, height_mm=layer.height_mm)


@lru_cache(maxsize=_KEPT)
def _offset(outline: MultiPolygon, outset_mm: float, where: str) -> MultiPolygon:
    """The outline grown by `outset_mm` with round corners, or shrunk if negative."""
    if outset_mm == 0:
        return outline
    steps = math.ceil(math.pi / 4 * math.sqrt(abs(outset_mm) / (2 * _CHORD_MM)))
    steps = max(_ARC_STEPS, steps)
    grown = outline.buffer(outset_mm, quad_segs=steps, join_style="round")
    if grown.is_empty:
        raise DesignError(
            f"an inset of {-outset_mm:g} mm leaves nothing of the shape",
            where=where,
            remedy="Make the inset smaller or the shape larger",
        )
    return MultiPolygon(list(shapely.get_parts(grown)))


def _lay_piece(stack: Stack, spot: Spot, piece: CutPiece, name: str, where: str) -> None:
    laid = _laid(stack.wall, stack.grid, spot, piece.shape)
    if laid is not None:
        stack.stick(piece.role, name, where, *laid)


@lru_cache(maxsize=_KEPT)
def _laid(
    wall: Wall, grid: WallGrid, spot: Spot, shape: MultiPolygon
) -> tuple[Window, NDArray[np.uint8]] | None:
    """Where a piece falls on the grid and its stored distances there; None if it misses the wall.

    Read-only, for it is kept: most pieces stay where they are while another is moved.
    """
    west, south, east, north = shape.bounds
    bounds = (west - BAND_MM, south - BAND_MM, east + BAND_MM, north + BAND_MM)
    window = window_of(wall, grid, spot, bounds)
    if window is None:
        return None
    distances = signed_distance(shape, min(grid.row_mm, _FINE_MM))
    strips = []
    for strip in window.strips(_STRIP):
        x, y = piece_from_wall(wall, spot, *strip.places(grid))
        strips.append(MAPS["edge_distance"].encode(distances.at(x, y)))
    stored = np.concatenate(strips)
    stored.flags.writeable = False
    return window, stored
