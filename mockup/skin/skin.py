"""What the stack becomes: maps over the wall's grid, and what each map is of."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from mockup.blank.grid import WallGrid

__all__ = ["FIELD_STEP", "MOST_POPULATIONS", "MOST_SHEETS", "Clear", "Flakes", "Sheet", "Skin"]

FIELD_STEP = 4  # the coverage maps keep every 4th row and column (their means)
MOST_SHEETS = 8
MOST_POPULATIONS = 8

Finish = Literal["flat", "satin", "gloss"]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One cut shape of one material; channel i of `Skin.edge_distance` is of `Skin.sheets[i]`.

    `order` is the place in the stack, larger is further out; `depth_mm` the resin above it.
    """

    name: str
    role: str
    order: int
    depth_mm: float


@dataclass(frozen=True, slots=True)
class Flakes:
    """One population of flakes; channel i of `Skin.flake_coverage` is of `Skin.flakes[i]`.

    `mix` holds (role, share) with shares that sum to 1; `cut_mm` is across flats.
    """

    name: str
    cut_mm: float
    mix: tuple[tuple[str, float], ...]
    tilt_deg: float
    seed: int
    order: int
    depth_mm: float


@dataclass(frozen=True, slots=True)
class Clear:
    """All coats over the base as one: total thickness, the outermost gloss, the tint if any.

    Thickness 0 means that nothing was laid over the base coat: `finish` is then that of the
    outermost bare material. `tints` lists (role, thickness_mm) of tinted coats.
    """

    thickness_mm: float
    finish: Finish
    tints: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Skin:
    """The compiled stack.

    Attributes
    ----------
    art_rgba8_srgb : (rows, columns, 4) uint8
        Sheet artwork over the base coat: sRGB colour with its colour bled under transparent
        texels, and opacity. Row 0 at the foot.
    relief : (rows, columns, 2) uint8 or None
        Slope of the sheet's surface (x to the right, y up), channel `relief`.
    edge_distance : (rows, columns, len(sheets)) uint8
        Signed distance to each cut shape's edge, channel `edge_distance`.
    flake_coverage : (rows / FIELD_STEP, columns / FIELD_STEP, len(flakes)) uint8
        Channel `flake_coverage`, at most .98; what later layers hide is taken out.
    base_role
        Role of the base coat, or None: bare steel.
    base_depth_mm
        Resin above base coat and artwork, mm.
    """

    grid: WallGrid
    art_rgba8_srgb: NDArray[np.uint8]
    relief: NDArray[np.uint8] | None
    edge_distance: NDArray[np.uint8]
    flake_coverage: NDArray[np.uint8]
    sheets: tuple[Sheet, ...]
    flakes: tuple[Flakes, ...]
    base_role: str | None
    base_depth_mm: float
    clear: Clear
