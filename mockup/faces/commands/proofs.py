"""The command that writes what the customer approves."""

from pathlib import Path
from typing import Literal

import click

from mockup.faces.commands.words import (
    cups_option,
    design_argument,
    example,
    light_option,
    output_option,
    palette_option,
    paper_option,
    shelf_option,
)
from mockup.faces.progress import shown_progress

__all__ = ["proof"]


@click.command(epilog=example("proof regatta -o proof.pdf --palette storm-silver --paper letter"))
@design_argument
@output_option(".pdf", ".png", help="The sheet, or its pages as pictures: FILE.png, FILE-2.png …")
@paper_option
@light_option
@palette_option
@click.option("--price", is_flag=True, help="Show what it costs, by your shelf.")
@cups_option
@shelf_option
def proof(
    design: Path,
    output: Path,
    paper: Literal["a4", "letter"],
    light: str | None,
    palette: str | None,
    price: bool,
    cups: int,
    shelf: Path | None,
) -> None:
    """Write the proof of DESIGN, which the customer approves."""
    from mockup import pipeline

    with shown_progress() as progress:
        written = pipeline.proof(
            design,
            output,
            paper=paper,
            palette=palette,
            light=light,
            terms=pipeline.Terms(cups if price else None, shelf),
            progress=progress,
        )
    for note in written.notes:
        click.echo(note, err=True)
    for path in written.files:
        click.echo(f"Wrote {path}")
