"""Where the flakes lie: the numpy twin of shade.glsl's placement, for lists, weights and tests.

Flakes are points of a Poisson process in (turn, height, t), hashed cell by cell: a flake exists
where t is below m = λ · cell area, smaller t lies on top, and raising the field only adds flakes
underneath. Arithmetic is float32 wherever the shader's outcome depends on it.

References
----------
Jarzynski & Olano (2020), Hash Functions for GPU Rendering, JCGT 9(3): pcg3d.
Lagae et al. (2010), A Survey of Procedural Noise Functions, doi:10.1111/j.1467-8659.2010.01827.x:
Poisson impulses by cell.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.blank.wall import Wall
from mockup.material.channels import MAPS
from mockup.shading.table import ROW_FLAKES
from mockup.skin.skin import Skin

__all__ = ["MOST_COVERAGE", "FlakeList", "TopFlake", "flake_list", "pcg3d", "poisson", "top_flake"]

Floats = NDArray[np.float32]
Ids = NDArray[np.uint32]

MOST_COVERAGE = np.float32(0.985)
MOST_LAYERS = 12
# Distribution function of Poisson(1) at 0 to 4, times 2^32
_THRESHOLDS = np.array([0x5E2D58D9, 0xBC5AB1B1, 0xEB715E1E, 0xFB239797, 0xFF1025F6], np.uint32)
_APOTHEM = np.float32(0.8660254)  # of a hexagon whose corners lie at distance 1
_UNIT = np.float32(1 / 16777216)
_ROWS_BELOW = 64  # cells of row 64 begin at the wall's foot, so that rows stay above 0


@dataclass(frozen=True, slots=True, eq=False)
class FlakeList:
    """All flakes of one population that touch the wall, as (n,) arrays.

    Attributes
    ----------
    turn_rad, height_mm : float64
        Centre, wall coordinates. Some centres lie just beyond foot and rim.
    t : float32
        Order in its cell's column: of two flakes that overlap, the smaller t lies on top.
    depth : float32, in [0, 1)
        Share of the layer's flakes that lie above this one.
    rotation_rad : float64
        Of the hexagon: direction in which one of its sides faces, from the wall's x.
    slopes : (n, 2) float32
        Tilt: the normal is (slopes, 1), normalised; x to the right, y up the wall.
    row : int64
        Row of its swatch in the parameter table.
    ids : (n, 3) uint32
        What the flake is hashed from.
    """

    turn_rad: NDArray[np.float64]
    height_mm: NDArray[np.float64]
    t: Floats
    depth: Floats
    rotation_rad: NDArray[np.float64]
    slopes: Floats
    row: NDArray[np.int64]
    ids: Ids


@dataclass(frozen=True, slots=True, eq=False)
class TopFlake:
    """The topmost flake at each point: `hit` (n,) bool; `ids` (n, 3), `t`, `depth` where hit."""

    hit: NDArray[np.bool_]
    ids: Ids
    t: Floats
    depth: Floats


def pcg3d(v: ArrayLike) -> Ids:
    """Hash of three 32-bit numbers to three: (..., 3) uint32 → (..., 3) uint32."""
    whole = np.asarray(v, np.uint32)
    w = whole.reshape(-1, 3) * np.uint32(1664525) + np.uint32(1013904223)  # arrays wrap in silence
    x, y, z = w.T
    for mixing in (False, True):
        if mixing:
            x, y, z = (a ^ (a >> np.uint32(16)) for a in (x, y, z))
        x = x + y * z
        y = y + z * x
        z = z + x * y
    return np.stack([x, y, z], axis=-1).reshape(whole.shape)


def poisson(uniform: Ids) -> NDArray[np.int64]:
    """Counts of a Poisson law of mean 1 from uniform 32-bit numbers, by inversion; at most 5."""
    return np.searchsorted(_THRESHOLDS, uniform, side="right").astype(np.int64)


@dataclass(frozen=True, slots=True)
class _Cells:
    """A population's hash cells as its rows of the parameter table have them."""

    across_mm: np.float32  # corner to corner of the flake as seen from above, tilted as it is
    height_mm: np.float32
    columns: int
    salt: int
    per_area: np.float32  # flakes a mm² and unit of −ln(1 − C)
    slope: np.float32
    field: NDArray[np.float32]
    length_mm: np.float32
    depth_mm: float

    @classmethod
    def of(cls, skin: Skin, table: Floats, population: int) -> "_Cells":
        row = table[ROW_FLAKES + population]
        stored = skin.flake_coverage[..., population]
        return cls(
            row[0, 0], row[0, 1], int(row[0, 2]), int(row[0, 3]), row[1, 0], row[1, 1],
            MAPS["flake_coverage"].decode(stored), table[0, 0, 0], float(row[2, 1]),
        )  # fmt: skip

    def intensity(self, column: NDArray[np.integer], row: NDArray[np.integer]) -> Floats:
        """−ln(1 − C) at the middle of cells; one number holds for a whole cell."""
        half = np.float32(0.5)
        u = (column.astype(np.float32) + half) / np.float32(self.columns)
        step = self.height_mm / self.length_mm
        v = ((row - _ROWS_BELOW).astype(np.float32) + half) * step
        share = _bilinear(self.field, u, np.clip(v, np.float32(0), np.float32(1)))
        intensity: Floats = -np.log(1 - np.minimum(share, MOST_COVERAGE))
        return intensity

    def cell_area(self, radius_mm: NDArray[np.floating]) -> Floats:
        """Area of a cell at this radius, in flakes a unit of −ln(1 − C)."""
        width = np.float32(2 * np.pi) * radius_mm.astype(np.float32) / np.float32(self.columns)
        return width * self.height_mm * self.per_area

    def flakes_of(
        self, column: NDArray[np.integer], row: NDArray[np.integer], layer: int
    ) -> Iterator[tuple[NDArray[np.int64], Ids, Ids]]:
        """Give (which cells, ids, hashes) of each cell's first flake, then of its second, …."""
        salt = self.salt + 8 * layer
        key = np.stack(
            [column % self.columns + 65536, row + 65536, np.full(column.shape, salt)], -1
        ).astype(np.uint32)
        count = poisson(pcg3d(key)[..., 0])
        for k in range(len(_THRESHOLDS)):
            which = np.flatnonzero(count > k)
            ids = key[which]
            ids[:, 2] += np.uint32(1 + k)
            yield which, ids, pcg3d(ids)


