"""A plain cup whose wall is divided into bands, each of one material, and how to draw it."""

from dataclasses import dataclass, replace

import numpy as np

from mockup.blank.grid import WallGrid
from mockup.blank.mesh import build_mesh
from mockup.blank.wall import Blank, Wall
from mockup.material.channels import FRESNEL_TERMS, MAPS
from mockup.material.optics import Optics, steel
from mockup.render.request import CupModel, Request, camera_for
from mockup.shading.table import build_table
from mockup.skin.skin import FIELD_STEP, Clear, Flakes, Sheet, Skin

__all__ = [
    "BANDS", "BETWEEN", "DEPTH_MM", "RADIUS_MM", "Bands", "band_cup", "metal", "pigment", "request",
    "rows_at",
]  # fmt: skip

RADIUS_MM = 36.5
DEPTH_MM = 1.2
LENGTH_MM = 100.0
# (from, to) mm up the wall; between them lies the base coat
BANDS = {"wrap": (15.0, 25.0), "foil": (40.0, 60.0), "glitter": (75.0, 90.0)}
BETWEEN = {"base": (29.0, 36.0), "base above": (64.0, 71.0)}


def metal(reflectance, alpha=0.06):
    """Metal that reflects the same share at every angle."""
    terms = np.zeros((FRESNEL_TERMS, 3))
    terms[0] = reflectance
    everywhere = np.full(3, float(reflectance))
    return Optics(True, everywhere, terms, terms.copy(), alpha, everywhere.copy())


def pigment(rho):
    """Paint of reflectance `rho`; laid as flakes it is a perfect mirror."""
    everywhere = np.full(3, float(rho))
    return replace(
        metal(1.0), metal=False, reflectance=everywhere, reflectance_bare=everywhere.copy()
    )


@dataclass(frozen=True)
class Bands:
    """The cup and the blank it was made from."""

    model: CupModel
    blank: Blank

    def table(self, *, of_steel=None, **roles):
        """The parameter table; roles `paint`, `foil` and `flake` are white unless given."""
        white = {"paint": pigment(1.0), "foil": metal(1.0), "flake": metal(1.0)}
        return build_table(
            self.model.skin,
            white | roles,
            of_steel or steel(),
            {},
            radius_min_mm=self.blank.wall.radius_min_mm,
        )


def _within(name, heights):
    low, high = BANDS[name]
    return (heights >= low) & (heights < high)


def band_cup(key, *, depth_mm=DEPTH_MM, field=None, wall=None, cut_mm=0.8, art_code=255):
    """A cup with every kind of material in a band of its own, under `depth_mm` of resin.

    `field` is the coverage over (height mm, turn rad) in place of .6 in the band of flakes.
    """
    wall = wall or Wall("cylinder", (0.0, LENGTH_MM), (RADIUS_MM, RADIUS_MM))
    blank = Blank(wall, 6.0, 8.0, False, None, "trial", "")
    mesh = build_mesh(blank, columns=256)
    grid = WallGrid.over(wall.length_mm, wall.radius_max_mm, 0.2)
    height = grid.heights_mm()
    art = np.full((*grid.shape, 4), art_code, np.uint8)
    art[..., 3] = np.where(_within("wrap", height), 255, 0)[:, None]
    low, high = BANDS["foil"]
    edge = np.maximum(low - height, height - high)[:, None]
    edges = MAPS["edge_distance"].encode(np.broadcast_to(edge, grid.shape))
    up = height.reshape(-1, FIELD_STEP).mean(1)[:, None]
    round_it = grid.turns_rad().reshape(-1, FIELD_STEP).mean(1)[None, :]
    share = _within("glitter", up) * 0.6 if field is None else field(up, round_it)
    coarse = np.broadcast_to(share, (len(up), round_it.shape[1]))
    skin = Skin(
        grid=grid,
        art_rgba8_srgb=art,
        relief=None,
        edge_distance=edges[..., None],
        flake_coverage=MAPS["flake_coverage"].encode(coarse)[..., None],
        sheets=(Sheet("foil", "foil", 3, depth_mm),),
        flakes=(Flakes("flakes", cut_mm, (("flake", 1.0),), 7.0, 5, 2, depth_mm),),
        base_role="paint",
        base_depth_mm=depth_mm,
        clear=Clear(depth_mm, "gloss"),
    )
    model = CupModel(
        key=key,
        positions=mesh.positions,
        normals=mesh.normals,
        turn_height=mesh.turn_height,
        triangles=mesh.triangles,
        part=mesh.part,
        skin=skin,
        height_mm=blank.total_height_mm,
        radius_mm=wall.radius_max_mm,
        rim_z_mm=blank.lip_z_mm,
    )
    return Bands(model, blank)


def request(bands, table, *, light="uniform", size_px=(150, 200), samples=1, foil=(64, 16), **view):
    """A level shot of the whole cup, unless `view` says otherwise."""
    width_px, height_px = size_px
    model = bands.model
    turn_rad = view.pop("turn_rad", 0.0)
    seen = {"elevation_deg": 0.0} | view
    camera = camera_for(model.height_mm, model.radius_mm, aspect=width_px / height_px, **seen)
    return Request(width_px, height_px, samples, turn_rad, camera, light, table, foil)


def rows_at(bands, request, low_mm, high_mm):
    """Rows of a level picture whose middle column shows wall heights in [low, high]."""
    camera = request.camera
    half = np.tan(np.radians(camera.fov_deg) / 2) * (-camera.position_mm[1] - RADIUS_MM)
    z = bands.blank.wall_foot_z_mm + np.array([high_mm, low_mm]) - camera.position_mm[2]
    top, bottom = (1 - z / half) / 2 * request.height_px
    return slice(int(np.ceil(top)) + 1, int(np.floor(bottom)) - 1)
