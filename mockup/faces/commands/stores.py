"""Commands for the store room: what is on hand, and what to buy for several orders."""

import json
from datetime import date, datetime
from pathlib import Path

import click

from mockup.faces.commands.words import (
    days,
    example,
    for_each,
    json_option,
    moment,
    output_option,
    shelf_option,
    stock_option,
)

__all__ = ["shopping", "stock"]

designs_argument = click.argument(
    "designs", metavar="DESIGN...", nargs=-1, required=True, type=click.Path(path_type=Path)
)


@click.command(epilog=example("shopping regatta cox --cups 8 --cups 1 --stock stock.toml"))
@designs_argument
@json_option
@click.option(
    "--cups",
    metavar="N",
    type=click.IntRange(1, 1000),
    multiple=True,
    default=(1,),
    show_default="1",
    help="How many are made; given once for all designs, or for each in turn.",
)
@click.option(
    "--due",
    metavar="DATE",
    callback=days,
    multiple=True,
    help="When they are due; given once for all designs, or for each in turn.",
)
@click.option(
    "--until", metavar="DATE", callback=moment, help="Leave out what is due after this day."
)
@shelf_option
@stock_option
def shopping(
    designs: tuple[Path, ...],
    as_json: bool,
    cups: tuple[int, ...],
    due: tuple[date, ...],
    until: datetime | None,
    shelf: Path | None,
    stock: Path | None,
) -> None:
    """Work out what to buy for the orders of the coming weeks.

    Each DESIGN is an order. It tells what they take together, what of it is on hand, what is
    missing, and in how many packs to buy it.
    """
    from mockup import pipeline
    from mockup.outputs.plan.coming import coming_as_json, coming_in_words

    made = pipeline.shopping(
        designs,
        cups=for_each(designs, cups, "--cups"),
        due=for_each(designs, due or (None,), "--due"),
        shelf=shelf,
        stock=stock,
        until=until.date() if until is not None else None,
    )
    if as_json:
        click.echo(json.dumps(coming_as_json(made), indent=2, ensure_ascii=False))
        return
    click.echo(coming_in_words(made))


@click.command(epilog=example("stock regatta cox -o stock.toml"))
@designs_argument
@output_option(".toml")
@shelf_option
def stock(designs: tuple[Path, ...], output: Path, shelf: Path | None) -> None:
    """Write a stock file for you to fill in.

    It lists every material that the designs take. What is in the file already stays as it is.
    """
    from mockup import pipeline

    pipeline.write_stock(designs, output, shelf=shelf)
    click.echo(f"Wrote {output}")