def flake_list(skin: Skin, table: Floats, population: int, wall: Wall) -> FlakeList:
    """Every flake of a population that the shader can draw on the wall.

    Parameters
    ----------
    skin, table
        As the shader is given them.
    population
        Index in `Skin.flakes`.
    wall
        The outer face; flakes lie `Flakes.depth_mm` under it.
    """
    cells = _Cells.of(skin, table, population)
    rows = np.arange(int(skin.grid.length_mm / cells.height_mm) + 3) + _ROWS_BELOW - 1
    row, column = (a.ravel() for a in np.meshgrid(rows, np.arange(cells.columns), indexing="ij"))
    intensity = cells.intensity(column, row)
    most = float(intensity.max() * cells.cell_area(np.array(wall.radius_max_mm)))
    found: list[tuple[NDArray[Any], ...]] = []
    for layer in range(min(max(int(np.ceil(most)), 1), MOST_LAYERS)):
        for which, ids, z in cells.flakes_of(column, row, layer):
            fraction, t = _place(z, layer)
            height = (row[which] - _ROWS_BELOW + fraction[:, 1].astype(float)) * cells.height_mm
            radius = wall.radius_at(height) - cells.depth_mm
            m = intensity[which] * cells.cell_area(radius)
            turn = (column[which] + fraction[:, 0].astype(float)) * (2 * np.pi / cells.columns)
            facts = turn - np.pi, height, t, t / np.maximum(m, _UNIT), -_turn(z), ids
            found.append(tuple(fact[t < m] for fact in facts))
    turn, height, t, depth, rotation, ids = (np.concatenate(a) for a in zip(*found, strict=True))
    slopes, swatch = _look(table[ROW_FLAKES + population], ids)
    return FlakeList(turn, height, t, depth, rotation, slopes, swatch, ids)


