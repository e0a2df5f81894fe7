"""The stack as it grows, and the laws of covering: what a new layer does to the maps below it.

Base covers everything. Sheet artwork hides flakes by its opacity and cut shapes where it is more
opaque than not. Flakes and cut shapes alter nothing below them: which of them is on top is told by
`order`, point by point, when the wall is shaded. A coat adds to the resin above all that is there.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt

from mockup.blank.grid import WallGrid
from mockup.blank.wall import Wall
from mockup.design.document import Design
from mockup.design.fields import Gloss
from mockup.errors import DesignError
from mockup.material.channels import MAPS
from mockup.skin.distance import BAND_MM
from mockup.skin.place import Window
from mockup.skin.skin import (
    FIELD_STEP,
    MOST_POPULATIONS,
    MOST_SHEETS,
    Clear,
    Flakes,
    Sheet,
    Skin,
)

__all__ = ["LaidFlakes", "LaidSheet", "Stack"]

_EDGE = MAPS["edge_distance"]
_FAR = 255  # stored: outside, at least the channel's reach away
_EDGE_ON = int(_EDGE.encode(np.zeros(1))[0])  # stored: on the edge
_APART_MM = 0.2  # shapes whose edges come closer than this count as overlapping


@dataclass(slots=True)
class LaidSheet:
    """One channel of cut shapes: (rows, columns) uint8 stored distance."""

    name: str
    role: str
    order: int
    interval: int
    where: str
    stored: NDArray[np.uint8]
    depth_mm: float = 0.0


@dataclass(slots=True)
class LaidFlakes:
    """One population: (rows / FIELD_STEP, columns / FIELD_STEP) float32 share."""

    name: str
    cut_mm: float
    mix: tuple[tuple[str, float], ...]
    tilt_deg: float
    seed: int
    order: int
    where: str
    coverage: NDArray[np.float32]
    depth_mm: float = 0.0


@dataclass(slots=True)
class Stack:
    """What lies on the steel so far. `interval` counts the layers that separate cut shapes."""

    design: Design
    wall: Wall
    grid: WallGrid
    art: NDArray[np.uint8]
    relief: NDArray[np.uint8] | None = None
    sheets: list[LaidSheet] = field(default_factory=list)
    flakes: list[LaidFlakes] = field(default_factory=list)
    coats: list[tuple[float, Gloss, str | None]] = field(default_factory=list)
    base_role: str | None = None
    base_depth_mm: float = 0.0
    bare_finish: Gloss = "satin"
    order: int = 0
    interval: int = 0

    @classmethod
    def on_steel(cls, design: Design, wall: Wall, grid: WallGrid) -> "Stack":
        """Nothing laid yet."""
        return cls(design, wall, grid, np.zeros((*grid.shape, 4), np.uint8))

    def coated_above(self, index: int) -> bool:
        """Whether the document lays a coat over layer `index`."""
        return any(layer.kind == "coat" for layer in self.design.document.layers[index + 1 :])

    def paint(self, role: str, gloss: Gloss) -> None:
        """Cover everything with a base coat."""
        if self.art.any():
            self.art = np.zeros_like(self.art)
        self.relief = None
        self.sheets, self.flakes, self.coats = [], [], []
        self.base_role, self.base_depth_mm, self.bare_finish = role, 0.0, gloss
        self._part()

    def pour(self, thickness_mm: float, gloss: Gloss, tint: str | None) -> None:
        """Lay a clear coat over all that is there."""
        self.coats.append((thickness_mm, gloss, tint))
        self.base_depth_mm += thickness_mm
        for sheet in self.sheets:
            sheet.depth_mm += thickness_mm
        for population in self.flakes:
            population.depth_mm += thickness_mm
        self._part()

    def scatter(self, flakes: LaidFlakes) -> None:
        """Lay a population of flakes."""
        flakes.order = self._next_order()
        self.flakes.append(flakes)
        self._part()

    def stick(
        self, role: str, name: str, where: str, window: Window, stored: NDArray[np.uint8]
    ) -> None:
        """Lay a cut shape: stored distance over `window`.

        It joins an earlier channel of the same role if nothing lies between them.
        """
        order = self._next_order()
        sheet = next(self._joinable(role, window, stored), None)
        if sheet is None:
            blank = np.full(self.grid.shape, _FAR, np.uint8)
            sheet = LaidSheet(name, role, order, self.interval, where, blank)
            self.sheets.append(sheet)
        at = (window.rows, window.columns)
        sheet.stored[at] = np.minimum(sheet.stored[at], stored)

    def wrap(self, window: Window, opacity: NDArray[np.uint8], finish: Gloss) -> None:
        """Take what sheet artwork of this stored opacity, (m, n), hides out of the maps below.

        The artwork's colours are the caller's to lay on `art`. Resin below a sheet that hides the
        whole wall is out of sight; below a smaller one it still counts as part of the clear coat.
        """
        texels = self.grid.rows * self.grid.columns
        if opacity.sum(dtype=np.float64) > 127 * texels:
            self.bare_finish = finish
        if opacity.size == texels and opacity.min() == 255:
            self.coats = []
        self.base_depth_mm = 0.0
        for population in self.flakes:
            _hide_flakes(population.coverage, self.grid, window, opacity)
        for sheet in self.sheets:
            _hide_sheet(sheet.stored, self.grid, window, opacity)
        self._part()

    def finished(self) -> Skin:
        """The maps of all that can still be seen.

        Raises
        ------
        DesignError
            More cut shapes or populations of flakes than the shading holds.
        """
        sheets = [s for s in self.sheets if s.stored.min() < _EDGE_ON]
        flakes = [f for f in self.flakes if f.coverage.max() > 0.5 / 255]
        self._refuse_too_many(sheets, flakes)
        edges = np.empty((*self.grid.shape, len(sheets)), np.uint8)
        for i, sheet in enumerate(sheets):
            edges[..., i] = sheet.stored
        coarse = (self.grid.rows // FIELD_STEP, self.grid.columns // FIELD_STEP, len(flakes))
        coverage = np.empty(coarse, np.uint8)
        for i, population in enumerate(flakes):
            coverage[..., i] = MAPS["flake_coverage"].encode(population.coverage)
        return Skin(
            grid=self.grid,
            art_rgba8_srgb=self.art,
            relief=self.relief,
            edge_distance=edges,
            flake_coverage=coverage,
            sheets=tuple(Sheet(s.name, s.role, s.order, s.depth_mm) for s in sheets),
            flakes=tuple(
                Flakes(f.name, f.cut_mm, f.mix, f.tilt_deg, f.seed, f.order, f.depth_mm)
                for f in flakes
            ),
            base_role=self.base_role,
            base_depth_mm=self.base_depth_mm,
            clear=self._clear(),
        )

    def _clear(self) -> Clear:
        thickness = sum(thickness for thickness, _, _ in self.coats)
        finish = self.coats[-1][1] if self.coats else self.bare_finish
        tints = tuple((tint, mm) for mm, _, tint in self.coats if tint is not None)
        return Clear(thickness, finish, tints)

    def _refuse_too_many(self, sheets: list[LaidSheet], flakes: list[LaidFlakes]) -> None:
        if len(sheets) > MOST_SHEETS:
            raise DesignError(
                f"{len(sheets)} kinds of cut sheet lie on the cup, and it can show {MOST_SHEETS}",
                where=sheets[MOST_SHEETS].where,
                remedy="Take out a backing, or lay decals of one swatch next to each other",
            )
        if len(flakes) > MOST_POPULATIONS:
            raise DesignError(
                f"{len(flakes)} glitters lie on the cup, and it can show {MOST_POPULATIONS}",
                where=flakes[MOST_POPULATIONS].where,
                remedy="Put the colours of one cut into one layer's mix",
            )

    def _joinable(
        self, role: str, window: Window, stored: NDArray[np.uint8]
    ) -> Iterator[LaidSheet]:
        """Channels that a shape may join, outermost first.

        Of this role and interval, with no channel further out that the shape would have to hide.
        """
        reach = int(_EDGE.encode(np.full(1, _APART_MM / 2))[0])
        at = (window.rows, window.columns)
        for sheet in reversed(self.sheets):
            if sheet.interval != self.interval:
                return
            if sheet.role == role:
                yield sheet
            if np.any((sheet.stored[at] < reach) & (stored < reach)):
                return

    def _next_order(self) -> int:
        self.order += 1
        return self.order

    def _part(self) -> None:
        self.interval += 1


def _hide_flakes(
    coverage: NDArray[np.float32], grid: WallGrid, window: Window, opacity: NDArray[np.uint8]
) -> None:
    """Multiply coverage by the share that artwork lets through, each cell's mean."""
    low, high = window.rows.start // FIELD_STEP, -(-window.rows.stop // FIELD_STEP)
    block = np.zeros(((high - low) * FIELD_STEP, grid.columns), np.uint8)
    inside = slice(window.rows.start - low * FIELD_STEP, window.rows.stop - low * FIELD_STEP)
    block[inside, window.columns] = opacity
    cells = block.reshape(high - low, FIELD_STEP, -1, FIELD_STEP)
    coverage[low:high] *= 1 - cells.mean(axis=(1, 3), dtype=np.float32) / 255


