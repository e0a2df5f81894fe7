"""The command that writes what the customer approves."""

from pathlib import Path
from typing import Any

import click

from mockup.faces.commands.words import (
    cups_option,
    example,
    light_option,
    output_option,
    paper_option,
    shelf_option,
)
from mockup.faces.progress import shown_progress

__all__ = ["proof"]


@click.command(
    epilog=example(
        "proof regatta -o proof.pdf --palette storm-silver --paper letter",
        "proof regatta -o proof.html --palette deep-water --palette storm-silver",
        "proof --order 3 -o proof.html --price",
    )
)
@click.argument("design", type=click.Path(path_type=Path), required=False)
@click.option(
    "--order", metavar="N", type=click.IntRange(min=1),
    help="Of this order's design, so that the order book can check the answer.",
)  # fmt: skip
@output_option(
    ".pdf",
    ".png",
    ".html",
    help="The sheet, its pages as pictures (FILE.png, FILE-2.png, …), or the page to answer by.",
)
@paper_option
@light_option
@click.option(
    "--palette", "palettes", metavar="NAME", multiple=True,
    help="Show this option; on a page say it again for each that can be chosen.",
)  # fmt: skip
@click.option("--price", is_flag=True, help="Show what it costs, by your shelf.")
@cups_option
@shelf_option
def proof(
    design: Path | None,
    order: int | None,
    output: Path,
    price: bool,
    cups: int,
    shelf: Path | None,
    **told: Any,
) -> None:
    """Write the proof of DESIGN, which the customer approves.

    As a sheet to print and sign, or as one page that works from a file on a phone: the cup turns,
    the light can be switched, and the answer becomes a short receipt to send back.
    """
    from mockup import pipeline

    if (design is None) == (order is None):
        raise click.UsageError("Give a DESIGN, or --order N for that of an order.")
    terms = pipeline.Terms(cups=cups if price else None, shelf=shelf)
    with shown_progress() as progress:
        if design is not None:
            written = pipeline.proof(design, output, terms=terms, progress=progress, **told)
        else:
            written = _of_order(order, output, terms=terms, progress=progress, **told)
    for note in written.notes:
        click.echo(note, err=True)
    for path in written.files:
        click.echo(f"Wrote {path}")


def _of_order(order: Any, output: Path, **told: Any) -> Any:
    from mockup import pipeline
    from mockup.store import open_store

    with open_store() as store:
        return pipeline.order_proof(store, order, output, **told)
