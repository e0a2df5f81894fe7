"""How sheet artwork meets the wall: once round, repeated, or one piece in its place.

Sheet coordinates: mm along the artwork's own axes from its lower left corner, x right and y up.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, box

from mockup.blank.flat import flat_from_wall
from mockup.blank.grid import WallGrid
from mockup.blank.wall import Wall
from mockup.design.layers import WrapLayer
from mockup.errors import DesignError
from mockup.skin.place import Spot, Window, piece_from_wall, refuse_overlap, window_of
from mockup.skin.sample import Edge

__all__ = ["FITS", "Fit"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Fit:
    """Artwork of `width_mm` × `height_mm`, turned by `quarter_turns` first, on part of the grid.

    `sheet_from_window` gives sheet coordinates, (m or 1, n or 1) mm; `edges` says what is beyond
    the artwork, across and down. The sheet lies between `low_mm` and `high_mm` up the wall.
    `rotation_rad` turns its slopes on to the wall. `jointed`: its ends meet at the seam.
    """

    width_mm: float
    height_mm: float
    window: Window
    sheet_from_window: Callable[[Window], tuple[Floats, Floats]]
    edges: tuple[Edge, Edge]
    low_mm: float
    high_mm: float
    jointed: bool
    rotation_rad: float = 0.0
    quarter_turns: int = 0


def _fit_round(
    wall: Wall, grid: WallGrid, layer: WrapLayer, natural_mm: tuple[float, float], where: str
) -> Fit:
    """The artwork's width once round by angle, from the seam to the right."""
    quarter_turns, rest = divmod(layer.rotation_deg, 90)
    if rest:
        raise DesignError(
            f"artwork that goes once round cannot be rotated by {layer.rotation_deg:g}°",
            where=f"{where}.rotation_deg",
            remedy="Use a multiple of 90, or fit = 'tile'",
        )
    across, along = natural_mm if quarter_turns % 2 == 0 else natural_mm[::-1]
    foot = layer.from_mm + layer.offset_mm[1]
    height = layer.height_mm or _proportional_height(wall, foot, along / across)
    width = float(wall.circumference_mm(np.clip(foot + height / 2, 0, wall.length_mm)))

    def sheet(window: Window) -> tuple[Floats, Floats]:
        turns, heights = window.places(grid)
        share = np.mod(turns - np.radians(layer.seam_deg), 2 * np.pi) / (2 * np.pi)
        return share * width - layer.offset_mm[0], heights - foot

    low, high = max(foot, layer.from_mm), min(foot + height, _top(wall, layer))
    window, turned = _all_round(grid, low, high), int(quarter_turns) % 4
    edges: tuple[Edge, Edge] = ("repeat", "hold")
    return Fit(width, height, window, sheet, edges, low, high, True, quarter_turns=turned)


def _proportional_height(wall: Wall, foot_mm: float, slope: float) -> float:
    """Height that is `slope` times the way round at its own middle."""
    height = 0.0
    for _ in range(30):
        middle = np.clip(foot_mm + height / 2, 0, wall.length_mm)
        height = slope * float(wall.circumference_mm(middle))
    return height


def _fit_tile(
    wall: Wall, grid: WallGrid, layer: WrapLayer, natural_mm: tuple[float, float], where: str
) -> Fit:
    """Repeated in its own size on the flat cut at the seam; a tile's corner lies at the foot there.

    The pattern breaks at the seam, as on the cup, unless it fits a whole number of times.
    """
    width, height = _own_size(layer, natural_mm)
    rotation = float(np.radians(layer.rotation_deg))
    c, s = np.cos(rotation), np.sin(rotation)
    straight = wall.kind == "cylinder" and rotation == 0

    def sheet(window: Window) -> tuple[Floats, Floats]:
        turns, heights = window.places(grid)
        beside = np.mod(turns - np.radians(layer.seam_deg), 2 * np.pi) - np.pi
        if straight:
            x = flat_from_wall(wall, beside, 0.0)[..., 0]
            y = heights - layer.from_mm
        else:
            flat = flat_from_wall(wall, beside, heights)
            u, v = flat[..., 0], flat[..., 1] - layer.from_mm
            x, y = c * u + s * v, c * v - s * u
        return x - layer.offset_mm[0], y - layer.offset_mm[1]

    low, high = layer.from_mm, _top(wall, layer)
    window = _all_round(grid, low, high)
    edges: tuple[Edge, Edge] = ("repeat", "repeat")
    return Fit(width, height, window, sheet, edges, low, high, True, rotation)


def _fit_placed(
    wall: Wall, grid: WallGrid, layer: WrapLayer, natural_mm: tuple[float, float], where: str
) -> Fit:
    """One piece about its place; what passes foot or rim is trimmed.

    Raises
    ------
    GeometryError
        It would overlap itself round the back.
    """
    assert layer.place is not None  # the document holds a placed wrap to it
    width, height = _own_size(layer, natural_mm)
    spot = Spot.of(layer.place, rotation_deg=layer.rotation_deg)
    west, south = layer.offset_mm[0] - width / 2, layer.offset_mm[1] - height / 2
    bounds = (west, south, west + width, south + height)
    refuse_overlap(wall, spot, MultiPolygon([box(*bounds)]), where=where)

    def sheet(window: Window) -> tuple[Floats, Floats]:
        x, y = piece_from_wall(wall, spot, *window.places(grid))
        return x - west, y - south

    margin = 2 * grid.row_mm
    wider = (west - margin, south - margin, west + width + margin, south + height + margin)
    found = window_of(wall, grid, spot, wider)
    low, high = layer.from_mm, _top(wall, layer)
    limits = _all_round(grid, low, high).rows
    rows, columns = (found.rows, found.columns) if found else (slice(0, 0), np.arange(0))
    first = max(rows.start, limits.start)
    window = Window(slice(first, max(first, min(rows.stop, limits.stop))), columns)
    edges: tuple[Edge, Edge] = ("cut", "cut")
    return Fit(width, height, window, sheet, edges, low, high, False, spot.rotation_rad)


def _own_size(layer: WrapLayer, natural_mm: tuple[float, float]) -> tuple[float, float]:
    assert layer.width_mm is not None  # the document holds tiles and pieces to it
    return layer.width_mm, layer.height_mm or layer.width_mm * natural_mm[1] / natural_mm[0]


def _top(wall: Wall, layer: WrapLayer) -> float:
    return wall.length_mm if layer.to_mm is None else min(layer.to_mm, wall.length_mm)


def _all_round(grid: WallGrid, low_mm: float, high_mm: float) -> Window:
    """Rows that any part of [low, high] mm touches, all columns."""
    first = max(int(np.floor(low_mm / grid.row_mm + 1e-9)), 0)
    last = min(int(np.ceil(high_mm / grid.row_mm - 1e-9)), grid.rows)
    return Window(slice(first, max(first, last)), np.arange(grid.columns))


FITS: dict[str, Callable[[Wall, WallGrid, WrapLayer, tuple[float, float], str], Fit]] = {
    "round": _fit_round,
    "tile": _fit_tile,
    "placed": _fit_placed,
}
