"""The command that shows a design under several palettes, side by side."""

import json
import shlex
from dataclasses import replace
from pathlib import Path
from typing import Literal

import click

from mockup.faces.commands.words import (
    Degrees,
    design_argument,
    elevation_option,
    example,
    json_option,
    light_option,
    output_option,
    paper_option,
    shelf_option,
    size_option,
)
from mockup.faces.progress import shown_progress

__all__ = ["options"]


@click.command(
    epilog=example(
        "options regatta -o options.png",
        "options regatta -o three.pdf --palette deep-water --palette oxblood --palette sand-bar",
    )
)
@design_argument
@output_option(".png", ".pdf")
@click.option(
    "--palette", "palettes", metavar="NAME", multiple=True,
    help="Show this one; say it again for each. Without it all that fit.",
)  # fmt: skip
@size_option("600x800")
@click.option(
    "--turn", metavar="DEG", type=Degrees(-360, 360), default=0.0, show_default=True,
    help="Turn of the cup; 0 shows the front, more shows what lies to its right.",
)  # fmt: skip
@elevation_option
@light_option
@shelf_option
@click.option(
    "--views", metavar="N", type=click.IntRange(0, 72), default=8, show_default=True,
    help="Views round the cup to judge legibility by; 0 leaves it out.",
)  # fmt: skip
@click.option("--no-cost", is_flag=True, help="Leave out what the materials cost.")
@paper_option
@json_option
def options(
    design: Path,
    output: Path,
    palettes: tuple[str, ...],
    size: tuple[int, int],
    turn: float,
    elevation: float,
    light: str | None,
    shelf: Path | None,
    views: int,
    no_cost: bool,
    paper: Literal["a4", "letter"],
    as_json: bool,
) -> None:
    """Show DESIGN under several palettes side by side.

    The same camera and light for all, in one picture or on pages, over a table of contrast,
    legibility, colours that part in other light, what the materials cost, and findings.
    """
    from mockup import pipeline
    from mockup.outputs.options_told import options_in_words

    shot = replace(
        pipeline.OPTIONS_SHOT,
        width_px=size[0],
        height_px=size[1],
        turn_deg=turn,
        elevation_deg=elevation,
    )
    with shown_progress() as progress:
        made = pipeline.options(
            design,
            output,
            palettes=palettes,
            shot=shot,
            light=light,
            shelf=shelf,
            turns=views,
            with_cost=not no_cost,
            paper=paper,
            progress=progress,
        )
    if as_json:
        left_out = [{"palette": name, "misfit": why} for name, why in made.left_out]
        whole = {"file": str(output), "options": made.figures, "left_out": left_out}
        click.echo(json.dumps(whole, indent=2, ensure_ascii=False))
        return
    _tell_left_out([name for name, _ in made.left_out])
    click.echo(options_in_words(made.facts))
    click.echo(f"Wrote {output}")
    click.echo(f"Choose one with: tumbler-mockup palettes {shlex.quote(str(design))} --use NAME")


def _tell_left_out(names: list[str]) -> None:
    if names:
        one = len(names) == 1
        do = "palette does not fit and is" if one else "palettes do not fit and are"
        click.echo(f"{len(names)} {do} left out: {', '.join(names)}", err=True)
