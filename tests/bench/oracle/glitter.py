"""Patches of glitter on a gently curved wall: the same flakes in our renderer and in the oracle."""

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from mockup.blank.grid import WallGrid
from mockup.blank.mesh import build_mesh
from mockup.blank.wall import Blank, Wall
from mockup.colorimetry.spectra import wavelengths_nm
from mockup.design.palette import MetalSwatch, PigmentSwatch
from mockup.material.channels import MAPS
from mockup.material.metals import read_metal
from mockup.material.optics import compile_swatch, steel
from mockup.material.spectrum import lacquer
from mockup.render.request import Camera, CupModel, Request
from mockup.shading.flakes import flake_list
from mockup.shading.table import HEXAGON, build_table, flake_heights, mean_upright
from mockup.skin.skin import Clear, Flakes, Skin
from tests.bench.oracle.scenes import IOR, METAL_NM, bench_light, grey

RADIUS_MM, WALL_MM, COAT_MM = 300.0, 190.0, 1.2
FIELD_MM, PIXELS = 24.0, 64


@dataclass(frozen=True)
class Patch:
    """Flakes of one cut at one density, seen from one angle under one light."""

    name: str
    light: str
    density: float  # flakes a mm²
    view_deg: float
    tilt_deg: float = 8.0
    cut_mm: float = 0.52
    paint: float = 0.3
    fade: bool = False

    @property
    def coverage(self) -> float:
        """Share of the wall that the flakes hide."""
        area = HEXAGON * self.cut_mm**2
        return float(1 - np.exp(-self.density * area * mean_upright(self.tilt_deg)))


_EVEN = tuple(
    Patch(f"glitter_{light}_{density:g}_{view}_{tilt}", light, density, view, tilt)
    for light in ("boxes",)
    for tilt, densities in ((8, (0.25, 1, 4)), (4, (1, 4)))
    for density in densities
    for view in (0, 30, 60, 75)
)
PATCHES = (
    *_EVEN,
    Patch("glitter_panes_1_30_8", "panes", 1, 30),
    Patch("glitter_fade_30", "boxes", 2, 30, fade=True),
    Patch("glitter_unfitted", "panes", 2.2, 45, 6.0, 0.38, 0.6),
)


def model_of(patch: Patch, seed: int = 5) -> tuple[CupModel, np.ndarray, object]:
    """(CupModel, table, Flakes) of a patch."""
    wall_shape = Wall("cylinder", (0.0, WALL_MM), (RADIUS_MM, RADIUS_MM))
    blank = Blank(wall_shape, 0.0, 0.0, False, None, "bench", "")
    mesh = build_mesh(blank, columns=1024)
    wall = mesh.part == 0
    grid = WallGrid.over(WALL_MM, RADIUS_MM, 1.0)
    near = np.abs(grid.turns_rad()[::4]) < 34.0 / RADIUS_MM
    heights = grid.heights_mm()[::4]
    share = np.full(len(heights), patch.coverage)
    if patch.fade:
        share = patch.coverage * np.clip(0.5 + (heights - WALL_MM / 2) / FIELD_MM, 0, 1)
    field = MAPS["flake_coverage"].encode(share[:, None] * near[None, :])[..., None]
    flakes = Flakes("bench", patch.cut_mm, (("flake", 1.0),), patch.tilt_deg, seed, 1, 0.0)
    low, high = flake_heights(flakes)
    flakes = Flakes(
        "bench",
        patch.cut_mm,
        (("flake", 1.0),),
        patch.tilt_deg,
        seed,
        1,
        COAT_MM - (low + high) / 2,
    )
    swatches = {
        "base": PigmentSwatch(srgb=grey(patch.paint)),
        "flake": MetalSwatch(metal="aluminium", tint_srgb="#f0f0f0"),
    }
    skin = Skin(
        grid,
        np.zeros((*grid.shape, 4), np.uint8),
        None,
        np.zeros((*grid.shape, 0), np.uint8),
        field,
        (),
        (flakes,),
        "base",
        COAT_MM,
        Clear(COAT_MM, "gloss"),
    )
    optics = {role: compile_swatch(swatch) for role, swatch in swatches.items()}
    table = build_table(skin, optics, steel(), {}, radius_min_mm=RADIUS_MM - COAT_MM)
    model = CupModel(
        key=f"{patch.name} {patch.density} {seed}",
        positions=mesh.positions,
        normals=mesh.normals,
        turn_height=mesh.turn_height,
        triangles=mesh.triangles[wall],
        part=mesh.part[wall],
        skin=skin,
        height_mm=WALL_MM,
        radius_mm=RADIUS_MM,
        rim_z_mm=WALL_MM,
    )
    return model, table, blank.wall


