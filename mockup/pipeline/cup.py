"""A design made ready to be drawn, and one picture of it: design → blank → skin → render.

A `RenderProcess` is handed in, so that a caller with many pictures to make keeps it warm.
"""

import hashlib
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import rfc8785
from numpy.typing import NDArray

from mockup.blank.mesh import build_mesh
from mockup.blank.wall import Blank, build_blank
from mockup.design.document import Design
from mockup.design.palette import Swatch
from mockup.design.read import read_design
from mockup.errors import RenderError
from mockup.material.coat import transmittance_per_mm
from mockup.material.optics import Optics, compile_swatch, steel
from mockup.progress import Progress
from mockup.render.develop import Picture
from mockup.render.lights import illuminant_of
from mockup.render.process import RenderProcess
from mockup.render.request import CupModel, Request, camera_for, still_samples
from mockup.shading.lobes import COAT_IOR
from mockup.shading.table import build_table, foil_quality
from mockup.skin.compile import compile_skin

__all__ = [
    "Cup", "Quiet", "Shot", "build_cup", "opened", "part", "picture_request", "render_cup",
    "shape_key",
]  # fmt: skip

TEXEL_MM = 0.1
MESH_COLUMNS = 128  # a chord leaves the circle by 0.01 mm; fewer triangles draw faster
MOST_SIDE_PX = 8_192  # what software OpenGL holds for certain

Quiet: Progress = lambda share, what: None  # noqa: E731


@dataclass(frozen=True, slots=True)
class Shot:
    """How the cup is looked at.

    `turn_deg` is the angle on the wall that faces the camera, 0 the front, growing to the right;
    `samples` are per pixel; None takes more of them the smaller the picture is, so that glitter
    that falls below a pixel keeps its sparkle.
    """

    width_px: int = 1200
    height_px: int = 1600
    turn_deg: float = 0.0
    elevation_deg: float = 10.0
    samples: int | None = None
    transparent: bool = False

    @property
    def count(self) -> int:
        """Samples a pixel."""
        if self.samples is not None:
            return max(1, self.samples)
        return still_samples(self.height_px)


@dataclass(frozen=True, slots=True, eq=False)
class Cup:
    """A design made ready to be drawn: its blank, mesh and maps."""

    design: Design
    blank: Blank
    model: CupModel

    def with_palette(self, name: str) -> "Cup":
        """The same shapes under another palette: nothing is compiled again."""
        return Cup(self.design.with_palette(name), self.blank, self.model)

    def optics(self, illuminant: str = "D65") -> dict[str, Optics]:
        """Compiled swatch of every role that the skin names, as it looks in that light."""
        skin = self.model.skin
        roles = {sheet.role for sheet in skin.sheets}
        roles |= {role for flakes in skin.flakes for role, _ in flakes.mix}
        roles |= {skin.base_role} if skin.base_role is not None else set()
        return {
            role: compile_swatch(self._swatch(role), coat_ior=COAT_IOR, illuminant=illuminant)
            for role in sorted(roles)
        }

    def table(self, illuminant: str = "D65") -> NDArray[np.float32]:
        """The parameter table under the palette in use and a light."""
        tints = {
            role: transmittance_per_mm(self._swatch(role))
            for role, _ in self.model.skin.clear.tints
            if role
        }
        wall = self.blank.wall
        return build_table(
            self.model.skin,
            self.optics(illuminant),
            steel(coat_ior=COAT_IOR, illuminant=illuminant),
            tints,
            radius_min_mm=wall.radius_min_mm,
            illuminant=illuminant,
        )

    def _swatch(self, role: str) -> Swatch:
        return self.design.swatch(role, where="palette")


def build_cup(design: Design, *, texel_mm: float = TEXEL_MM, progress: Progress = Quiet) -> Cup:
    """Blank, mesh and skin of a design; coarser texels make its maps smaller."""
    progress(0.0, "measuring the blank")
    blank = build_blank(design.document.blank, where=f"{design.where}: blank")
    mesh = build_mesh(blank, columns=MESH_COLUMNS)
    skin = compile_skin(
        design, blank, texel_mm=texel_mm, progress=lambda s, what: progress(0.1 + 0.9 * s, what)
    )
    wall = blank.wall
    low, high = -blank.foot_gap_mm, wall.length_mm + blank.rim_gap_mm
    radii = wall.radius_at(np.linspace(low, high, 64))
    model = CupModel(
        key=shape_key(design, texel_mm),
        positions=mesh.positions,
        normals=mesh.normals,
        turn_height=mesh.turn_height,
        triangles=mesh.triangles,
        part=mesh.part,
        skin=skin,
        height_mm=blank.total_height_mm,
        radius_mm=float(radii.max()),
        rim_z_mm=blank.lip_z_mm,
    )
    return Cup(design, blank, model)


def shape_key(design: Design, texel_mm: float = TEXEL_MM) -> str:
    """Names what the maps are made of: everything but the palette, the light and the words."""
    shapes = design.document.model_dump(mode="json", exclude={"palette", "light", "title", "note"})
    assets = {name: asset.sha256 for name, asset in design.assets.items()}
    whole: Any = {"shapes": shapes, "assets": assets, "texel_mm": texel_mm}
    return hashlib.sha256(rfc8785.dumps(whole)).hexdigest()


def picture_request(cup: Cup, shot: Shot, light: str) -> Request:
    """The render process's request for a shot of the whole cup.

    Raises
    ------
    RenderError
        The picture is larger than the renderer's frame.
    """
    if max(shot.width_px, shot.height_px) > MOST_SIDE_PX:
        raise RenderError(
            f"{shot.width_px} × {shot.height_px} px is larger than the renderer's frame",
            where="--size",
            remedy=f"Keep the longer side within {MOST_SIDE_PX} px",
        )
    return Request(
        width_px=shot.width_px,
        height_px=shot.height_px,
        samples=shot.count,
        turn_rad=math.radians(shot.turn_deg),
        camera=camera_for(
            cup.model.height_mm,
            cup.model.radius_mm,
            aspect=shot.width_px / shot.height_px,
            elevation_deg=shot.elevation_deg,
        ),
        light=light,
        table=cup.table(illuminant_of(light)),
        foil=foil_quality(cup.model.skin, cup.optics()),
    )


def render_cup(
    cup: Cup,
    shot: Shot,
    renderer: RenderProcess,
    *,
    light: str | None = None,
    keep_linear: bool = False,
    progress: Progress = Quiet,
) -> Picture:
    """Draw one picture of a cup."""
    request = picture_request(cup, shot, light or cup.design.document.light)
    return renderer.draw(
        cup.model,
        request,
        transparent=shot.transparent,
        keep_linear=keep_linear,
        progress=progress,
    )


def opened(path: Path, palette: str | None, light: str | None) -> Design:
    """Read a design under a palette, and see that its light is there."""
    design = read_design(path)
    if palette is not None:
        design = design.with_palette(palette)
    name = light or design.document.light
    illuminant_of(name, where="--light" if light else f"{design.where}: light")  # is it there?
    return design


def part(progress: Progress, start: float, end: float) -> Progress:
    """A share of the whole progress, for one stage."""
    return lambda share, what: progress(start + (end - start) * share, what)