def top_flake(
    skin: Skin,
    table: Floats,
    population: int,
    turn_rad: ArrayLike,
    height_mm: ArrayLike,
    radius_mm: ArrayLike,
) -> TopFlake:
    """The topmost flake of a population at points of its own layer.

    Parameters
    ----------
    turn_rad, height_mm, radius_mm : (n,) float
        Points of the layer: `radius_mm` is that of the outer face less the layer's depth.
    """
    cells = _Cells.of(skin, table, population)
    x, y, r = (np.asarray(a, np.float32) for a in (turn_rad, height_mm, radius_mm))
    columns = np.float32(cells.columns)
    across = np.float32(2 * np.pi) * r / columns
    q = (
        (x / np.float32(2 * np.pi) + np.float32(0.5)) * columns,
        y / cells.height_mm + np.float32(64),
    )
    first = [np.floor(a - np.float32(0.5)) for a in q]
    offset = [a - f for a, f in zip(q, first, strict=True)]
    ix, iy = (f.astype(np.int64) for f in first)
    area = cells.cell_area(r)
    middle = [[cells.intensity(ix + i, iy + j) * area for i in range(2)] for j in range(2)]
    per_radius = 2 * across / cells.across_mm, np.float32(2) * cells.height_mm / cells.across_mm
    best = np.full(x.shape, 1e9, np.float32)
    ids, depth = np.zeros((*x.shape, 3), np.uint32), np.zeros(x.shape, np.float32)
    layers = min(int(np.ceil(np.max(middle, initial=0.0))), MOST_LAYERS)
    for layer in range(layers):
        for j, i in ((0, 0), (0, 1), (1, 0), (1, 1)):
            for which, of, z in cells.flakes_of(ix + i, iy + j, layer):
                fraction, t = _place(z, layer)
                dx = (offset[0][which] - np.float32(i) - fraction[:, 0]) * per_radius[0][which]
                dy = (offset[1][which] - np.float32(j) - fraction[:, 1]) * per_radius[1]
                m = middle[j][i][which]
                wins = _in_hexagon(dx, dy, _turn(z)) & (t < best[which]) & (t < m)
                at = which[wins]
                best[at], ids[at], depth[at] = t[wins], of[wins], (t / np.maximum(m, _UNIT))[wins]
    hit = best < 1e8
    return TopFlake(hit, ids, np.where(hit, best, np.float32(0)), depth)


def _bilinear(field: Floats, u: Floats, v: Floats) -> Floats:
    """A texture's read: texel middles at half numbers, round the cup without end, held up it."""
    rows, columns = field.shape
    x = u * np.float32(columns) - np.float32(0.5)
    y = np.clip(v * np.float32(rows) - np.float32(0.5), np.float32(0), np.float32(rows - 1))
    fx, fy = np.floor(x), np.floor(y)
    i, j = fx.astype(np.int64) % columns, fy.astype(np.int64)
    beside, above = (i + 1) % columns, np.minimum(j + 1, rows - 1)
    corners = field[j, i], field[j, beside], field[above, i], field[above, beside]
    return _between(corners, np.stack([x - fx, y - fy], -1))


def _between(corners: ArrayLike, fraction: Floats) -> Floats:
    """Bilinear mean of (lower left, lower right, upper left, upper right)."""
    a, b, c, d = np.asarray(corners)
    fx, fy = fraction[..., 0], fraction[..., 1]
    low, high = a * (1 - fx) + b * fx, c * (1 - fx) + d * fx
    mean: Floats = low * (1 - fy) + high * fy
    return mean


def _place(z: Ids, layer: int) -> tuple[Floats, Floats]:
    """Where in its cell each flake lies, (n, 2) in [0, 1), and its t."""
    unit = (z >> np.uint32(8)).astype(np.float32) * _UNIT
    return unit[:, :2], np.float32(layer) + unit[:, 2]


def _turn(z: Ids) -> Floats:
    """Angle from the flake's own frame to the wall's, within ±30°."""
    step = np.float32(1.0471976 / 256)
    turn: Floats = ((z[:, 2] & np.uint32(255)).astype(np.float32) + np.float32(0.5)) * step
    return turn - np.float32(0.5235988)


def _in_hexagon(dx: Floats, dy: Floats, turn: Floats) -> NDArray[np.bool_]:
    """Whether points, in units of the corners' distance, lie in a hexagon turned by −`turn`."""
    cos, sin = np.cos(turn), np.sin(turn)
    ex, ey = np.abs(dx * cos - dy * sin), np.abs(dy * cos + dx * sin)
    inside: NDArray[np.bool_] = np.maximum(ex, np.float32(0.5) * ex + _APOTHEM * ey) < _APOTHEM
    return inside


def _look(row: Floats, ids: Ids) -> tuple[Floats, NDArray[np.int64]]:
    """Tilt slopes (Rayleigh-distributed size, even direction) and swatch of each flake."""
    e = pcg3d(ids + np.array([0, 0, 0x8000], np.uint32))
    r = (e >> np.uint32(8)).astype(np.float32) * _UNIT
    size = row[1, 1] * np.sqrt(-2 * np.log(1 - np.float32(0.9999) * r[:, 0]))
    azimuth = np.float32(2 * np.pi) * r[:, 1]
    parts = row[3 : 3 + int(row[1, 3])]
    part = np.minimum(np.searchsorted(parts[:, 0], r[:, 2]), len(parts) - 1)
    slopes = np.stack([size * np.cos(azimuth), size * np.sin(azimuth)], -1).astype(np.float32)
    return slopes, parts[part, 1].astype(np.int64)
