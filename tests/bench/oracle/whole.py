"""A whole design in the oracle: the picture that `render` makes, as a scene for trace.py.

The camera and the light are those of `--scene`. Artwork and decals are maps over the wall, decals
as masks on metal at their own depth; every flake is a hexagon of its own. Left out on both sides:
foil's crinkle, table and backdrop; outside the wall nothing is compared.
"""

import json
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mockup.blank.wall import Blank
from mockup.colorimetry.spectra import wavelengths_nm
from mockup.colorimetry.srgb import linear_from_hex, linear_from_rgb8, rgb8_from_linear
from mockup.design.palette import Swatch
from mockup.design.read import read_design
from mockup.material.channels import MAPS
from mockup.material.metals import read_metal
from mockup.material.spectrum import dry_reflectance, lacquer
from mockup.pipeline import Cup, Shot, build_cup, picture_request
from mockup.render.lights import find_light
from mockup.render.request import Request
from mockup.shading.flakes import flake_list
from mockup.shading.table import ROW_ROLES, ROW_SHEETS, flake_heights
from tests.bench.oracle.scenes import IOR, METAL_NM

SIZE = (300, 400)
SEEN_RAD = np.radians(105.0)  # flakes beyond this cannot be seen from the front

APART_MM = 0.01  # of sheets that the skin has at one depth
FLAKE_ALUMINIUM = "aluminium"


@dataclass(frozen=True)
class Whole:
    """A design, its picture's request without crinkle, and which pixels show its wall."""

    cup: Cup
    request: Request
    blank: Blank


def whole(design: Path, *, size: tuple[int, int] = SIZE, samples: int | None = None) -> Whole:
    cup = build_cup(read_design(design))
    request = picture_request(cup, Shot(*size, samples=samples), cup.design.document.light)
    table = np.array(request.table)
    table[ROW_SHEETS : ROW_SHEETS + len(cup.model.skin.sheets), 1, 3] = 0.0
    return Whole(cup, replace(request, table=table), cup.blank)


def wall_pixels(scene: Whole, margin_mm: float = 3.0) -> NDArray[np.bool_]:
    """Pixels whose centre shows the wall: (rows, columns). For walls that are cones."""
    request, wall = scene.request, scene.blank.wall
    right, up, forward = request.camera.axes()
    tan = np.tan(np.radians(request.camera.fov_deg) / 2)
    width, height = request.width_px, request.height_px
    u = ((np.arange(width) + 0.5) / width * 2 - 1) * tan * width / height
    v = (1 - (np.arange(height) + 0.5) / height * 2) * tan
    d = forward + u[None, :, None] * right + v[:, None, None] * up
    o = np.array(request.camera.position_mm) - [0, 0, scene.blank.wall_foot_z_mm]
    s = (wall.radius_mm[-1] - wall.radius_mm[0]) / wall.height_mm
    a = d[..., 0] ** 2 + d[..., 1] ** 2 - (s * d[..., 2]) ** 2
    r0 = wall.radius_mm[0] + s * o[2]
    b = o[0] * d[..., 0] + o[1] * d[..., 1] - s * r0 * d[..., 2]
    c = o[0] ** 2 + o[1] ** 2 - r0**2
    with np.errstate(invalid="ignore"):
        z = o[2] + (-b - np.sqrt(b * b - a * c)) / a * d[..., 2]
        return (z > margin_mm) & (z < wall.height_mm - margin_mm)


def write_whole(scene: Whole, folder: Path, name: str) -> Path:
    """The scene file for trace.py."""
    cup, request, wall = scene.cup, scene.request, scene.blank.wall
    skin = cup.model.skin
    light = find_light(request.light)
    assert light.illuminant == "D65"
    camera = request.camera
    roles = sorted(cup.optics())
    facts = {
        "foot_radius_mm": wall.radius_mm[0],
        "rim_radius_mm": wall.radius_mm[-1],
        "height_mm": wall.height_mm,
        "foot_z_mm": scene.blank.wall_foot_z_mm,
        "coat_mm": skin.clear.thickness_mm,
        "ior": IOR,
        "size_px": (request.width_px, request.height_px),
        "metal_nm": list(METAL_NM),
        "bands": [],
        "art_depth_mm": skin.base_depth_mm,
        "sheets": [
            {**_material(_swatch(cup, s.role)), "depth_mm": s.depth_mm - APART_MM * i}
            for i, s in enumerate(skin.sheets)
        ],
        "strewn": [_flake(_swatch(cup, role)) for role in roles],
        "camera": {
            "position_mm": camera.position_mm,
            "target_mm": camera.target_mm,
            "up": camera.up,
            "vertical_fov_deg": camera.fov_deg,
        },
    }
    path = folder / f"{name}.npz"
    np.savez_compressed(
        path,
        facts=json.dumps(facts),
        radiance=light.radiance.astype(np.float16),
        art=_art(cup),
        masks=np.packbits(MAPS["edge_distance"].decode(skin.edge_distance) < 0, axis=1),
        columns=skin.grid.columns,
        **_flakes(scene),
    )
    return path


