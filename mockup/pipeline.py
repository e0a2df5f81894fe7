"""The table of contents: every stage is called once, in its order.

design → blank → skin → render → outputs. A `RenderProcess` is handed in, so that a caller with
many pictures to make keeps it warm.
"""

import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

import numpy as np
import rfc8785
from numpy.typing import NDArray

from mockup.blank.mesh import build_mesh
from mockup.blank.wall import Blank, build_blank
from mockup.checks.finding import Finding
from mockup.design.document import Design
from mockup.design.palette import Swatch
from mockup.design.read import read_design
from mockup.design.shelf import Shelf, read_shelf, typical_shelf_text
from mockup.errors import DesignError, RenderError
from mockup.files import make_folder, write_whole
from mockup.material.coat import transmittance_per_mm
from mockup.material.optics import Optics, compile_swatch, steel
from mockup.outputs.cut.make import SHEET, cut_files
from mockup.outputs.cut.nest import SheetSize
from mockup.outputs.cut.pages import CutPaper
from mockup.outputs.demo import write_demo
from mockup.outputs.pictures import write_linear, write_picture
from mockup.outputs.plan.calendar_file import calendar_file
from mockup.outputs.plan.chart import draw_chart
from mockup.outputs.plan.days import batches, schedule
from mockup.outputs.plan.making import Making, making
from mockup.outputs.plan.stock import read_stock
from mockup.outputs.proof import lay_out_proof
from mockup.outputs.proof_facts import proof_facts
from mockup.outputs.scene import write_scene
from mockup.outputs.worksheet import lay_out_worksheet
from mockup.outputs.worksheet_facts import worksheet_facts
from mockup.progress import Progress
from mockup.render.develop import Picture
from mockup.render.lights import illuminant_of, light_label
from mockup.render.process import RenderProcess
from mockup.render.request import CupModel, Request, camera_for
from mockup.shading.lobes import COAT_IOR
from mockup.shading.table import build_table, foil_quality
from mockup.skin.compile import compile_skin

__all__ = [
    "Cup",
    "Shot",
    "build_cup",
    "cut",
    "plan",
    "proof",
    "render",
    "render_cup",
    "worksheet",
    "write_demo",
    "write_shelf",
]

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
        return 4 if self.height_px >= 1000 else 9 if self.height_px >= 700 else 16


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
        found = {
            role: compile_swatch(self._swatch(role), coat_ior=COAT_IOR, illuminant=illuminant)
            for role in sorted(roles)
        }
        for role, optics in found.items():
            if optics.grating_share > 0 or optics.transmittance.any():
                kind = "a holographic foil" if optics.grating_share > 0 else "a clear film"
                raise DesignError(
                    f"{kind} cannot be drawn truly yet",
                    where=f"{self.design.where}: palette {self.design.palette.name!r}, {role!r}",
                    remedy="Give the role a metal, or a film on metal, until it can",
                )
        return found

    def table(self, illuminant: str = "D65") -> NDArray[np.float32]:
        """The parameter table under the palette in use and a light."""
        tints = {
            role: transmittance_per_mm(self._swatch(role), illuminant=illuminant)
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
        )

    def _swatch(self, role: str) -> Swatch:
        return self.design.swatch(role, where="palette")


