"""The command that opens the app."""

from pathlib import Path

import click

from mockup.faces.commands.words import example

__all__ = ["desk"]


@click.command(epilog=example("desk", "desk --port 8600 --no-browser"))
@click.option(
    "--port",
    metavar="N",
    type=click.IntRange(1024, 65535),
    default=8570,
    show_default=True,
    help="Where it listens, on this machine alone.",
)
@click.option("--no-browser", is_flag=True, help="Leave opening the page to you.")
@click.option(
    "--store",
    metavar="FILE",
    help="The order book to open: a file, or the address of a database. "
    "Without it the one that TUMBLER_MOCKUP_STORE names, or your own.",
)
def desk(port: int, no_browser: bool, store: str | None) -> None:
    """Open the desk, where cups are designed, in your browser.

    It holds the order book, the cup to design and turn, its proof and its making.

    The page is served on this machine to this machine; end it with Ctrl-C.
    """
    import os

    from mockup.faces.desk.serve import HOST, serve
    from mockup.store import open_store

    if store is not None:
        address = store if "://" in store else f"sqlite:///{Path(store).absolute()}"
        os.environ["TUMBLER_MOCKUP_STORE"] = address  # read by whichever thread opens it
    with open_store() as opened:  # a book that cannot be opened is told here, not in the page
        click.echo(f"Order book: {opened.where}")
    click.echo(f"The desk is at http://{HOST}:{port} (Ctrl-C ends it)")
    serve(port, open_browser=not no_browser)
