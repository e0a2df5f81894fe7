"""From a compiled cup to what the checks say of it, with pictures where they are wanted.

`survey` looks at the maps once; `judge` then works out the figures of one palette, so that the
options of a design are judged without another look.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mockup.checks.contrast import DecalContrast, contrast_of
from mockup.checks.decal_shape import DecalShape, decal_shapes
from mockup.checks.finding import Finding
from mockup.checks.legibility import DecalLegibility, Mask
from mockup.checks.reading import check_contrast, check_legibility
from mockup.checks.remedy import Remedy, find_remedies
from mockup.checks.stations import Stations, stations_along
from mockup.design.document import Design
from mockup.design.palette import Swatch
from mockup.material.optics import compile_swatch
from mockup.pipeline.cup import Cup, Quiet
from mockup.pipeline.looking import ALL_ROUND, Views, look_round
from mockup.progress import Progress
from mockup.render.process import RenderProcess
from mockup.shading.even_light import swatch_colour
from mockup.shading.lobes import COAT_IOR

__all__ = [
    "DecalJudgement",
    "Judgement",
    "Survey",
    "Views",
    "findings_of",
    "judge",
    "remedies",
    "survey",
]

Floats = NDArray[np.float64]


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
    views: Views = ALL_ROUND,
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
        looked = look_round(cup, renderer, known.shapes, known.masks, views, progress)
        read = list(looked)
    decals = tuple(DecalJudgement(*pair) for pair in zip(contrasts, read, strict=True))
    findings = tuple(found for decal in decals for found in findings_of(cup, decal))
    return Judgement(cup.design.palette.name, decals, findings)


def findings_of(cup: Cup, decal: DecalJudgement, cure: str | None = None) -> Iterator[Finding]:
    """What is to be said of one decal; `cure` is the remedy that low contrast is told with.

    A decal that fails in even light need not be told that it fades round the turn too.
    """
    told = check_contrast(cup.design, decal.contrast, cup.model.skin, cure)
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
