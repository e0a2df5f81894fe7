"""Paths of straight lines and cubic Béziers, mm: what both SVG and PDF draw as real curves."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

__all__ = ["Affine", "Command", "Path", "at", "flipped", "joined", "lines", "quarter_turn"]

Point = tuple[float, float]
Command = tuple[Literal["M", "L", "C", "Z"], tuple[Point, ...]]
Affine = tuple[float, float, float, float, float, float]
"""(a, b, c, d, e, f): x' = a x + c y + e, y' = b x + d y + f; SVG 2, sec. 8.5."""


@dataclass(frozen=True, slots=True)
class Path:
    """Commands M, L, C and Z, all absolute, as SVG 2, sec. 9.3 has them."""

    commands: tuple[Command, ...]

    def moved(self, affine: Affine) -> "Path":
        """The path under an affine map."""
        a, b, c, d, e, f = affine
        return Path(
            tuple(
                (word, tuple((a * x + c * y + e, b * x + d * y + f) for x, y in points))
                for word, points in self.commands
            )
        )

    def bounds(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom of all points, control points among them."""
        points = np.array([p for _, points in self.commands for p in points])
        low, high = points.min(axis=0), points.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    def d(self) -> str:
        """Path data of an SVG, to 0.0001 mm."""
        return "".join(
            word + " ".join(f"{x:.4f},{y:.4f}" for x, y in points) for word, points in self.commands
        )

    def flattened(self, steps: int = 16) -> Iterator[NDArray[np.float64]]:
        """Each contour as points, (n, 2); every cubic in `steps` chords."""
        t = np.linspace(0, 1, steps + 1)[1:, None]
        run: list[NDArray[np.float64]] = []
        for word, points in self.commands:
            if word == "M":
                if run:
                    yield np.concatenate(run)
                run = [np.array(points)]
            elif word == "L":
                run.append(np.array(points))
            elif word == "C":
                p0, (p1, p2, p3) = run[-1][-1], np.array(points)
                s = 1 - t
                run.append(s**3 * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t**3 * p3)
            else:
                run.append(run[0][:1])
        if run:
            yield np.concatenate(run)


def lines(points: Sequence[Point] | NDArray[np.float64], *, closed: bool = False) -> Path:
    """A path of straight lines through the points."""
    first, *rest = [(float(x), float(y)) for x, y in points]
    commands: list[Command] = [("M", (first,)), *(("L", (p,)) for p in rest)]
    return Path((*commands, ("Z", ())) if closed else tuple(commands))


def at(x_mm: float, y_mm: float) -> Affine:
    """A shift."""
    return (1, 0, 0, 1, x_mm, y_mm)


def flipped(x_mm: float, y_mm: float, *, mirrored: bool = False) -> Affine:
    """From y up about an origin to y down with the origin at (x, y); `mirrored` swaps the sides."""
    return (-1 if mirrored else 1, 0, 0, -1, x_mm, y_mm)


def quarter_turn(x_mm: float, y_mm: float, height_mm: float) -> Affine:
    """A drawing of this height turned clockwise by 90°, y down, its new corner at (x, y)."""
    return (0, 1, -1, 0, x_mm + height_mm, y_mm)


def joined(paths: Iterable[Path]) -> Path:
    """Several paths as one."""
    return Path(tuple(command for path in paths for command in path.commands))
