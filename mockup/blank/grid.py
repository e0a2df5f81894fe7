"""The one grid of every skin map: rows up the wall, columns round it.

Row 0 lies at the wall's foot. Column 0 begins at the back, turn −π, and columns go to the right as
seen from outside; the last column touches the first. Texels are square where the wall is widest
and narrower elsewhere, so that the grid closes round a tapered wall without a joint.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["WallGrid"]


@dataclass(frozen=True, slots=True)
class WallGrid:
    """`rows` × `columns` texels over a wall of `length_mm` and widest radius `radius_max_mm`."""

    rows: int
    columns: int
    length_mm: float
    radius_max_mm: float

    @classmethod
    def over(cls, length_mm: float, radius_max_mm: float, texel_mm: float) -> "WallGrid":
        """The grid whose texels are at most `texel_mm` on a side, in multiples of 4."""
        rows = -(-length_mm // (4 * texel_mm)) * 4
        columns = -(-2 * np.pi * radius_max_mm // (4 * texel_mm)) * 4
        return cls(int(rows), int(columns), length_mm, radius_max_mm)

    @property
    def shape(self) -> tuple[int, int]:
        """(rows, columns)."""
        return self.rows, self.columns

    @property
    def row_mm(self) -> float:
        """Height of a texel, mm along the wall."""
        return self.length_mm / self.rows

    def heights_mm(self) -> NDArray[np.float64]:
        """Height of each row's middle: (rows,) float64, mm up the wall."""
        return (np.arange(self.rows, dtype=np.float64) + 0.5) * self.row_mm

    def turns_rad(self) -> NDArray[np.float64]:
        """Turn of each column's middle: (columns,) float64, in (−π, π)."""
        index = np.arange(self.columns, dtype=np.float64)
        return (index + 0.5) * (2 * np.pi / self.columns) - np.pi
