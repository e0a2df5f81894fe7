"""Walls strewn with flakes, made without the design document."""

import numpy as np

from mockup.blank.grid import WallGrid
from mockup.blank.wall import Wall
from mockup.material.channels import FRESNEL_TERMS, MAPS
from mockup.material.optics import Optics, steel
from mockup.shading.table import build_table
from mockup.skin.skin import FIELD_STEP, Clear, Flakes, Skin

__all__ = ["STRAIGHT", "TAPERED", "WHITE_METAL", "pigment", "strewn", "tables"]

STRAIGHT = Wall("cylinder", (0.0, 60.0), (36.5, 36.5))
TAPERED = Wall("cone", (0.0, 60.0), (28.0, 43.0))
DEPTH_MM = 1.2


def pigment(rho):
    """Paint of reflectance `rho`; laid as flakes, a perfect mirror."""
    ones = np.zeros((FRESNEL_TERMS, 3))
    ones[0] = 1.0
    return Optics(False, np.full(3, float(rho)), ones, ones.copy(), 0.06, np.full(3, float(rho)))


def metal(reflectance, alpha):
    """Metal that reflects the same share at every angle."""
    terms = np.zeros((FRESNEL_TERMS, 3))
    terms[0] = reflectance
    everywhere = np.full(3, float(reflectance))
    return Optics(True, everywhere, terms, terms.copy(), alpha, everywhere)


WHITE_METAL = metal(1.0, 0.06)


def strewn(wall, *coverages, cut_mm=0.38, tilt_deg=7.0, seed=1):
    """A skin with one population a coverage: numbers, or functions of (height mm, turn rad)."""
    grid = WallGrid.over(wall.length_mm, wall.radius_max_mm, 0.1)
    shape = grid.rows // FIELD_STEP, grid.columns // FIELD_STEP
    height = grid.heights_mm().reshape(-1, FIELD_STEP).mean(1)[:, None]
    turn = grid.turns_rad().reshape(-1, FIELD_STEP).mean(1)[None, :]
    fields = [c(height, turn) if callable(c) else c for c in coverages]
    maps = [MAPS["flake_coverage"].encode(np.broadcast_to(f, shape)) for f in fields]
    return Skin(
        grid=grid,
        art_rgba8_srgb=np.zeros((*grid.shape, 4), np.uint8),
        relief=None,
        edge_distance=np.zeros((*grid.shape, 0), np.uint8),
        flake_coverage=np.stack(maps, -1),
        sheets=(),
        flakes=tuple(
            Flakes(f"{i}", cut_mm, (("flake", 0.75), ("paint", 0.25)), tilt_deg, seed, i, DEPTH_MM)
            for i in range(len(maps))
        ),
        base_role="paint",
        base_depth_mm=DEPTH_MM,
        clear=Clear(DEPTH_MM, "gloss"),
    )


def tables(skin, wall, **optics):
    """The parameter table; `optics` by role, in place of white paint and white metal."""
    roles = {"paint": pigment(1.0), "flake": WHITE_METAL} | optics
    return build_table(skin, roles, steel(), {}, radius_min_mm=wall.radius_min_mm)
