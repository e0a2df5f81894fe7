"""The command that checks a design before it is made."""

import json
from pathlib import Path

import click

from mockup.faces.commands.words import (
    Output,
    design_argument,
    example,
    json_option,
    light_option,
    palette_option,
)
from mockup.faces.progress import shown_progress

__all__ = ["check"]


@click.command(
    epilog=example(
        "check regatta -o check.png",
        "check regatta --quick --json",
        "check regatta --palette winter-ivory --offers offers",
    )
)
@design_argument
@click.option(
    "-o",
    "--output",
    metavar="FILE.png",
    type=Output(".png"),
    help="Also draw the weakest places on the flat and on the cup, with all figures.",
)
@click.option(
    "--offers",
    metavar="DIR",
    type=click.Path(file_okay=False, path_type=Path),
    help="Also write each change that would pass into this folder, as a pack to render.",
)
@click.option("--quick", is_flag=True, help="Leave out the look round the turn.")
@light_option
@palette_option
@json_option
def check(
    design: Path,
    output: Path | None,
    offers: Path | None,
    quick: bool,
    light: str | None,
    palette: str | None,
    as_json: bool,
) -> None:
    """Check DESIGN: can it be read, can it be cut.

    Contrast of every decal with what lies behind it, along its edge, in everyday light and for weak
    colour vision; legibility as the cup turns; strokes, gaps, seam and rim; and the nearest change
    that mends what fails. Findings are no errors: it ends with 0.
    """
    from mockup import pipeline
    from mockup.outputs.check_words import check_as_json, check_in_words

    with shown_progress() as progress:
        facts = pipeline.check(
            design,
            palette=palette,
            light=light,
            quick=quick,
            sheet=output,
            offers=offers,
            progress=progress,
        )
    if as_json:
        click.echo(json.dumps(check_as_json(facts), indent=2, ensure_ascii=False))
        return
    click.echo(check_in_words(facts))
    if output is not None:
        click.echo(f"Wrote {output}")
    if offers is not None:
        for remedy in facts.remedies:
            click.echo(f"Wrote {offers / remedy.design.document.palette}.tumbler")
