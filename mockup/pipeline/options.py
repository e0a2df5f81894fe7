"""One design under several palettes: the same camera, the same light, one look at its shapes."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from mockup.checks.contrast import DecalContrast
from mockup.checks.finding import Finding
from mockup.checks.legibility import DecalLegibility
from mockup.design.document import Design
from mockup.design.shelf import Shelf, read_shelf
from mockup.errors import DesignError
from mockup.files import write_whole
from mockup.material.metamers import Pair, closest_pair
from mockup.outputs.options import draw_options, lay_out_options
from mockup.outputs.options_facts import Cell, OptionColumn, OptionsFacts
from mockup.outputs.options_told import figures_as_json
from mockup.outputs.options_words import (
    contrast_cell,
    cost_cell,
    findings_cell,
    legibility_cell,
    matching_cell,
)
from mockup.outputs.pictures import write_picture
from mockup.outputs.plan.amounts import amounts
from mockup.outputs.plan.labour import bench_work
from mockup.outputs.plan.needs import needs
from mockup.outputs.plan.price import Price, price
from mockup.outputs.proof_facts import chip_colours
from mockup.pipeline.checking import Survey, Views, judge, survey
from mockup.pipeline.cup import Cup, Quiet, Shot, build_cup, opened, part, picture_request
from mockup.progress import Progress
from mockup.render.lights import light_label
from mockup.render.process import RenderProcess
from mockup.render.request import Request

__all__ = ["SHOT", "Option", "Options", "options"]

SHOT = Shot(600, 800, samples=8)
TURNS = 8  # round the cup, for legibility: enough to choose by; `check` looks closer
_ROOM = 1.65  # of the cup's width that its picture keeps

NOTES = (
    "Contrast is the ratio of WCAG 2.2 between a decal and what lies round it, all along its edge, "
    "in the even light of everyday lamps; legibility is the same as the cup turns in the light "
    "shown.",
    "Screens and printers differ: judge colours by the jars and sheets themselves, in your own "
    "light.",
)


@dataclass(frozen=True, slots=True, eq=False)
class Option:
    """A design under one palette, seen and judged.

    `price` is None where the shelf has not what it takes, and `no_price` says so.
    """

    name: str
    cup: Cup
    picture: NDArray[np.uint8]
    contrasts: tuple[DecalContrast, ...]
    legibility: tuple[DecalLegibility, ...]
    pair: Pair | None
    price: Price | None
    no_price: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Options:
    """All of them as the sheet states them, their figures as plain values, and what is left out.

    `left_out` names the palettes at hand that do not suit the layers, each with the reason.
    """

    facts: OptionsFacts
    figures: tuple[dict[str, Any], ...]
    left_out: tuple[tuple[str, str], ...]


def options(
    path: Path,
    output: Path,
    *,
    palettes: Sequence[str] = (),
    shot: Shot = SHOT,
    light: str | None = None,
    shelf: Path | None = None,
    turns: int = TURNS,
    with_cost: bool = True,
    paper: Literal["a4", "letter"] = "a4",
    progress: Progress = Quiet,
) -> Options:
    """Read a design, draw and judge it under several palettes, and write them side by side.

    Parameters
    ----------
    output
        A .png for one picture, a .pdf for pages.
    palettes
        Names; none takes all that suit the layers, the one in use first.
    turns
        Views round the cup for legibility; 0 leaves it out.
    with_cost
        Whether the sheet tells what the materials cost, or is one to hand out.
    """
    design = opened(path, None, light)
    chosen, left_out = _chosen(design, palettes)
    known = read_shelf(shelf)
    light = light or design.document.light
    found = []
    with RenderProcess() as renderer:
        renderer.start()  # it warms up while the skin is compiled
        cup = build_cup(design, progress=part(progress, 0.0, 0.15))
        surveyed = survey(cup)
        for nth, name in enumerate(chosen):
            share = part(
                progress, 0.2 + 0.75 * nth / len(chosen), 0.2 + 0.75 * (nth + 1) / len(chosen)
            )
            dressed = cup.with_palette(name)
            found.append(_option(dressed, surveyed, renderer, shot, light, known, turns, share))
    progress(0.96, "laying out the options")
    facts = _facts(design, found, shot, light, known, turns=turns, with_cost=with_cost)
    if output.suffix.lower() == ".pdf":
        write_whole(output, lay_out_options(facts, paper=paper))
    else:
        write_picture(draw_options(facts), output)
    progress(1.0, "done")
    return Options(facts, tuple(_figures(option, known) for option in found), left_out)


def _chosen(
    design: Design, palettes: Sequence[str]
) -> tuple[tuple[str, ...], tuple[tuple[str, str], ...]]:
    """Names to show, and those left out with the reason; a name that was asked for must suit."""
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
    cup: Cup,
    surveyed: Survey,
    renderer: RenderProcess,
    shot: Shot,
    light: str,
    shelf: Shelf,
    turns: int,
    progress: Progress,
) -> Option:
    name = cup.design.document.palette
    progress(0.0, f"drawing {name}")
    picture = _drawn(cup, renderer, picture_request(cup, shot, light), part(progress, 0.0, 0.5))
    progress(0.5, f"judging {name}")
    judged = judge(
        cup,
        renderer if turns else None,
        surveyed=surveyed,
        views=Views(turns=turns, elevations_deg=(shot.elevation_deg,), lights=(light,)),
        progress=part(progress, 0.5, 1.0),
    )
    cost, no_cost = _price(cup, shelf)
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
        findings=(),
    )


def _price(cup: Cup, shelf: Shelf) -> tuple[Price | None, str]:
    """Of one cup; or why there is none."""
    try:
        taken, _ = amounts(needs(cup.design, cup.blank, shelf), shelf, 1)
        return price(taken, bench_work(cup.design, shelf, 1), shelf.rates, 1), ""
    except DesignError as error:
        return None, error.problem


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


def _facts(
    design: Design,
    found: Sequence[Option],
    shot: Shot,
    light: str,
    shelf: Shelf,
    *,
    turns: int,
    with_cost: bool,
) -> OptionsFacts:
    rows = [
        ("CONTRAST", True),
        ("LEGIBILITY ROUND THE TURN", turns > 0),
        ("MATCHING BY OTHER LAMPS", True),
        ("MATERIALS", with_cost),
        ("FINDINGS", True),
    ]
    wanted = [told for _, told in rows]
    columns = []
    for option in found:
        cells = [cell for cell, told in zip(_cells(option, shelf), wanted, strict=True) if told]
        columns.append(
            OptionColumn(
                name=option.name,
                note=option.cup.design.palette.note,
                picture=option.picture,
                chips=tuple(chip_colours(option.cup.design).values()),
                cells=tuple(cells),
                in_use=option.name == design.document.palette,
            )
        )
    return OptionsFacts(
        title=design.document.title,
        shown=_shown(shot, light),
        rows=tuple(label for label, told in rows if told),
        columns=tuple(columns),
        notes=NOTES,
    )


def _cells(option: Option, shelf: Shelf) -> Iterator[Cell]:
    labels = {role: s.label or role for role, s in option.cup.design.palette.roles.items()}
    yield contrast_cell(option.contrasts)
    yield legibility_cell(option.legibility)
    yield matching_cell(option.pair, labels)
    if option.price is None:
        yield Cell("not known", "", False, option.no_price)
    else:
        yield cost_cell(option.price, shelf.rates)
    yield findings_cell(option.findings)


def _figures(option: Option, shelf: Shelf) -> dict[str, Any]:
    told = figures_as_json(
        option.contrasts,
        option.legibility,
        option.pair,
        option.price,
        option.findings,
        rates=shelf.rates,
    )
    return {"palette": option.name, **told}


def _shown(shot: Shot, light: str) -> str:
    side = "the front" if shot.turn_deg % 360 == 0 else f"turned {shot.turn_deg:g}°"
    return f"{light_label(light)} light · {side} · the same camera for all"
