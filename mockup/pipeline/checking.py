"""From a compiled cup to what the checks say of it, with pictures where they are wanted.

`survey` looks at the maps once; `judge` then works out the figures of one palette, so that the
options of a design are judged without another look.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from mockup.checks.contrast import DecalContrast, contrast_of
from mockup.checks.decal_shape import DecalShape, decal_shapes
from mockup.checks.finding import Finding
from mockup.checks.legibility import (
    DecalLegibility,
    Mask,
    contrast_in,
    legibility_of,
    luminance_shown,
    mask_of,
)
from mockup.checks.reading import check_contrast, check_legibility
from mockup.checks.remedy import Remedy, find_remedies
from mockup.checks.stations import REACH_MM, Stations, stations_along
from mockup.design.document import Design
from mockup.design.palette import Swatch
from mockup.material.optics import compile_swatch
from mockup.pipeline.cup import Cup, Quiet
from mockup.progress import Progress
from mockup.render.lights import find_light, illuminant_of
from mockup.render.process import RenderProcess
from mockup.render.request import Camera, Request
from mockup.render.sight import Sight, look_at
from mockup.shading.even_light import swatch_colour
from mockup.shading.lobes import COAT_IOR
from mockup.shading.table import foil_quality

__all__ = ["DecalJudgement", "Judgement", "Survey", "Views", "judge", "remedies", "survey"]

Floats = NDArray[np.float64]

DISTANCE_MM = 1000.0  # from the eye to the cup's axis
PX_A_STROKE = 3.0  # pixels of a check's picture across the finest stroke, straight on
LEAST_PX_PER_MM, MOST_PX_PER_MM = 1.8, 3.2


@dataclass(frozen=True, slots=True)
class Views:
    """From where, and by which lights, legibility is looked at.

    `lights` empty takes the design's own, a window by day and a lamp-lit kitchen.
    """

    turns: int = 24
    elevations_deg: tuple[float, ...] = (10.0, 35.0)
    lights: tuple[str, ...] = ()

    @property
    def turns_deg(self) -> tuple[float, ...]:
        """Turns of the cup, 0 the front."""
        return tuple(360.0 * k / self.turns for k in range(self.turns))


@dataclass(frozen=True, slots=True, eq=False)
class Survey:
    """What the checks know of a cup's shapes, whatever its palette; `key` is the maps'.

    Masks of the views that were asked for are kept, so that every palette and light shares them.
    """

    key: str
    shapes: tuple[DecalShape, ...]
    stations: tuple[Stations, ...]
    masks: dict[tuple[float, float], tuple[Mask, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class DecalJudgement:
    """One decal: its contrast in even light, and round the turn if pictures were drawn."""

    contrast: DecalContrast
    legibility: DecalLegibility | None


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """What the checks say of a cup under one palette.

    `findings` are those of contrast and legibility; making has its own, in `checks.cutting`.
    """

    palette: str
    decals: tuple[DecalJudgement, ...]
    findings: tuple[Finding, ...]


def survey(cup: Cup) -> Survey:
    """Find every decal of a cup and look at both sides of its edge."""
    skin = cup.model.skin
    shapes = decal_shapes(cup.design, skin)
    stations = tuple(stations_along(shape, skin, cup.blank.wall) for shape in shapes)
    return Survey(cup.model.key, shapes, stations)


def judge(
    cup: Cup,
    renderer: RenderProcess | None = None,
    *,
    surveyed: Survey | None = None,
    views: Views = Views(),
    progress: Progress = Quiet,
) -> Judgement:
    """Judge a cup under its palette.

    Parameters
    ----------
    renderer
        Draws the cup round its turn; None leaves legibility out and takes a second at most.
    surveyed
        The cup's `survey`, where it was made before: palettes of one design share it.
    views
        What is drawn: turns × elevations × lights small pictures.
    """
    known = surveyed if surveyed is not None else survey(cup)
    table_under = cache(cup.table)
    skin = cup.model.skin
    contrasts = [
        contrast_of(shape, stations, skin, table_under)
        for shape, stations in zip(known.shapes, known.stations, strict=True)
    ]
    read: list[DecalLegibility | None] = [None] * len(contrasts)
    if renderer is not None and known.shapes:
        read = list(_legibility(cup, renderer, known, views, progress))
    decals = tuple(DecalJudgement(*pair) for pair in zip(contrasts, read, strict=True))
    findings = tuple(found for decal in decals for found in _findings(cup, decal))
    return Judgement(cup.design.palette.name, decals, findings)


def _findings(cup: Cup, decal: DecalJudgement) -> Iterator[Finding]:
    """A decal that fails in even light need not be told that it fades round the turn too."""
    told = check_contrast(cup.design, decal.contrast, cup.model.skin)
    yield from told
    fails = any(finding.rule == "low contrast" for finding in told)
    if decal.legibility is not None and not fails:
        yield from check_legibility(cup.design, decal.contrast, decal.legibility)


def remedies(cup: Cup, judged: Judgement, surveyed: Survey, nth: int) -> list[Remedy]:
    """The nearest changes by which decal `nth` would pass, the least of them first.

    Each is a changed design under a palette of its own name: an option to be drawn like any other.
    """
    skin, wall = cup.model.skin, cup.blank.wall
    tried: dict[float, Stations] = {}

    def rejudged(design: Design, which: Sequence[int], quick: bool) -> list[DecalContrast]:
        table_under = cache(Cup(design, cup.blank, cup.model).table)
        return [
            contrast_of(
                surveyed.shapes[i], surveyed.stations[i], skin, table_under, **_asked(quick)
            )
            for i in which
        ]

    def backed(i: int, outset_mm: float, swatch: Swatch, quick: bool) -> DecalContrast:
        shape = surveyed.shapes[i]
        if outset_mm not in tried:
            tried[outset_mm] = stations_along(shape, skin, wall, backing_mm=outset_mm)
        depth = skin.sheets[shape.channels[-1]].depth_mm if shape.channels else 0.0

        def colour(illuminant: str) -> Floats:
            optics = compile_swatch(swatch, coat_ior=COAT_IOR, illuminant=illuminant)
            return swatch_colour(optics, depth)

        return contrast_of(
            shape, tried[outset_mm], skin, table_under, backing=colour, **_asked(quick)
        )

    table_under = cache(cup.table)
    contrasts = [decal.contrast for decal in judged.decals]
    return find_remedies(cup.design, skin, wall, contrasts, nth, rejudged=rejudged, backed=backed)


def _asked(quick: bool) -> dict[str, Any]:
    """Daylight and eyes that see all colours are enough to leave most candidates out."""
    return {"illuminants": ("D65",), "visions": ("normal",)} if quick else {}


def _legibility(
    cup: Cup, renderer: RenderProcess, known: Survey, views: Views, progress: Progress
) -> Iterator[DecalLegibility]:
    lights = views.lights or _usual_lights(cup.design.document.light)
    turns = views.turns_deg
    figures = np.full(
        (len(known.shapes), len(lights), len(views.elevations_deg), len(turns)), np.nan
    )
    area = np.zeros((len(known.shapes), len(views.elevations_deg), len(turns)))
    drawn, total = 0, len(lights) * len(turns) * len(views.elevations_deg)
    for e, elevation in enumerate(views.elevations_deg):
        camera, size = _camera(cup, known.shapes, elevation)
        masks = _masks(cup, known, elevation, turns, camera, size)
        area[:, e] = np.array([[mask.area_mm2 for mask in at] for at in masks]).T
        for i, light in enumerate(lights):
            exposure = _exposure(light)
            for k, turn in enumerate(turns):
                progress(drawn / total, f"looking at the cup by the {light}")
                drawn += 1
                request = _request(cup, camera, size, turn, light)
                picture = renderer.draw(cup.model, request, transparent=True, keep_linear=True)
                assert picture.linear is not None
                luminance = luminance_shown(picture.linear, exposure)
                figures[:, i, e, k] = [contrast_in(luminance, mask) for mask in masks[k]]
    for shape, contrast, seen in zip(known.shapes, figures, area, strict=True):
        yield legibility_of(
            shape, contrast, seen, lights=lights, elevations_deg=views.elevations_deg,
            turns_deg=turns,
        )  # fmt: skip


def _usual_lights(own: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys((own, "window", "kitchen")))


@cache
def _exposure(light: str) -> float:
    return find_light(light).exposure


def _camera(
    cup: Cup, shapes: tuple[DecalShape, ...], elevation_deg: float
) -> tuple[Camera, tuple[int, int]]:
    """An eye at 1 m that sees as much of the cup's height as the decals take, and the size."""
    wall, up = cup.blank.wall, np.radians(elevation_deg)
    heights = np.concatenate(
        [shape.on_wall(wall, shapely.get_coordinates(shape.outline))[1] for shape in shapes]
    )
    ends = np.clip([heights.min(), heights.max()], 0, wall.length_mm)
    low, high = cup.blank.wall_foot_z_mm + wall.z_at(ends)
    radius, middle = cup.model.radius_mm, float(low + high) / 2
    tall = (high - low) * np.cos(up) + 2 * radius * abs(np.sin(up)) + 2 * REACH_MM + 6
    fov_deg = float(np.degrees(2 * np.arctan(tall / 2 / (DISTANCE_MM - radius))))
    camera = Camera(
        (0.0, -DISTANCE_MM * float(np.cos(up)), middle + DISTANCE_MM * float(np.sin(up))),
        (0.0, 0.0, middle),
        fov_deg,
    )
    finest = min(shape.stroke_mm for shape in shapes)
    px_per_mm = float(np.clip(PX_A_STROKE / finest, LEAST_PX_PER_MM, MOST_PX_PER_MM))
    return camera, (round(2.1 * radius * px_per_mm), round(float(tall) * px_per_mm))


def _masks(
    cup: Cup,
    known: Survey,
    elevation_deg: float,
    turns_deg: tuple[float, ...],
    camera: Camera,
    size: tuple[int, int],
) -> list[tuple[Mask, ...]]:
    sight: Sight | None = None
    found = []
    for turn in turns_deg:
        key = elevation_deg, turn
        if key not in known.masks:
            sight = sight or look_at(cup.model, camera, *size)
            known.masks[key] = tuple(
                mask_of(shape, cup.model.skin, cup.blank.wall, sight, float(np.radians(turn)))
                for shape in known.shapes
            )
        found.append(known.masks[key])
    return found


def _request(
    cup: Cup, camera: Camera, size: tuple[int, int], turn_deg: float, light: str
) -> Request:
    return Request(
        width_px=size[0],
        height_px=size[1],
        samples=1,
        turn_rad=float(np.radians(turn_deg)),
        camera=camera,
        light=light,
        table=cup.table(illuminant_of(light)),
        foil=foil_quality(cup.model.skin, cup.optics()),
    )
