"""One design under several palettes, side by side in one file."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mockup.design.document import Design
from mockup.design.shelf import Shelf
from mockup.files import write_whole
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
from mockup.outputs.proof_facts import chip_colours
from mockup.outputs.sheet import Paper
from mockup.pipeline.checking import survey
from mockup.pipeline.compare import SHOT, TURNS, Option, Setting, compare, fitting
from mockup.pipeline.cup import Quiet, Shot, build_cup, opened, part
from mockup.pipeline.materials import shelf_of
from mockup.progress import Progress
from mockup.render.lights import light_label
from mockup.render.process import RenderProcess

__all__ = ["Options", "options", "options_facts"]

NOTES = (
    "Contrast is the ratio of WCAG 2.2 between a decal and what lies round it, all along its edge, "
    "in the even light of everyday lamps; legibility is the same as the cup turns in the light "
    "shown. Findings here are on reading alone; what else the check finds, as on cutting, it "
    "tells of one cup at a time.",
    "ΔE is ΔE00, how far two colours lie apart: 1 is hardly seen, 3 is remarked on.",
    "Screens and printers differ: judge colours by the jars and sheets themselves, in your own "
    "light.",
)


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
    paper: Paper = "a4",
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
    chosen, left_out = fitting(design, palettes)
    setting = Setting(light or design.document.light, shelf_of(shelf), shot, turns)
    with RenderProcess() as renderer:
        renderer.start()  # it warms up while the skin is compiled
        cup = build_cup(design, progress=part(progress, 0.0, 0.15))
        surveyed, told = survey(cup), part(progress, 0.2, 0.95)
        found = list(compare(cup, chosen, setting, renderer, surveyed=surveyed, progress=told))
    progress(0.96, "laying out the options")
    facts = options_facts(design, found, setting, with_cost=with_cost)
    _write(facts, output, paper)
    progress(1.0, "done")
    return Options(facts, tuple(_figures(option, setting.shelf) for option in found), left_out)


def _write(facts: OptionsFacts, output: Path, paper: Paper) -> None:
    if output.suffix.lower() == ".pdf":
        write_whole(output, lay_out_options(facts, paper=paper))
    else:
        write_picture(draw_options(facts), output)


def options_facts(
    design: Design, found: Sequence[Option], setting: Setting, *, with_cost: bool = True
) -> OptionsFacts:
    """What the sheet states of options that `compare` made."""
    rows = {
        "CONTRAST": True,
        "LEGIBILITY ROUND THE TURN": setting.turns > 0,
        "MATCHING BY OTHER LAMPS": True,
        "MATERIALS": with_cost,
        "FINDINGS ON READING": True,
    }
    columns = []
    for option in found:
        told = zip(_cells(option, setting.shelf), rows.values(), strict=True)
        columns.append(
            OptionColumn(
                name=option.name,
                note=option.cup.design.palette.note,
                picture=option.picture,
                chips=tuple(chip_colours(option.cup.design).values()),
                cells=tuple(cell for cell, wanted in told if wanted),
                in_use=option.name == design.document.palette,
            )
        )
    return OptionsFacts(
        title=design.document.title,
        shown=_shown(setting.shot, setting.light),
        rows=tuple(label for label, wanted in rows.items() if wanted),
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
        [finding for _, finding in option.findings],
        rates=shelf.rates,
    )
    return {"palette": option.name, **told}


def _shown(shot: Shot, light: str) -> str:
    side = "the front" if shot.turn_deg % 360 == 0 else f"turned {shot.turn_deg:g}°"
    return f"{light_label(light)} light · {side} · the same camera for all"
