"""The command line: parses, calls the pipeline, prints; decides nothing.

Everything heavy is imported inside the command that needs it, so that help comes at once.
"""

import json
import math
import re
from collections.abc import Callable
from dataclasses import asdict
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeVar

import click

from mockup import __version__
from mockup.errors import DesignError, GeometryError, MockupError, OutputError
from mockup.faces.progress import shown_progress

if TYPE_CHECKING:
    from mockup.design.document import Design
    from mockup.outputs.cut.nest import SheetSize

__all__ = ["cli", "main"]

F = TypeVar("F", bound=Callable[..., Any])


class _Mendable(click.ClickException):
    """A problem that the user can mend, told on standard error as it is."""

    exit_code = 1

    def show(self, file: Any = None) -> None:
        click.echo(self.message, file=file, err=True)


class _Stopped(_Mendable):
    """The user pressed Ctrl-C."""

    exit_code = 130  # what shells give for the signal


class _Commands(click.Group):
    """Turns what went wrong into one sentence: 1 can be mended, 130 was stopped by the user."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except MockupError as error:
            raise _Mendable(str(error)) from error
        except KeyboardInterrupt:
            raise _Stopped("Stopped; nothing was written.") from None


class _Finite(click.FloatRange):
    """A number; `nan` lies in no range, though it compares as if it did."""

    what = "a number"

    def convert(self, value: Any, param: Any, ctx: Any) -> float:
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value!r} is not {self.what}.", param, ctx)
        return number


class _Degrees(_Finite):
    what = "an angle in degrees"


class _Output(click.Path):
    """A file to write, whose ending says what is in it.

    A folder that is not there is told at once, not after the work.
    """

    def __init__(self, suffix: str) -> None:
        super().__init__(dir_okay=False, path_type=Path)
        self.suffix = suffix

    def convert(self, value: Any, param: Any, ctx: Any) -> Path:
        path = Path(str(super().convert(value, param, ctx)))
        if path.suffix.lower() != self.suffix:
            self.fail(f"{str(path)!r} does not end in {self.suffix}.", param, ctx)
        if not path.parent.is_dir():
            raise OutputError(
                "its folder is not there",
                where=str(path),
                remedy="Make the folder first, or name another",
            )
        return path


def _size(ctx: click.Context, param: click.Parameter, value: str) -> tuple[int, int]:
    """Width and height in pixels."""
    found = re.fullmatch(r"([0-9]{1,5})[x×]([0-9]{1,5})", value)
    size_px = (int(found[1]), int(found[2])) if found else (0, 0)
    if not all(16 <= side_px <= 8192 for side_px in size_px):
        raise click.BadParameter(f"{value!r} is not a size from 16x16 to 8192x8192.")
    return size_px


def _moment(ctx: click.Context, param: click.Parameter, value: str | None) -> datetime | None:
    """Local time; a day alone is its first minute, but its last for what is due."""
    if value is None:
        return None
    found = re.fullmatch(r"([1-8]\d{3}-\d\d-\d\d)(?:[T ](\d\d:\d\d))?", value, re.ASCII)
    try:
        minute = "23:59" if param.name == "due" else "00:00"
        moment = datetime.fromisoformat(f"{found[1]}T{found[2] or minute}") if found else None
    except ValueError:
        moment = None
    if moment is None:
        raise click.BadParameter(f"{value!r} is not a date such as 2026-06-01 or 2026-06-01T09:30.")
    return moment


def _tomorrow() -> datetime:
    return datetime.combine(datetime.now().date() + timedelta(days=1), time())


def _sheet(ctx: click.Context, param: click.Parameter, value: str) -> "SheetSize":
    """The size of a sheet or the width of a roll."""
    from mockup.outputs.cut.nest import SheetSize

    try:
        return SheetSize.read(value)
    except GeometryError as error:
        raise click.BadParameter(f"{error.problem}. {error.remedy}.") from error


def _example(*lines: str) -> str:
    """An epilog that click leaves as it is."""
    return "\b\nExample:\n" + "\n".join(f"  tumbler-mockup {line}" for line in lines)


def _output(suffix: str) -> Callable[[F], F]:
    return click.option(
        "-o",
        "--output",
        metavar=f"FILE{suffix}",
        type=_Output(suffix),
        required=True,
        help="The file to write.",
    )


_design = click.argument("design", type=click.Path(path_type=Path))
_palette = click.option("--palette", metavar="NAME", help="Render this option of the design.")
_light = click.option(
    "--light",
    metavar="NAME|FILE",
    help="Light it by this surrounding, or by a panorama of your own (.hdr, .exr).",
)
_paper = click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Its size.",
)
_cups = click.option(
    "--cups",
    metavar="N",
    type=click.IntRange(1, 1000),
    default=1,
    show_default=True,
    help="How many are made.",
)
_shelf = click.option(
    "--shelf",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Your products, rates and times; else your own shelf.toml or the typical one.",
)
_room = click.option(
    "--room", metavar="CELSIUS", type=_Finite(5, 40), help="Room temperature, else the shelf's."
)
_start = click.option(
    "--start", metavar="DATE", callback=_moment, help="Day or minute to begin from, else tomorrow."
)
_due = click.option(
    "--due", metavar="DATE", callback=_moment, help="Tells the latest start for it."
)
_json = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
    epilog=_example("demo regatta", "render regatta -o regatta.png"),
)
@click.version_option(__version__, message="%(prog)s %(version)s")
def cli() -> None:
    """See a decorated tumbler before the first coat.

    DESIGN is a design.toml, the folder that holds one, or a .tumbler pack.
    """


@cli.command(epilog=_example("demo regatta"))
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
def demo(folder: Path) -> None:
    """Write a design to start from into the folder DIR."""
    from mockup import pipeline

    click.echo(f"Wrote {pipeline.write_demo(folder)}")


@cli.command(epilog=_example("render regatta/design.toml -o side.png --turn 90 --size 900x1200"))
@_design
@_output(".png")
@click.option(
    "--size",
    metavar="WxH",
    callback=_size,
    default="1200x1600",
    show_default=True,
    help="In pixels.",
)
@click.option(
    "--turn", metavar="DEG", type=_Degrees(-360, 360), default=0.0, show_default=True,
    help="Turn of the cup; 0 shows the front, more shows what lies to its right.",
)  # fmt: skip
@click.option(
    "--elevation", metavar="DEG", type=_Degrees(-60, 85), default=10.0, show_default=True,
    help="How far the eye looks down on the cup.",
)  # fmt: skip
@_light
@_palette
@click.option(
    "--samples",
    metavar="N",
    type=click.IntRange(1, 64),
    help="Per pixel; without it 4 for a large picture and up to 16 for a small one.",
)
@click.option("--transparent", is_flag=True, help="Leave the surroundings out.")
@click.option(
    "--linear", metavar="FILE.npy", type=_Output(".npy"), help="Also write linear radiance."
)
@click.option(
    "--scene",
    metavar="FILE.json",
    type=_Output(".json"),
    help="Also write what was rendered, and how.",
)
def render(
    design: Path,
    output: Path,
    size: tuple[int, int],
    turn: float,
    elevation: float,
    light: str | None,
    palette: str | None,
    samples: int | None,
    transparent: bool,
    linear: Path | None,
    scene: Path | None,
) -> None:
    """Render a picture of DESIGN."""
    from mockup import pipeline

    shot = pipeline.Shot(
        width_px=size[0],
        height_px=size[1],
        turn_deg=turn,
        elevation_deg=elevation,
        samples=samples,
        transparent=transparent,
    )
    with shown_progress() as progress:
        pipeline.render(
            design,
            output,
            shot=shot,
            palette=palette,
            light=light,
            linear=linear,
            scene=scene,
            progress=progress,
        )
    click.echo(f"Wrote {output}")


@cli.command(epilog=_example("proof regatta -o proof.pdf --palette storm-silver --paper letter"))
@_design
@_output(".pdf")
@_paper
@_light
@_palette
def proof(
    design: Path,
    output: Path,
    paper: Literal["a4", "letter"],
    light: str | None,
    palette: str | None,
) -> None:
    """Write the proof of DESIGN, which the customer approves."""
    from mockup import pipeline

    with shown_progress() as progress:
        pipeline.proof(design, output, paper=paper, palette=palette, light=light, progress=progress)
    click.echo(f"Wrote {output}")


@cli.command(epilog=_example("cut regatta -o sheets --paper letter --sheet 305x610"))
@_design
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
    callback=_sheet,
    default="305x305",
    show_default=True,
    help="Sheets of foil and vinyl, in mm; 610 alone is a roll of that width.",
)
@click.option(
    "--foil",
    type=click.Choice(["mirrored", "face-up"]),
    default="mirrored",
    show_default=True,
    help="How the adhesive under foil is cut.",
)
@_palette
@_json
def cut(
    design: Path,
    output: Path,
    paper: Literal["a4", "letter", "whole"],
    sheet: "SheetSize",
    foil: str,
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


@cli.command(epilog=_example("plan regatta --cups 4 --room 19"))
@_design
@_json
@_cups
@_shelf
@click.option(
    "--stock",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="What is on hand; tells what is missing.",
)
@_room
@_start
@_due
@click.option(
    "--calendar", metavar="FILE.ics", type=_Output(".ics"), help="Also write the days' events."
)
@click.option(
    "--chart", metavar="FILE.png", type=_Output(".png"), help="Also draw the days as bars."
)
@_palette
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
        start=start or _tomorrow(),
        due=due,
        calendar=calendar,
        chart=chart,
    )
    if as_json:
        click.echo(json.dumps(making_as_json(made), indent=2, ensure_ascii=False))
        return
    click.echo(making_in_words(made))


@cli.command(epilog=_example("worksheet regatta -o bench.pdf --cups 4 --start 2026-06-01"))
@_design
@_output(".pdf")
@_cups
@_shelf
@_room
@_start
@_due
@_paper
@_light
@_palette
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
            start=start or _tomorrow(),
            due=due,
            paper=paper,
            light=light,
            palette=palette,
            progress=progress,
        )
    click.echo(f"Wrote {output}")


@cli.command(epilog=_example("shelf -o shelf.toml"))
@_output(".toml")
def shelf(output: Path) -> None:
    """Write a typical shelf for you to change.

    It holds products, rates and times, every figure of them typical: your products' data sheets
    and your own books stand above it.
    """
    from mockup import pipeline

    pipeline.write_shelf(output)
    click.echo(f"Wrote {output}")


@cli.command(epilog=_example("pack regatta -o regatta.tumbler"))
@_design
@_output(".tumbler")
def pack(design: Path, output: Path) -> None:
    """Pack DESIGN into one file to send or to keep.

    The pack holds the palettes and artwork too. Its fingerprint is printed; wherever the pack is
    opened, it stays the same until somebody changes what can be seen or made.
    """
    from mockup.design.pack import write_pack
    from mockup.design.read import read_design

    whole = read_design(design)
    write_pack(whole, output)
    click.echo(f"Wrote {output}, fingerprint {whole.fingerprint}")


@cli.command(epilog=_example("palettes regatta --json"))
@_design
@_json
def palettes(design: Path, as_json: bool) -> None:
    """List the palettes at hand for DESIGN.

    A star marks the one in use; one that does not fit says why.
    """
    from mockup.design.read import read_design

    whole = read_design(design)
    misfits = {name: _misfit(whole, name) for name in sorted(whole.palettes)}
    if as_json:
        found = {
            name: whole.palettes[name].model_dump(mode="json") | {"misfit": misfit}
            for name, misfit in misfits.items()
        }
        in_use = whole.document.palette
        click.echo(json.dumps({"in_use": in_use, "palettes": found}, indent=2, ensure_ascii=False))
        return
    for name, misfit in misfits.items():
        mark = "*" if name == whole.document.palette else " "
        about = f"does not fit: {misfit}" if misfit else whole.palettes[name].note
        click.echo(f"{mark} {name}  {about}".rstrip())


def _misfit(design: "Design", palette: str) -> str | None:
    try:
        design.with_palette(palette)
    except DesignError as error:
        return error.problem
    return None


def main() -> None:
    """Run the program, and end it with 0 done, 1 a problem to mend, 2 wrong usage, 130 stopped."""
    cli(prog_name="tumbler-mockup")
