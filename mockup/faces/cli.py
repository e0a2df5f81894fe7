"""The command line: parses, calls the pipeline, prints; decides nothing.

Everything heavy is imported inside the command that needs it, so that help comes at once.
"""

from typing import Any

import click

from mockup import __version__
from mockup.errors import MockupError
from mockup.faces.commands import (
    answers,
    batch,
    checking,
    colours,
    designs,
    desk,
    finished,
    making,
    materials,
    measuring,
    options,
    orders,
    pictures,
    proofs,
    stores,
)
from mockup.faces.commands.words import example

__all__ = ["cli", "main"]


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


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
    epilog=example("demo regatta", "render regatta -o regatta.png"),
)
@click.version_option(__version__, message="%(prog)s %(version)s")
def cli() -> None:
    """See a decorated tumbler before the first coat.

    DESIGN is a design.toml, the folder that holds one, or a .tumbler pack.
    """


for _command in (
    designs.demo,
    pictures.render,
    pictures.turntable,
    proofs.proof,
    making.cut,
    making.plan,
    making.worksheet,
    making.shelf,
    batch.batch,
    stores.stock,
    stores.shopping,
    materials.materials,
    designs.pack,
    checking.check,
    options.options,
    colours.palettes,
    colours.colours,
    colours.companions,
    measuring.measure,
    finished.finished,
    orders.orders,
    orders.enter,
    answers.mail,
    answers.sent,
    answers.receipt,
    answers.signed,
    orders.changes,
    orders.close,
    orders.backup,
    orders.restore,
    desk.desk,
):
    cli.add_command(_command)


def main() -> None:
    """Run the program, and end it with 0 done, 1 a problem to mend, 2 wrong usage, 130 stopped."""
    cli(prog_name="tumbler-mockup")
