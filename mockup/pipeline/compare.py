"""One cup under several palettes, seen by one camera in one light and judged by one measure."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from mockup.checks.contrast import DecalContrast
from mockup.checks.finding import Finding
from mockup.checks.legibility import DecalLegibility
from mockup.design.document import Design
from mockup.design.shelf import Shelf
from mockup.errors import DesignError
from mockup.material.metamers import Pair, closest_pair
from mockup.outputs.plan.amounts import amounts
from mockup.outputs.plan.labour import bench_work
from mockup.outputs.plan.needs import needs
from mockup.outputs.plan.price import Price, price
from mockup.pipeline.checking import Judgement, Survey, Views, findings_of, judge, survey
from mockup.pipeline.cup import Cup, Quiet, Shot, part, picture_request
from mockup.progress import Progress
from mockup.render.process import RenderProcess
from mockup.render.request import Request

__all__ = ["SHOT", "TURNS", "Option", "Setting", "compare", "fitting"]

SHOT = Shot(600, 800, samples=8)
TURNS = 8  # round the cup, for legibility: enough to choose by; `check` looks closer
_ROOM = 1.65  # of the cup's width that its picture keeps


@dataclass(frozen=True, slots=True)
class Setting:
    """What all options share: camera, light, the maker's shelf, and views round the turn.

    `turns` 0 leaves legibility out.
    """

    light: str
    shelf: Shelf
    shot: Shot = SHOT
    turns: int = TURNS


@dataclass(frozen=True, slots=True, eq=False)
class Option:
    """A design under one palette, seen and judged.

    `price` is None where the shelf has not what it takes, and `no_price` says so. Each finding
    comes with its decal's name.
    """

    name: str
    cup: Cup
    picture: NDArray[np.uint8]
    contrasts: tuple[DecalContrast, ...]
    legibility: tuple[DecalLegibility, ...]
    pair: Pair | None
    price: Price | None
    no_price: str
    findings: tuple[tuple[str, Finding], ...]


def compare(
    cup: Cup,
    palettes: Sequence[str],
    setting: Setting,
    renderer: RenderProcess,
    *,
    surveyed: Survey | None = None,
    progress: Progress = Quiet,
) -> Iterator[Option]:
    """See and judge a cup under each palette, one after the other; nothing is compiled again.

    Parameters
    ----------
    surveyed
        The cup's `survey`, where it was made before.
    """
    known = surveyed if surveyed is not None else survey(cup)
    for nth, name in enumerate(palettes):
        start, end = nth / len(palettes), (nth + 1) / len(palettes)
        told = part(progress, start, end)
        yield _option(cup.with_palette(name), known, setting, renderer, told)


def fitting(
    design: Design, palettes: Sequence[str] = ()
) -> tuple[tuple[str, ...], tuple[tuple[str, str], ...]]:
    """Palettes that suit a design's layers, its own first, and those that do not with the reason.

    Raises
    ------
    UnknownName, DesignError
        One of `palettes`, which were asked for by name, is not there or does not suit.
    """
    if palettes:
        names = tuple(dict.fromkeys(palettes))
        for name in names:
            design.with_palette(name)
        return names, ()
    fitting, left_out = [], []
    own = design.document.palette
    for name in chain([own], sorted(set(design.palettes) - {own})):
        try:
            design.with_palette(name)
        except DesignError as error:
            left_out.append((name, error.problem))
        else:
            fitting.append(name)
    return tuple(fitting), tuple(left_out)


def _option(
    cup: Cup, known: Survey, setting: Setting, renderer: RenderProcess, progress: Progress
) -> Option:
    name = cup.design.document.palette
    progress(0.0, f"drawing {name}")
    request = picture_request(cup, setting.shot, setting.light)
    picture = _drawn(cup, renderer, request, part(progress, 0.0, 0.5))
    progress(0.5, f"judging {name}")
    judged = judge(
        cup,
        renderer if setting.turns else None,
        surveyed=known,
        views=Views(setting.turns, (setting.shot.elevation_deg,), (setting.light,)),
        progress=part(progress, 0.5, 1.0),
    )
    cost, no_cost = _price(cup, setting.shelf)
    swatches = {role: cup.design.swatch(role, where=where) for role, where in cup.design.roles()}
    return Option(
        name=name,
        cup=cup,
        picture=picture,
        contrasts=tuple(decal.contrast for decal in judged.decals),
        legibility=tuple(d.legibility for d in judged.decals if d.legibility is not None),
        pair=closest_pair(swatches),
        price=cost,
        no_price=no_cost,
        findings=tuple(_findings(cup, judged)),
    )


def _drawn(
    cup: Cup, renderer: RenderProcess, request: Request, progress: Progress
) -> NDArray[np.uint8]:
    """The picture without the empty sides beside the cup, so that more stand abreast."""
    picture = renderer.draw(cup.model, request, progress=progress).rgba8_srgb[..., :3]
    camera, height = request.camera, picture.shape[0]
    away_mm = math.hypot(*camera.position_mm)
    tangent = cup.model.radius_mm / math.sqrt(away_mm**2 - cup.model.radius_mm**2)
    cup_px = height * tangent / math.tan(math.radians(camera.fov_deg) / 2)
    spare = (picture.shape[1] - round(_ROOM * cup_px)) // 2
    return picture[:, spare:-spare] if spare > 0 else picture


def _findings(cup: Cup, judged: Judgement) -> Iterator[tuple[str, Finding]]:
    for decal in judged.decals:
        yield from ((decal.contrast.shape.name, found) for found in findings_of(cup, decal))


def _price(cup: Cup, shelf: Shelf) -> tuple[Price | None, str]:
    """Of one cup; or why there is none."""
    try:
        taken, _ = amounts(needs(cup.design, cup.blank, shelf), shelf, 1)
        return price(taken, bench_work(cup.design, shelf, 1), shelf.rates, 1), ""
    except DesignError as error:
        return None, error.problem
