"""What the commands share: how sizes, dates, angles and files are given, and their options."""

import json
import math
import re
from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from mockup.errors import GeometryError, OutputError

if TYPE_CHECKING:
    from mockup.outputs.cut.nest import SheetSize

__all__ = [
    "Degrees",
    "Finite",
    "Output",
    "cups_option",
    "days",
    "design_argument",
    "due_option",
    "elevation_option",
    "example",
    "for_each",
    "json_option",
    "light_option",
    "moment",
    "order_argument",
    "output_option",
    "palette_option",
    "paper_option",
    "print_json",
    "room_option",
    "samples_option",
    "sheet_of",
    "shelf_option",
    "size_of",
    "size_option",
    "start_option",
    "stock_option",
    "tomorrow",
]

F = TypeVar("F", bound=Callable[..., Any])
V = TypeVar("V")


class Finite(click.FloatRange):
    """A number; `nan` lies in no range, though it compares as if it did."""

    what = "a number"

    def convert(self, value: Any, param: Any, ctx: Any) -> float:
        """Refuse what is no finite number."""
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value!r} is not {self.what}.", param, ctx)
        return number


class Degrees(Finite):
    """An angle in degrees."""

    what = "an angle in degrees"


class Output(click.Path):
    """A file to write, whose ending says what is in it.

    A folder that is not there is told at once, not after the work. The ending "" is a folder's.
    """

    def __init__(self, *suffixes: str) -> None:
        super().__init__(dir_okay="" in suffixes, path_type=Path)
        self.suffixes = suffixes

    def convert(self, value: Any, param: Any, ctx: Any) -> Path:
        """Refuse another ending, or a folder that is not there."""
        path = Path(str(super().convert(value, param, ctx)))
        if path.suffix.lower() not in self.suffixes:
            endings = " or ".join(suffix or "nothing, for a folder" for suffix in self.suffixes)
            self.fail(f"{str(path)!r} does not end in {endings}.", param, ctx)
        if not path.parent.is_dir():
            raise OutputError(
                "its folder is not there",
                where=str(path),
                remedy="Make the folder first, or name another",
            )
        return path


def size_of(ctx: click.Context, param: click.Parameter, value: str) -> tuple[int, int]:
    """Width and height in pixels."""
    found = re.fullmatch(r"([0-9]{1,5})[x×]([0-9]{1,5})", value)
    size_px = (int(found[1]), int(found[2])) if found else (0, 0)
    if not all(16 <= side_px <= 8192 for side_px in size_px):
        raise click.BadParameter(f"{value!r} is not a size from 16x16 to 8192x8192.")
    return size_px


def moment(ctx: click.Context, param: click.Parameter, value: str | None) -> datetime | None:
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


def days(ctx: click.Context, param: click.Parameter, value: tuple[str, ...]) -> tuple[date, ...]:
    """Days, one for each time that the option is given."""
    moments = (moment(ctx, param, one) for one in value)
    return tuple(one.date() for one in moments if one is not None)


def for_each(designs: Sequence[Path], values: Sequence[V], option: str) -> list[V]:
    """One value for each design: the only one that was given, or each in its turn."""
    if len(values) == 1:
        return [*values] * len(designs)
    if len(values) != len(designs):
        raise click.UsageError(
            f"{option} is given {len(values)} times for {len(designs)} designs; give it once for "
            "all, or once for each."
        )
    return [*values]


def tomorrow() -> datetime:
    """Local time at which tomorrow begins."""
    return datetime.combine(datetime.now().date() + timedelta(days=1), time())


def sheet_of(ctx: click.Context, param: click.Parameter, value: str | None) -> "SheetSize | None":
    """The size of a sheet or the width of a roll."""
    if value is None:
        return None
    from mockup.outputs.cut.nest import SheetSize

    try:
        return SheetSize.read(value)
    except GeometryError as error:
        raise click.BadParameter(f"{error.problem}. {error.remedy}.") from error


def example(*lines: str) -> str:
    """An epilog that click leaves as it is."""
    return "\b\nExample:\n" + "\n".join(f"  tumbler-mockup {line}" for line in lines)


def output_option(*suffixes: str, help: str = "The file to write.") -> Callable[[F], F]:  # noqa: A002
    """The option `-o` for a file with one of these endings."""
    return click.option(
        "-o",
        "--output",
        metavar="|".join(f"FILE{suffix}" if suffix else "DIR" for suffix in suffixes),
        type=Output(*suffixes),
        required=True,
        help=help,
    )


def size_option(default: str) -> Callable[[F], F]:
    """The option `--size` of a picture."""
    return click.option(
        "--size",
        metavar="WxH",
        callback=size_of,
        default=default,
        show_default=True,
        help="In pixels.",
    )


elevation_option = click.option(
    "--elevation", metavar="DEG", type=Degrees(-60, 85), default=10.0, show_default=True,
    help="How far the eye looks down on the cup.",
)  # fmt: skip
samples_option = click.option(
    "--samples",
    metavar="N",
    type=click.IntRange(1, 64),
    help="Per pixel; without it fewer for a large picture and more for a small one.",
)
design_argument = click.argument("design", type=click.Path(path_type=Path))
palette_option = click.option("--palette", metavar="NAME", help="Render this option of the design.")
light_option = click.option(
    "--light",
    metavar="NAME|FILE",
    help="Light it by this surrounding, or by a panorama of your own (.hdr, .exr).",
)
paper_option = click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Its size.",
)
cups_option = click.option(
    "--cups",
    metavar="N",
    type=click.IntRange(1, 1000),
    default=1,
    show_default=True,
    help="How many are made.",
)
shelf_option = click.option(
    "--shelf",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Products, rates and times of this file alone; else your own shelf.toml or the typical "
    "one, with your materials on it.",
)
stock_option = click.option(
    "--stock",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="What is on hand, else what is free of your materials; tells what is missing.",
)
room_option = click.option(
    "--room", metavar="CELSIUS", type=Finite(5, 40), help="Room temperature, else the shelf's."
)
start_option = click.option(
    "--start", metavar="DATE", callback=moment, help="Day or minute to begin from, else tomorrow."
)
due_option = click.option(
    "--due", metavar="DATE", callback=moment, help="Tells the latest start for it."
)
order_argument = click.argument("order", type=click.IntRange(min=1))
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


def print_json(told: Any) -> None:
    """Print plain values as JSON; days and moments by ISO 8601."""
    click.echo(json.dumps(told, indent=2, ensure_ascii=False, default=_iso))


def _iso(value: date) -> str:
    return value.isoformat()