def build_cup(design: Design, *, progress: Progress = Quiet) -> Cup:
    """Blank, mesh and skin of a design."""
    progress(0.0, "measuring the blank")
    blank = build_blank(design.document.blank, where=f"{design.where}: blank")
    mesh = build_mesh(blank, columns=MESH_COLUMNS)
    skin = compile_skin(
        design, blank, texel_mm=TEXEL_MM, progress=lambda s, what: progress(0.1 + 0.9 * s, what)
    )
    wall = blank.wall
    low, high = -blank.foot_gap_mm, wall.length_mm + blank.rim_gap_mm
    radii = wall.radius_at(np.linspace(low, high, 64))
    model = CupModel(
        key=_shape_key(design),
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


def _shape_key(design: Design) -> str:
    """Names what the maps are made of: everything but the palette, the light and the words."""
    shapes = design.document.model_dump(mode="json", exclude={"palette", "light", "title", "note"})
    assets = {name: asset.sha256 for name, asset in design.assets.items()}
    whole: Any = {"shapes": shapes, "assets": assets, "texel_mm": TEXEL_MM}
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


def render(
    path: Path,
    output: Path,
    *,
    shot: Shot,
    palette: str | None = None,
    light: str | None = None,
    linear: Path | None = None,
    scene: Path | None = None,
    progress: Progress = Quiet,
) -> None:
    """Read a design, draw it and write the picture (and its radiance, and its scene)."""
    design = _opened(path, palette, light)
    with RenderProcess() as renderer:
        renderer.start()  # it warms up while the skin is compiled
        cup = build_cup(design, progress=_part(progress, 0.0, 0.4))
        name = light or design.document.light
        picture = render_cup(
            cup,
            shot,
            renderer,
            light=name,
            keep_linear=linear is not None,
            progress=_part(progress, 0.4, 0.95),
        )
    write_picture(picture.rgba8_srgb, output)
    if linear is not None and picture.linear is not None:
        write_linear(picture.linear, linear)
    if scene is not None:
        write_scene(cup.model, picture_request(cup, shot, name), scene)
    progress(1.0, "done")


VIEWS: Mapping[str, float] = {"Front": 0.0, "Right": 60.0, "Back": 180.0, "Left": -60.0}


def proof(
    path: Path,
    output: Path,
    *,
    paper: Literal["a4", "letter"] = "a4",
    palette: str | None = None,
    light: str | None = None,
    progress: Progress = Quiet,
) -> None:
    """Read a design and write the proof sheet for the customer."""
    design = _opened(path, palette, light)
    name = light or design.document.light
    with RenderProcess() as renderer:
        renderer.start()
        cup = build_cup(design, progress=_part(progress, 0.0, 0.3))
        views = {}
        for i, (label, turn_deg) in enumerate(VIEWS.items()):
            progress(0.3 + 0.15 * i, f"drawing the {label.lower()}")
            large = Shot(960, 1280) if i == 0 else Shot(600, 800)
            shot = Shot(large.width_px, large.height_px, turn_deg=turn_deg)
            views[label] = render_cup(cup, shot, renderer, light=name).rgba8_srgb
    progress(0.92, "laying out the sheet")
    facts = proof_facts(
        design, cup.blank, cup.model.skin, cup.optics(), views, light=light_label(name)
    )
    write_whole(output, lay_out_proof(facts, paper=paper))
    progress(1.0, "done")


def cut(
    path: Path,
    folder: Path,
    *,
    paper: CutPaper = "a4",
    sheet_size: SheetSize = SHEET,
    foil_mirrored: bool = True,
    palette: str | None = None,
    progress: Progress = Quiet,
) -> tuple[tuple[Path, ...], tuple[Finding, ...]]:
    """Read a design and write its cut sheets into `folder`; gives the files and what was found."""
    progress(0.0, "measuring the pieces")
    design = _opened(path, palette, None)
    blank = build_blank(design.document.blank, where=f"{design.where}: blank")
    made = cut_files(design, blank, paper=paper, sheet_size=sheet_size, foil_mirrored=foil_mirrored)
    make_folder(folder)
    for nth, (name, data) in enumerate(made.files.items()):
        progress(0.8 + 0.2 * nth / len(made.files), f"writing {name}")
        write_whole(folder / name, data)
    progress(1.0, "done")
    return tuple(folder / name for name in made.files), made.findings


def plan(
    path: Path,
    *,
    cups: int = 1,
    shelf: Path | None = None,
    stock: Path | None = None,
    room_c: float | None = None,
    palette: str | None = None,
    start: datetime | None = None,
    due: datetime | None = None,
    calendar: Path | None = None,
    chart: Path | None = None,
) -> Making:
    """Read a design and work out its amounts, days and price from the maker's shelf.

    Parameters
    ----------
    shelf, stock
        Files; without a shelf the maker's own is taken, or else the typical one.
    room_c
        Room temperature in place of the shelf's.
    start, due
        Local time. Without a start there are no days.
    calendar, chart
        Files to write the days to: .ics and .png.
    """
    design = _opened(path, palette, None)
    known = _shelf(shelf, room_c)
    there = read_stock(stock) if stock is not None else None
    blank = build_blank(design.document.blank, where=f"{design.where}: blank")
    made = making(design, blank, known, cups=cups, stock=there)
    if start is None:
        return made
    try:
        days = schedule(batches(design, known, cups=cups), known, start=start, due=due)
    except DesignError as error:
        if due or calendar or chart:
            raise
        return replace(made, no_days=str(error))  # amounts and price stand without them
    title = design.document.title
    if calendar is not None:
        file = calendar_file(days, title=title, fingerprint=design.fingerprint)
        write_whole(calendar, file)
    if chart is not None:
        write_picture(np.asarray(draw_chart(days, title=title)), chart)
    return replace(made, days=days)


def worksheet(
    path: Path,
    output: Path,
    *,
    start: datetime,
    due: datetime | None = None,
    cups: int = 1,
    shelf: Path | None = None,
    room_c: float | None = None,
    paper: Literal["a4", "letter"] = "a4",
    palette: str | None = None,
    light: str | None = None,
    progress: Progress = Quiet,
) -> None:
    """Read a design, plan its days and write the work sheet for the bench."""
    design = _opened(path, palette, light)
    known = _shelf(shelf, room_c)
    days = schedule(batches(design, known, cups=cups), known, start=start, due=due)
    with RenderProcess() as renderer:
        renderer.start()
        cup = build_cup(design, progress=_part(progress, 0.0, 0.5))
        progress(0.5, "drawing the front")
        front = render_cup(cup, Shot(600, 800), renderer, light=light).rgba8_srgb
    progress(0.92, "laying out the sheet")
    facts = worksheet_facts(design, cup.blank, known, days, front[..., :3])
    write_whole(output, lay_out_worksheet(facts, paper=paper))
    progress(1.0, "done")


def _shelf(path: Path | None, room_c: float | None) -> Shelf:
    known = read_shelf(path)
    if room_c is None:
        return known
    workshop = known.workshop.model_copy(update={"room_c": room_c})
    return known.model_copy(update={"workshop": workshop})


def write_shelf(output: Path) -> None:
    """Write the typical shelf, for the maker to put the own figures in."""
    write_whole(output, typical_shelf_text().encode())


def _opened(path: Path, palette: str | None, light: str | None) -> Design:
    design = read_design(path)
    if palette is not None:
        design = design.with_palette(palette)
    name = light or design.document.light
    illuminant_of(name, where="--light" if light else f"{design.where}: light")  # is it there?
    return design


def _part(progress: Progress, start: float, end: float) -> Progress:
    """A share of the whole progress, for one stage."""
    return lambda share, what: progress(start + (end - start) * share, what)