def _swatch(cup: Cup, role: str) -> Swatch:
    return cup.design.swatch(role, where="oracle")


def _material(swatch: Swatch) -> dict[str, object]:
    """A sheet's or flake's facts."""
    nm = [float(x) for x in wavelengths_nm()]
    if swatch.kind == "metal":
        alpha = swatch.specular_roughness**2
        return _metal(swatch.metal, lacquer(swatch.tint_srgb), alpha)
    if swatch.kind not in ("pigment", "spectrum"):
        raise NotImplementedError(swatch.kind)
    return {"kind": "pigment", "nm": nm, "reflectance": [float(x) for x in dry_reflectance(swatch)]}


def _flake(swatch: Swatch) -> dict[str, object]:
    """Flakes are mirrors; of a pigment, aluminium under a lacquer of its colour."""
    if swatch.kind == "metal":
        return _metal(swatch.metal, lacquer(swatch.tint_srgb), 0.0)
    return _metal(FLAKE_ALUMINIUM, dry_reflectance(swatch), 0.0)


def _metal(metal: str, tint: NDArray[np.float64], alpha: float) -> dict[str, object]:
    index = np.asarray(read_metal(metal).index_at(METAL_NM))
    return {
        "kind": "metal",
        "n": [float(x) for x in index.real / IOR],
        "k": [float(x) for x in np.abs(index.imag) / IOR],
        "alpha": (alpha, alpha),
        "nm": [float(x) for x in wavelengths_nm()],
        "tint": [float(x) for x in tint],
    }


def _art(cup: Cup) -> NDArray[np.uint8]:
    """Dry paint and print as one picture over the wall, row 0 at its foot."""
    skin = cup.model.skin
    assert skin.base_role is not None
    swatch = _swatch(cup, skin.base_role)
    assert swatch.kind == "pigment"
    base = linear_from_hex(swatch.srgb)
    art = linear_from_rgb8(skin.art_rgba8_srgb[..., :3])
    share = skin.art_rgba8_srgb[..., 3:] / 255.0
    return rgb8_from_linear(base * (1 - share) + art * share)


def _flakes(scene: Whole) -> dict[str, NDArray[np.generic]]:
    """Compact facts of every flake that may be seen, of all populations."""
    skin, table, wall = scene.cup.model.skin, scene.request.table, scene.blank.wall
    found, lift_mm = [], 0.0  # each population lies on the one before
    for i, flakes in enumerate(skin.flakes):
        laid = flake_list(skin, table, i, wall)
        off = np.abs((laid.turn_rad + np.pi) % (2 * np.pi) - np.pi)
        near = off < SEEN_RAD
        low, high = flake_heights(flakes)
        above = lift_mm + low + (high - low) * (1 - laid.depth[near])
        lift_mm += high + low
        found.append(
            (
                laid.turn_rad[near],
                laid.height_mm[near],
                flakes.depth_mm - above,
                laid.rotation_rad[near],
                *laid.slopes[near].T,
                laid.row[near] - ROW_ROLES,
                np.full(near.sum(), flakes.cut_mm),
            )
        )
    names = ("turn", "height", "below", "rotation", "slope_x", "slope_y", "role", "cut")
    kept = dict(zip(names, (np.concatenate(a) for a in zip(*found, strict=True)), strict=True))
    small = {"role": np.uint8, "turn": np.float32, "height": np.float32}
    return {f"flake_{k}": v.astype(small.get(k, np.float16)) for k, v in kept.items()}