def _hide_sheet(
    stored: NDArray[np.uint8], grid: WallGrid, window: Window, opacity: NDArray[np.uint8]
) -> None:
    """Take opaque artwork out of a cut shape: the larger of its distance and minus the artwork's.

    The artwork's edge is where it hides half; its distance is taken texel to texel.
    """
    at = (window.rows, window.columns)
    touched = np.flatnonzero((stored[at] < _FAR).any(axis=1))
    if not touched.size:
        return
    first, last = window.rows.start + touched[0], window.rows.start + touched[-1] + 1
    margin = int(np.ceil(BAND_MM / grid.row_mm)) + 1
    low, high = max(first - margin, 0), min(last + margin, grid.rows)
    hidden = np.zeros((high - low, grid.columns), bool)
    shared = slice(max(low, window.rows.start), min(high, window.rows.stop))
    part = opacity[shared.start - window.rows.start : shared.stop - window.rows.start]
    hidden[shared.start - low : shared.stop - low, window.columns] = part > 127
    if not hidden.any():
        return
    if hidden.all():
        stored[low:high] = _FAR
        return
    round_it = np.pad(hidden, ((0, 0), (margin, margin)), mode="wrap")
    column_mm = 2 * np.pi * grid.radius_max_mm / grid.columns
    texel = (grid.row_mm, column_mm)
    inside = distance_transform_edt(round_it, sampling=texel)
    outside = distance_transform_edt(~round_it, sampling=texel)
    # a texel next to the edge lies half a texel from it
    apart = np.where(round_it, inside - grid.row_mm / 2, grid.row_mm / 2 - outside)
    cut = _EDGE.encode(apart[:, margin:-margin])
    stored[low:high] = np.maximum(stored[low:high], cut)
