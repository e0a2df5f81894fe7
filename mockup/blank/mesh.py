"""The cup as triangles that carry exact normals, wall coordinates and flat coordinates."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mockup.blank.flat import flat_from_wall
from mockup.blank.outline import Run, cup_outline
from mockup.blank.wall import Blank, Wall
from mockup.errors import GeometryError

if TYPE_CHECKING:
    import pyvista

__all__ = ["CupMesh", "build_mesh"]

Floats32 = NDArray[np.float32]
_LEAST_COLUMNS = 8


@dataclass(frozen=True, slots=True)
class CupMesh:
    """The spun cup; triangles wind anticlockwise from outside and are sorted by part.

    Attributes
    ----------
    positions, normals : (n, 3) float32, mm and unit, object space
        Vertices are doubled along the seam and at creases; the normals are those of the surface.
    turn_height : (n, 2) float32, rad and mm
        Wall coordinates; on steel and lid the height goes on along the half section.
    flat_mm : (n, 2) float32
        Flat coordinates; beyond the gaps they stay at the gap's edge.
    triangles : (m, 3) uint32
        Vertex numbers.
    part : (m,) uint8
        `CupPart` of each triangle: 0 wall, 1 steel, 2 lid.
    total_height_mm
        Topmost z.
    """

    positions: Floats32
    normals: Floats32
    turn_height: Floats32
    flat_mm: Floats32
    triangles: NDArray[np.uint32]
    part: NDArray[np.uint8]
    total_height_mm: float

    @property
    def surface(self) -> "pyvista.PolyData":
        """For pyvista, with "normals", "turn_height" and "flat_mm" of points, "part" of cells."""
        import pyvista  # here, not at the top: it brings VTK, which only drawing needs

        surface = pyvista.PolyData.from_regular_faces(
            self.positions, self.triangles.astype(np.int64)
        )
        for name in ("normals", "turn_height", "flat_mm"):
            surface.point_data[name] = getattr(self, name)
        surface.cell_data["part"] = self.part
        return surface


def build_mesh(blank: Blank, *, columns: int = 256) -> CupMesh:
    """Spin the half section of `blank` round its axis in `columns` steps.

    Raises
    ------
    GeometryError
        Fewer than 8 columns.
    """
    if columns < _LEAST_COLUMNS:
        raise GeometryError(
            f"{columns} columns make no round cup",
            where="mesh",
            remedy=f"Use {_LEAST_COLUMNS} columns or more",
        )
    runs = sorted(cup_outline(blank), key=lambda run: run.part)
    turn = np.linspace(-np.pi, np.pi, columns + 1)
    sizes = [len(run.points_mm) * (columns + 1) for run in runs]
    firsts = np.append(0, np.cumsum(sizes))[:-1]
    faces = [_triangles(run, columns) + first for run, first in zip(runs, firsts, strict=True)]
    positions = _stacked([_spun(run.points_mm, turn) for run in runs])
    normals = _stacked([_spun(run.normals, turn) for run in runs])
    turn_height = [_wall_coordinates(run, turn) for run in runs]
    low, high = -blank.foot_gap_mm, blank.wall.length_mm + blank.rim_gap_mm
    flat = _stacked([_flat(blank.wall, coords, low, high) for coords in turn_height])
    triangles = np.concatenate(faces).astype(np.uint32)
    part = np.repeat([run.part for run in runs], [len(f) for f in faces]).astype(np.uint8)
    return CupMesh(
        positions=positions,
        normals=normals,
        turn_height=_stacked(turn_height),
        flat_mm=flat,
        triangles=triangles,
        part=part,
        total_height_mm=blank.total_height_mm,
    )


def _stacked(parts: list[NDArray[np.float64]]) -> Floats32:
    return np.ascontiguousarray(np.concatenate(parts), dtype=np.float32)


def _spun(section: NDArray[np.float64], turn_rad: NDArray[np.float64]) -> NDArray[np.float64]:
    """(rows, 2) of (r, z) → ((columns + 1)·rows, 3); the last column lies on the first."""
    sine, cosine = np.sin(turn_rad), np.cos(turn_rad)
    sine[[0, -1]] = 0.0
    r, z = section.T
    x, y = sine[:, None] * r, -cosine[:, None] * r
    return np.stack([x, y, np.broadcast_to(z, x.shape)], axis=-1).reshape(-1, 3)


def _wall_coordinates(run: Run, turn_rad: NDArray[np.float64]) -> NDArray[np.float64]:
    parts = np.broadcast_arrays(turn_rad[:, None], run.heights_mm)
    return np.stack(parts, axis=-1).reshape(-1, 2)


def _flat(
    wall: Wall, coordinates: NDArray[np.float64], low_mm: float, high_mm: float
) -> NDArray[np.float64]:
    return flat_from_wall(wall, coordinates[:, 0], np.clip(coordinates[:, 1], low_mm, high_mm))


def _triangles(run: Run, columns: int) -> NDArray[np.int64]:
    """Two triangles a quad, one where the run touches the axis: (m, 3) vertex numbers."""
    rows = len(run.points_mm)
    corner = np.arange(columns)[:, None] * rows + np.arange(rows - 1)
    on_axis = run.points_mm[:, 0] == 0
    right_lower, right_upper = corner + rows, corner + rows + 1
    lower = np.stack([corner, right_lower, right_upper], axis=-1)[:, ~on_axis[:-1]]
    upper = np.stack([corner, right_upper, corner + 1], axis=-1)[:, ~on_axis[1:]]
    return np.concatenate([lower.reshape(-1, 3), upper.reshape(-1, 3)])
