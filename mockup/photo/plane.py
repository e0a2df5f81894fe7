"""A plane seen in perspective: its homography, and areas of quadrilaterals in it."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["UNIT_SQUARE", "area_px", "homography", "through"]

Floats = NDArray[np.float64]

UNIT_SQUARE: Floats = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])  # clockwise
UNIT_SQUARE.flags.writeable = False


def homography(from_points: Floats, to_points: Floats) -> Floats:
    """The plane projective map of four points on four others: (4, 2), (4, 2) → (3, 3) float64.

    References
    ----------
    Hartley & Zisserman (2004), Multiple View Geometry, 2nd ed., sec. 4.1.
    """
    rows, right = [], []
    for (x, y), (u, v) in zip(from_points, to_points, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)


def through(matrix: Floats, points: ArrayLike) -> Floats:
    """Points through a homography: (..., 2) → (..., 2) float64."""
    flat = np.asarray(points, np.float64)
    mapped = np.concatenate([flat, np.ones((*flat.shape[:-1], 1))], axis=-1) @ matrix.T
    return np.asarray(mapped[..., :2] / mapped[..., 2:])


def area_px(corners: Floats) -> float:
    """Area of a polygon, (n, 2) → its unit squared."""
    x, y = corners.T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0)
