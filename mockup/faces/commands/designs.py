"""Commands about the design itself: begin one, pack it."""

from pathlib import Path

import click

from mockup.faces.commands.words import design_argument, example, output_option

__all__ = ["demo", "pack"]


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
