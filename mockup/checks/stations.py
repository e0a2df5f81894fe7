"""What shows on either side of a decal's edge, station by station along it, layer by layer.

At each station everything within `REACH_MM` is taken: on the one side what shows within the
outline, which is the decal unless flakes or a wrap lie over it, on the other what shows round it,
other pieces of the same material left out. Colours come later, so that palettes and lights can
change without a new look at the maps.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np
import shapely
from numpy.typing import NDArray

from mockup.blank.wall import Wall
from mockup.checks.decal_shape import DecalShape
from mockup.material.channels import MAPS
from mockup.skin.skin import FIELD_STEP, Skin

__all__ = ["REACH_MM", "Side", "Stations", "shown_at", "stations_along"]

Floats = NDArray[np.float64]
Light = NDArray[np.float32]
Ints = NDArray[np.intp]

REACH_MM = 1.0  # 3.4′ at 1 m: near enough to be what an edge is told by
STEP_MM = 1.0  # between stations
MOST_STATIONS = 3000  # of one decal; a longer edge has its stations further apart
_POINTS = 200  # about a station, 0.13 mm apart
_CHUNK = 512  # stations looked at together


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """What shows on one side of the edge, over n stations.

    Attributes
    ----------
    layers : (n, 1 + sheets + populations) float32
        Share of each layer in what shows; the first is the base coat with its artwork. With
        `backed` they sum to 1, or to 0 where nothing but the same material lies there.
    backed : (n,) float32
        Share of a backing that is tried; 0 unless `stations_along` was told of one.
    coverage : (n, populations) float32
        Mean coverage of each population of flakes there.
    art_station, art_weight, art_rgba8_srgb : (m,) intp, (m,) float32, (m, 4) uint8
        Points where artwork shows: their station, their part of `layers[:, 0]`, their texel.
    """

    layers: Light
    backed: Light
    coverage: Light
    art_station: Ints
    art_weight: Light
    art_rgba8_srgb: NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class Stations:
    """Places along a decal's edge, ring by ring: arrays of (n,).

    `part` counts the decal's separate pieces, such as letters; `along_mm` runs on over all rings;
    `length_mm` is the length of edge that a station stands for.
    """

    part: Ints
    along_mm: Floats
    length_mm: Floats
    turn_rad: Floats
    height_mm: Floats
    within: Side
    around: Side


def stations_along(
    shape: DecalShape, skin: Skin, wall: Wall, *, backing_mm: float = 0.0
) -> Stations:
    """Look at both sides of a decal's edge.

    Parameters
    ----------
    backing_mm
        Outset of a backing to be tried: up to there it shows round the decal, and nothing else.
    """
    points, part, along, length = _edge(shape)
    turn, height = shape.on_wall(wall, points)
    looked = [
        _look(shape, skin, wall, turn[chunk], height[chunk], backing_mm)
        for chunk in _chunks(len(points))
    ]
    within, around = (_joined(sides) for sides in zip(*looked, strict=True))
    return Stations(part, along, length, turn, height, within, around)


def shown_at(skin: Skin, row: Ints, column: Ints) -> Light:
    """Share of each layer in what shows at texels: (..., 1 + sheets + populations), sums to 1.

    The outermost that is there hides what is below; flakes hide their coverage's share.
    """
    sheets, flakes = skin.sheets, skin.flakes
    stack = [(s.order, 1 + i) for i, s in enumerate(sheets)]
    stack += [(f.order, 1 + len(sheets) + i) for i, f in enumerate(flakes)]
    shares = np.zeros((*row.shape, 1 + len(stack)), np.float32)
    left = np.ones(row.shape, np.float32)
    for _, at in sorted(stack, reverse=True):
        if at <= len(sheets):
            edge_mm = MAPS["edge_distance"].decode(skin.edge_distance[row, column, at - 1])
            share = np.clip(0.5 - edge_mm / np.float32(skin.grid.row_mm), 0, 1)
        else:
            share = _coverage(skin, row, column)[..., at - 1 - len(sheets)]
        shares[..., at] = left * share
        left = left * (1 - share)
    shares[..., 0] = left
    return shares


def _coverage(skin: Skin, row: Ints, column: Ints) -> Light:
    stored = skin.flake_coverage[row // FIELD_STEP, column // FIELD_STEP]
    return MAPS["flake_coverage"].decode(stored)


@cache
def _disc() -> Floats:
    """Points of a disc about a station: (_POINTS, 2) mm, each for the same area.

    Along Vogel's spiral (1979, doi:10.1016/0025-5564(79)90080-4), so that no row of points runs
    along an edge.
    """
    nth = np.arange(_POINTS) + 0.5
    away, turn = REACH_MM * np.sqrt(nth / _POINTS), nth * np.pi * (3 - np.sqrt(5))
    return np.stack([away * np.cos(turn), away * np.sin(turn)], axis=-1)


def _edge(shape: DecalShape) -> tuple[Floats, Ints, Floats, Floats]:
    """Points (n, 2) along the rings, their part, the way along, the length each stands for."""
    step = max(STEP_MM, shape.outline.length / MOST_STATIONS)
    found: list[tuple[Floats, Ints, Floats, Floats]] = []
    before = 0.0
    for part, polygon in enumerate(shapely.get_parts(shape.outline)):
        for ring in (polygon.exterior, *polygon.interiors):
            count = max(1, round(ring.length / step))
            along = (np.arange(count) + 0.5) * (ring.length / count)
            points = shapely.get_coordinates(shapely.line_interpolate_point(ring, along))
            each = np.full(count, ring.length / count)
            found.append((points, np.full(count, part), before + along, each))
            before += ring.length
    points, parts, along, length = (np.concatenate(arrays) for arrays in zip(*found, strict=True))
    return points, parts, along, length


def _chunks(count: int) -> Iterator[slice]:
    return (slice(first, first + _CHUNK) for first in range(0, count, _CHUNK))


def _look(
    shape: DecalShape, skin: Skin, wall: Wall, turn: Floats, height: Floats, backing_mm: float
) -> tuple[Side, Side]:
    grid, across = skin.grid, _disc()
    up = height[:, None] + across[:, 1]
    radius = wall.radius_at(np.clip(up, 0, wall.length_mm))
    beside = turn[:, None] + across[:, 0] / radius
    on_wall = (up >= 0) & (up < wall.length_mm)
    row = np.clip((up / grid.row_mm).astype(np.intp), 0, grid.rows - 1)
    column = np.floor((beside + np.pi) * (grid.columns / (2 * np.pi))).astype(np.intp)
    column %= grid.columns
    apart = shape.distance_mm(wall, beside, up)
    shares = shown_at(skin, row, column)
    half = grid.row_mm / 2  # texels that the edge runs through belong to neither side
    inside, outside = on_wall & (apart < -half), on_wall & (apart > half)
    backed = outside & (apart <= backing_mm - half)
    own = [1 + i for i in shape.channels]
    round_it = shares * (outside & ~backed)[..., None]
    round_it[..., own] = 0.0
    of_itself = shares * inside[..., None]
    none = ~inside.any(axis=1)  # a stroke finer than a texel
    if own:
        of_itself[none, 0, own[-1]] = 1.0
    coverage, texel = _coverage(skin, row, column), skin.art_rgba8_srgb[row, column]
    return (
        _side(of_itself, np.zeros_like(backed), inside, coverage, texel),
        _side(round_it, backed, outside, coverage, texel),
    )


def _side(
    shares: Light,
    backed: NDArray[np.bool_],
    there: NDArray[np.bool_],
    coverage: Light,
    texel: NDArray[np.uint8],
) -> Side:
    """Means over the points of each station: (n, k, …) → (n, …)."""
    backing = backed.sum(axis=1)
    total = shares.sum(axis=(1, 2), dtype=np.float64) + backing
    scale = np.divide(1.0, total, out=np.zeros_like(total), where=total > 1e-6)
    points = np.maximum(there.sum(axis=1), 1)[:, None]
    art = (shares[..., 0] > 0) & (texel[..., 3] > 0)
    station, _ = np.nonzero(art)
    return Side(
        layers=(shares.sum(axis=1, dtype=np.float64) * scale[:, None]).astype(np.float32),
        backed=(backing * scale).astype(np.float32),
        coverage=((coverage * there[..., None]).sum(axis=1) / points).astype(np.float32),
        art_station=station,
        art_weight=(shares[..., 0][art] * scale[station]).astype(np.float32),
        art_rgba8_srgb=texel[art],
    )


def _joined(sides: tuple[Side, ...]) -> Side:
    before = np.cumsum([0, *(len(side.layers) for side in sides)])
    stations = [side.art_station + first for side, first in zip(sides, before[:-1], strict=True)]
    return Side(
        layers=np.concatenate([side.layers for side in sides]),
        backed=np.concatenate([side.backed for side in sides]),
        coverage=np.concatenate([side.coverage for side in sides]),
        art_station=np.concatenate(stations),
        art_weight=np.concatenate([side.art_weight for side in sides]),
        art_rgba8_srgb=np.concatenate([side.art_rgba8_srgb for side in sides]),
    )