def camera_of(patch: Patch, field_mm: float = FIELD_MM) -> Camera:
    view = np.radians(patch.view_deg)
    distance = field_mm / 2 / np.tan(np.radians(1.0))
    target = np.array([0.0, -RADIUS_MM, WALL_MM / 2])
    place = target + distance * np.array([0.0, -np.cos(view), np.sin(view)])
    return Camera(tuple(map(float, place)), tuple(map(float, target)), 2.0)


def request_of(
    patch: Patch, table, *, samples: int = 16, pixels: int = PIXELS, field_mm: float = FIELD_MM
) -> Request:
    return Request(
        pixels, pixels, samples, 0.0, camera_of(patch, field_mm), patch.light, table, (32, 0)
    )


def flake_polygons(patch: Patch) -> np.ndarray:
    """(n, 6, 3) corners in the stage's frame, mm, each at its own height over the paint."""
    model, table, wall = model_of(patch)
    found = flake_list(model.skin, table, 0, wall)
    flakes = model.skin.flakes[0]
    low, high = flake_heights(flakes)
    near = np.abs(found.turn_rad) < 36.0 / RADIUS_MM
    turn, height = found.turn_rad[near], found.height_mm[near]
    out = np.stack([np.sin(turn), -np.cos(turn), 0 * turn], -1)
    right = np.stack([np.cos(turn), np.sin(turn), 0 * turn], -1)
    up = np.broadcast_to([0.0, 0.0, 1.0], right.shape)
    r = RADIUS_MM - COAT_MM + low + (high - low) * (1 - found.depth[near])
    centre = out * r[:, None] + np.stack([0 * turn, 0 * turn, height], -1)
    slopes = found.slopes[near]
    normal = out + slopes[:, :1] * right + slopes[:, 1:] * up
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    a = right - normal * (right * normal).sum(1, keepdims=True)
    a /= np.linalg.norm(a, axis=1, keepdims=True)
    b = np.cross(normal, a)
    angle = found.rotation_rad[near][:, None] + np.arange(6) * np.pi / 3
    corner = patch.cut_mm / HEXAGON / 2
    return centre[:, None] + corner * (
        np.cos(angle)[..., None] * a[:, None] + np.sin(angle)[..., None] * b[:, None]
    )


def write_patch(patch: Patch, folder: Path) -> Path:
    """The scene file for trace.py."""
    camera = camera_of(patch)
    index = np.asarray(read_metal("aluminium").index_at(METAL_NM))
    metal = {
        "kind": "metal",
        "n": list(index.real / IOR),
        "k": list(np.abs(index.imag) / IOR),
        "alpha": (0.0, 0.0),
        "tint": list(lacquer("#f0f0f0")),
        "nm": list(wavelengths_nm()),
    }
    facts = {
        "foot_radius_mm": RADIUS_MM,
        "rim_radius_mm": RADIUS_MM,
        "height_mm": WALL_MM,
        "foot_z_mm": 0.0,
        "coat_mm": COAT_MM,
        "ior": IOR,
        "size_px": (PIXELS, PIXELS),
        "metal_nm": list(METAL_NM),
        "bands": [
            {
                "from_mm": 0.0,
                "to_mm": WALL_MM,
                "kind": "pigment",
                "nm": list(wavelengths_nm()),
                "reflectance": list(lacquer(grey(patch.paint))),
            }
        ],
        "flakes": [metal],
        "open_ends": True,
        "camera": {
            "position_mm": camera.position_mm,
            "target_mm": camera.target_mm,
            "up": camera.up,
            "vertical_fov_deg": camera.fov_deg,
        },
    }
    laid = (
        folder / f"flakes_{patch.density:g}_{patch.tilt_deg:g}_{patch.cut_mm:g}_{patch.fade:d}.npz"
    )
    if not laid.exists():  # the same flakes for every view and light
        corners = flake_polygons(patch).astype(np.float32)
        np.savez_compressed(laid, vertices=corners, group0=np.arange(len(corners)))
    path = folder / f"{patch.name}.npz"
    radiance = bench_light(patch.light).radiance.astype(np.float16)
    np.savez_compressed(path, facts=json.dumps(facts | {"laid": laid.name}), radiance=radiance)
    return path
