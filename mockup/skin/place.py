"""Where a piece laid on the wall falls: its own coordinates at wall points, its window, its fit.

A piece lies `straight`, as a flat sheet cut as drawn lies on the wall, or `level`: every line that
is level on the drawing then runs at one height round the cup, and the piece is cut bent. On a
cylinder the two are one.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from mockup.blank.flat import sheet_from_wall, wall_from_sheet, wrapped_turn
from mockup.blank.grid import WallGrid
from mockup.blank.wall import Wall
from mockup.design.layers import Place
from mockup.errors import GeometryError

__all__ = [
    "Lie",
    "Spot",
    "Window",
    "check_fit",
    "piece_from_wall",
    "refuse_overlap",
    "sheet_from_piece",
    "wall_from_piece",
    "window_of",
]

Lie = Literal["level", "straight"]

Floats = NDArray[np.float64]
Bounds = tuple[float, float, float, float]

_TOUCH_MM = 0.02  # an edge on the border still fits
_BEND_MM = 0.001  # how far a chord of a bent edge may leave its arc
_LONGEST_STEP_MM = 5.0
_LAST_TURN = np.pi * (1 - 1e-12)  # the short way round, even for what goes all round
_STEP_MM = 1.0  # straight edges are bent on to the wall at this spacing


@dataclass(frozen=True, slots=True)
class Spot:
    """The point of the wall that carries a piece's origin, its rotation there, and how it lies."""

    turn_rad: float
    height_mm: float
    rotation_rad: float = 0.0
    lie: Lie = "straight"

    @classmethod
    def of(cls, place: Place, *, rotation_deg: float = 0.0, lie: Lie = "straight") -> "Spot":
        """The document's place, turned further by `rotation_deg`, anticlockwise."""
        turn = float(wrapped_turn(np.radians(place.angle_deg)))
        rotation = float(np.radians(place.rotation_deg + rotation_deg))
        return cls(turn, place.height_mm, rotation, lie)

    def reach_mm(self, wall: Wall) -> float:
        """Radius, mm, by which a level piece's widths are laid off as turns: the spot's own."""
        return float(wall.radius_at(np.clip(self.height_mm, 0.0, wall.length_mm)))


@dataclass(frozen=True, slots=True)
class Window:
    """Rows of the grid and indices of its columns, which may run on over the back: (n,)."""

    rows: slice
    columns: NDArray[np.intp]

    @property
    def shape(self) -> tuple[int, int]:
        """(rows, columns)."""
        return self.rows.stop - self.rows.start, len(self.columns)

    def places(self, grid: WallGrid) -> tuple[Floats, Floats]:
        """Turns (1, n) rad and heights (m, 1) mm of the texels' middles."""
        return grid.turns_rad()[None, self.columns], grid.heights_mm()[self.rows, None]

    def strips(self, rows: int) -> Iterator["Window"]:
        """The window in strips of at most `rows` rows, lowest first."""
        for first in range(self.rows.start, self.rows.stop, rows):
            yield Window(slice(first, min(first + rows, self.rows.stop)), self.columns)


def piece_from_wall(
    wall: Wall, spot: Spot, turn_rad: NDArray[np.floating], height_mm: NDArray[np.floating]
) -> tuple[Floats, Floats]:
    """Wall points in the coordinates of a piece laid at `spot`: x right, y up, both (...) mm."""
    if spot.lie == "level":
        across = wrapped_turn(np.subtract(turn_rad, spot.turn_rad)) * spot.reach_mm(wall)
        x, y = np.broadcast_arrays(across, np.subtract(height_mm, spot.height_mm))
    else:
        sheet = sheet_from_wall(wall, spot.turn_rad, spot.height_mm, turn_rad, height_mm)
        x, y = sheet[..., 0], sheet[..., 1]
    if spot.rotation_rad == 0:
        return x, y
    c, s = np.cos(spot.rotation_rad), np.sin(spot.rotation_rad)
    return c * x + s * y, c * y - s * x


def wall_from_piece(wall: Wall, spot: Spot, piece_mm: Floats) -> tuple[Floats, Floats]:
    """Points of a piece, (..., 2) mm, on the wall: turn from the spot's, rad, and height, mm."""
    c, s = np.cos(spot.rotation_rad), np.sin(spot.rotation_rad)
    sheet = piece_mm @ np.array([[c, s], [-s, c]])
    if spot.lie == "level":
        return sheet[..., 0] / spot.reach_mm(wall), sheet[..., 1] + spot.height_mm
    turn, height = wall_from_sheet(wall, spot.turn_rad, spot.height_mm, sheet)
    return turn - spot.turn_rad, height


