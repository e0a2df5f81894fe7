"""Commands for the bench and the books: cut sheets, amounts, days, price, work sheet."""

import json
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from mockup.faces.commands.words import (
    Output,
    cups_option,
    design_argument,
    due_option,
    example,
    json_option,
    light_option,
    output_option,
    palette_option,
    paper_option,
    room_option,
    sheet_of,
    shelf_option,
    start_option,
    stock_option,
    tomorrow,
)
from mockup.faces.progress import shown_progress

if TYPE_CHECKING:
    from mockup.outputs.cut.nest import SheetSize

__all__ = ["cut", "plan", "shelf", "worksheet"]


@click.command(epilog=example("cut regatta -o sheets --paper letter --sheet 305x610"))
@design_argument
@click.option(
    "-o",
    "--output",
    metavar="DIR",
    type=click.Path(file_okay=False, path_type=Path),
    required=True,
    help="The folder to write into; it is made if need be.",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter", "whole"]),
    default="a4",
    show_default=True,
    help="Of the PDF; whole makes each page as large as its sheet, for a plotter.",
)
@click.option(
    "--sheet",
    metavar="WxL",
    callback=sheet_of,
    help="Sheets of foil and vinyl, in mm, else the shelf's; 610 alone is a roll of that width.",
)
@click.option(
    "--foil",
    type=click.Choice(["mirrored", "face-up"]),
    default="mirrored",
    show_default=True,
    help="How the adhesive under foil is cut.",
)
@cups_option
@shelf_option
@palette_option
@json_option
def cut(
    design: Path,
    output: Path,
    paper: Literal["a4", "letter", "whole"],
    sheet: "SheetSize | None",
    foil: str,
    cups: int,
    shelf: Path | None,
    palette: str | None,
    as_json: bool,
) -> None:
    """Write the cut sheets of DESIGN at true size.

    One PDF for the bench, and an SVG of each sheet for the cutter.
    """
    from mockup import pipeline

    with shown_progress() as progress:
        files, findings = pipeline.cut(
            design,
            output,
            cups=cups,
            shelf=shelf,
            paper=paper,
            sheet_size=sheet,
            foil_mirrored=foil == "mirrored",
            palette=palette,
            progress=progress,
        )
    if as_json:
        told = [asdict(finding) for finding in findings]
        whole = {"files": [str(file) for file in files], "findings": told}
        click.echo(json.dumps(whole, indent=2, ensure_ascii=False))
        return
    for finding in findings:
        click.echo(finding, err=True)
    for file in files:
        click.echo(f"Wrote {file}")


@click.command(epilog=example("plan regatta --cups 4 --room 19"))
@design_argument
@json_option
@cups_option
@shelf_option
@stock_option
@room_option
@start_option
@due_option
@click.option(
    "--calendar", metavar="FILE.ics", type=Output(".ics"), help="Also write the days' events."
)
@click.option(
    "--chart", metavar="FILE.png", type=Output(".png"), help="Also draw the days as bars."
)
@palette_option
def plan(
    design: Path,
    as_json: bool,
    cups: int,
    shelf: Path | None,
    stock: Path | None,
    room: float | None,
    start: datetime | None,
    due: datetime | None,
    calendar: Path | None,
    chart: Path | None,
    palette: str | None,
) -> None:
    """Work out what making DESIGN takes and costs.

    Every amount comes with its formula and with the figure of the shelf that can be changed.
    """
    from mockup import pipeline
    from mockup.outputs.plan.making import making_as_json
    from mockup.outputs.plan.words import making_in_words

    made = pipeline.plan(
        design,
        cups=cups,
        shelf=shelf,
        stock=stock,
        room_c=room,
        palette=palette,
        start=start or tomorrow(),
        due=due,
        calendar=calendar,
        chart=chart,
    )
    if as_json:
        click.echo(json.dumps(making_as_json(made), indent=2, ensure_ascii=False))
        return
    click.echo(making_in_words(made))


@click.command(epilog=example("worksheet regatta -o bench.pdf --cups 4 --start 2026-06-01"))
@design_argument
@output_option(".pdf")
@cups_option
@shelf_option
@room_option
@start_option
@due_option
@paper_option
@light_option
@palette_option
def worksheet(
    design: Path,
    output: Path,
    cups: int,
    shelf: Path | None,
    room: float | None,
    start: datetime | None,
    due: datetime | None,
    paper: Literal["a4", "letter"],
    light: str | None,
    palette: str | None,
) -> None:
    """Write the work sheet of DESIGN for the bench.

    It holds the front, and for each step its time, its amounts, boxes to tick and its cautions.
    """
    from mockup import pipeline

    with shown_progress() as progress:
        pipeline.worksheet(
            design,
            output,
            cups=cups,
            shelf=shelf,
            room_c=room,
            start=start or tomorrow(),
            due=due,
            paper=paper,
            light=light,
            palette=palette,
            progress=progress,
        )
    click.echo(f"Wrote {output}")


@click.command(epilog=example("shelf -o shelf.toml"))
@output_option(".toml")
def shelf(output: Path) -> None:
    """Write a typical shelf for you to change.

    It holds products, rates and times, every figure of them typical: your products' data sheets
    and your own books stand above it.
    """
    from mockup import pipeline

    pipeline.write_shelf(output)
    click.echo(f"Wrote {output}")
