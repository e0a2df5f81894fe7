"""The command for a list of names: one design, a cup for each."""

import json
from pathlib import Path
from typing import Literal

import click

from mockup.faces.commands.words import (
    design_argument,
    example,
    json_option,
    light_option,
    palette_option,
    shelf_option,
    size_option,
)
from mockup.faces.progress import shown_progress

__all__ = ["batch"]


@click.command(epilog=example("batch regatta --names crew.csv -o crew"))
@design_argument
@click.option(
    "--names",
    metavar="FILE.csv",
    type=click.Path(path_type=Path),
    required=True,
    help="A row for each cup; its first row names decals made from text, palette or title.",
)
@click.option(
    "-o",
    "--output",
    metavar="DIR",
    type=click.Path(file_okay=False, path_type=Path),
    required=True,
    help="The folder to write into; it is made if need be.",
)
@size_option("600x800")
@click.option(
    "--sheets/--no-sheets", default=True, show_default=True, help="Whether to write cut sheets."
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter", "whole"]),
    default="a4",
    show_default=True,
    help="Of the cut sheets.",
)
@shelf_option
@light_option
@palette_option
@json_option
def batch(
    design: Path,
    names: Path,
    output: Path,
    size: tuple[int, int],
    sheets: bool,
    paper: Literal["a4", "letter", "whole"],
    shelf: Path | None,
    light: str | None,
    palette: str | None,
    as_json: bool,
) -> None:
    """Make a cup of DESIGN for each name of a list.

    Each gets a folder with its picture, its design as a pack, and its cut sheets. An empty cell
    leaves its decal out.
    """
    from mockup import pipeline

    with shown_progress() as progress:
        made = pipeline.batch(
            design,
            names,
            output,
            shot=pipeline.Shot(*size),
            palette=palette,
            light=light,
            sheets=sheets,
            paper=paper,
            shelf=shelf,
            progress=progress,
        )
    if as_json:
        told = [
            {
                "row": one.row,
                "title": one.title,
                "folder": str(one.folder),
                "findings": [finding.advice for finding in one.findings],
            }
            for one in made
        ]
        click.echo(json.dumps(told, indent=2, ensure_ascii=False))
        return
    advices = [[finding.advice for finding in one.findings] for one in made]
    for advice in advices[0]:
        if all(advice in others for others in advices):
            click.echo(f"{names.name}: every row: {advice}", err=True)
    for one, own in zip(made, advices, strict=True):
        for advice in own:
            if not all(advice in others for others in advices):
                click.echo(f"{names.name}: row {one.row}: {advice}", err=True)
        click.echo(f"Wrote {one.folder}")