def sheet_from_piece(wall: Wall, spot: Spot, shape: MultiPolygon) -> MultiPolygon:
    """A piece as it is cut from flat sheet: mm, sheet space about the spot, rotation included.

    A level piece on a taper comes out bent: its straight edges are divided first, so that a chord
    leaves its arc by at most `_BEND_MM`.
    """
    bent = spot.lie == "level" and wall.kind != "cylinder"
    if bent:
        slope = max(abs(float(wall.slope_at(spot.height_mm)[0])), 1e-6)
        step = float(np.sqrt(8 * _BEND_MM * spot.reach_mm(wall) / slope))
        shape = shapely.segmentize(shape, min(step, _LONGEST_STEP_MM))

    def cut(points: Floats) -> Floats:
        if not bent:
            c, s = np.cos(spot.rotation_rad), np.sin(spot.rotation_rad)
            turned: Floats = points @ np.array([[c, s], [-s, c]])
            return turned
        beside, height = wall_from_piece(wall, spot, points)
        beside = np.clip(beside, -_LAST_TURN, _LAST_TURN)
        return sheet_from_wall(wall, 0.0, spot.height_mm, beside, height)

    return shapely.transform(shape, cut)


def window_of(wall: Wall, grid: WallGrid, spot: Spot, bounds_mm: Bounds) -> Window | None:
    """The part of the grid that a piece with these bounds covers; None if it misses the wall.

    Parameters
    ----------
    bounds_mm
        West, south, east, north of the piece in its own coordinates, with any margin wanted.
    """
    edge = shapely.segmentize(shapely.box(*bounds_mm).exterior, _STEP_MM)
    beside, height = wall_from_piece(wall, spot, shapely.get_coordinates(edge))
    if np.ptp(beside) >= 2 * np.pi or np.abs(beside).max() > np.pi:
        columns = np.arange(grid.columns)
    else:
        ends = (spot.turn_rad + np.pi + beside[[beside.argmin(), beside.argmax()]]) / (2 * np.pi)
        first, last = (int(np.floor(end * grid.columns)) for end in ends)
        columns = np.arange(first, min(last + 1, first + grid.columns)) % grid.columns
    if np.ptp(beside) >= 2 * np.pi:  # it may hold the cone's point
        return Window(slice(0, grid.rows), columns)
    low = max(int(np.floor(height.min() / grid.row_mm)), 0)
    high = min(int(np.floor(height.max() / grid.row_mm)) + 1, grid.rows)
    return Window(slice(low, high), columns) if low < high else None


def check_fit(wall: Wall, spot: Spot, shape: MultiPolygon, *, where: str) -> None:
    """Refuse a shape that leaves the wall or meets itself round the back.

    Raises
    ------
    GeometryError
        With the edge that it passes, by how much, and the nearest height that fits.
    """
    refuse_overlap(wall, spot, shape, where=where)
    edges = _edge_points(shape)
    below, above = _overhang(wall, spot, edges)
    if max(below, above) <= _TOUCH_MM:
        return
    edge, over = ("foot", below) if below > above else ("rim", above)
    problem = f"the shape reaches {over:.1f} mm beyond the wall's {edge}"
    lowest, highest = _slid(wall, spot, edges, upward=True), _slid(wall, spot, edges, upward=False)
    if lowest is None or highest is None or lowest > highest:
        raise GeometryError(
            f"{problem} and is too tall for a wall of {wall.length_mm:.1f} mm",
            where=where,
            remedy="Make it smaller",
        )
    limit = f"{lowest:.1f} or more" if edge == "foot" else f"{highest:.1f} or less"
    remedy = f"Set place.height_mm to {limit}, or make the shape smaller"
    raise GeometryError(problem, where=where, remedy=remedy)


def refuse_overlap(wall: Wall, spot: Spot, shape: MultiPolygon, *, where: str) -> None:
    """Refuse a shape that meets itself round the back.

    Raises
    ------
    GeometryError
        With its size and the way round.
    """
    edges = _edge_points(shape)
    beside, height = wall_from_piece(wall, spot, edges)
    on_wall = (height >= 0) & (height <= wall.length_mm)
    if np.any(np.abs(beside[on_wall]) > np.pi):
        across = float(np.max(np.ptp(edges, axis=0)))
        around = float(wall.circumference_mm(np.clip(spot.height_mm, 0, wall.length_mm)))
        raise GeometryError(
            f"the shape is {across:.1f} mm across and would overlap itself on a cup"
            f" {around:.1f} mm round",
            where=where,
            remedy="Make it smaller",
        )


def _edge_points(shape: MultiPolygon) -> Floats:
    points: Floats = shapely.get_coordinates(shapely.segmentize(shape.boundary, _STEP_MM))
    return points


def _overhang(wall: Wall, spot: Spot, edges_mm: Floats) -> tuple[float, float]:
    """How far edge points lie beyond foot and rim, mm; negative if they keep off."""
    _, height = wall_from_piece(wall, spot, edges_mm)
    return -float(height.min()), float(height.max()) - wall.length_mm


def _slid(wall: Wall, spot: Spot, edges_mm: Floats, *, upward: bool) -> float | None:
    """The lowest height at which edges clear the foot, or the highest at which they clear the rim.

    Rounded to 0.1 mm away from that border; None if there is none.
    """
    height, way = spot.height_mm, 1.0 if upward else -1.0
    for _ in range(30):
        below, above = _overhang(wall, replace(spot, height_mm=height), edges_mm)
        over = below if upward else above
        if abs(over) < _TOUCH_MM / 4:
            return float(way * np.ceil(way * height * 10 - 0.1) / 10)
        height += way * over
        if abs(height) > 3 * wall.length_mm + 600:
            break
    return None
