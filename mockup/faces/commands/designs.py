"""Commands about the design itself: begin one, pack it, see its palettes."""

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mockup.errors import DesignError
from mockup.faces.commands.words import design_argument, example, json_option, output_option

if TYPE_CHECKING:
    from mockup.design.document import Design

__all__ = ["demo", "pack", "palettes"]


@click.command(epilog=example("demo regatta"))
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
def demo(folder: Path) -> None:
    """Write a design to start from into the folder DIR."""
    from mockup import pipeline

    click.echo(f"Wrote {pipeline.write_demo(folder)}")


@click.command(epilog=example("pack regatta -o regatta.tumbler"))
@design_argument
@output_option(".tumbler")
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


@click.command(epilog=example("palettes regatta --json"))
@design_argument
@json_option
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
