"""Commands for the order book itself."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from mockup.faces.commands.words import (
    Output,
    design_argument,
    example,
    json_option,
    moment,
    order_argument,
    output_option,
    print_json,
)
from mockup.faces.progress import shown_progress

if TYPE_CHECKING:
    from mockup.store.records import OrderLine

__all__ = ["backup", "changes", "close", "enter", "orders", "restore"]


@click.command(epilog=example("orders --json"))
@click.option("--closed", is_flag=True, help="List what was handed over or called off too.")
@json_option
def orders(closed: bool, as_json: bool) -> None:
    """List the order book, the earliest due first.

    It tells where each order stands, whom it waits for and since when.
    """
    from mockup.pipeline.orders import line_as_json
    from mockup.store import open_store

    with open_store() as store:
        lines = store.book.lines(closed=closed)
    if as_json:
        print_json([line_as_json(line) for line in lines])
        return
    for line in lines:
        click.echo(_line_in_words(line))
    if not lines:
        click.echo("No orders. Enter one with tumbler-mockup enter.")


@click.command(epilog=example('enter regatta --customer "Wen Harbour" --cups 8 --due 2026-06-12'))
@design_argument
@click.option("--order", metavar="N", type=click.IntRange(min=1), help="As this order's design.")
@click.option("--title", metavar="TEXT", default="", help="Of the order, else the design's.")
@click.option("--customer", metavar="NAME", default="", help="Who it is for.")
@click.option("--mail", metavar="ADDRESS", default="", help="The customer's address.")
@click.option(
    "--cups",
    metavar="N",
    type=click.IntRange(1, 100_000),
    default=1,
    show_default=True,
    help="How many are ordered.",
)
@click.option("--due", metavar="DATE", callback=moment, help="When they are wanted.")
@click.option("--note", metavar="TEXT", default="", help="What else to remember.")
@json_option
def enter(design: Path, due: datetime | None, as_json: bool, **told: Any) -> None:
    """Enter DESIGN into the order book.

    It becomes a new order; with --order the design of one that is there, whose earlier designs
    are kept.
    """
    from mockup.pipeline.orders import enter as enter_design
    from mockup.pipeline.orders import line_as_json
    from mockup.store import open_store

    with open_store() as store:
        line = enter_design(store, design, due=due.date() if due else None, **told)
    if as_json:
        print_json(line_as_json(line))
        return
    click.echo(_line_in_words(line))


@click.command(epilog=example("changes 3 -o changes.png"))
@order_argument
@click.option("--revision", metavar="N", type=click.IntRange(min=1), help="Compare with this one.")
@click.option(
    "-o", "--output", metavar="FILE.png", type=Output(".png"), help="Also draw both side by side."
)
@json_option
def changes(order: int, revision: int | None, output: Path | None, as_json: bool) -> None:
    """Tell what changed in ORDER since its approval."""
    from mockup.pipeline.orders import changes_of, picture_changes
    from mockup.store import open_store

    with open_store() as store:
        found = changes_of(store, order, revision=revision)
    if output is not None:
        with shown_progress() as progress:
            picture_changes(found, output, progress=progress)
    if as_json:
        print_json({"since": found.since, "changes": found.words})
        return
    click.echo(f"Since {found.since}:")
    for phrase in found.words or ("nothing changed",):
        click.echo(f"  {phrase}")
    if output is not None:
        click.echo(f"Wrote {output}")


@click.command(epilog=example("close 3 --as handed-over"))
@order_argument
@click.option(
    "--as",
    "how",
    type=click.Choice(["handed-over", "called-off", "open"]),
    default="handed-over",
    show_default=True,
    help="How it ended; open takes that back.",
)
def close(order: int, how: str) -> None:
    """Close ORDER, handed over or called off.

    It leaves the list; everything about it is kept.
    """
    from mockup.store import open_store

    ends: dict[str, Literal["handed over", "called off"] | None] = {
        "handed-over": "handed over",
        "called-off": "called off",
        "open": None,
    }
    with open_store() as store:
        store.book.close_order(store.book.order(order), ends[how])
        click.echo(_line_in_words(store.book.line(order)))


@click.command(epilog=example("backup -o orders-2026-06-01.sqlite"))
@output_option(".sqlite")
def backup(output: Path) -> None:
    """Write the whole order book to one file.

    Every design, proof, receipt and approval is in it.
    """
    from mockup.store import open_store
    from mockup.store.backup import write_backup

    with open_store() as store:
        count = write_backup(store, output)
    click.echo(f"Wrote {output}, {count} {'order' if count == 1 else 'orders'}")


@click.command(epilog=example("restore orders-2026-06-01.sqlite"))
@click.argument("file", type=click.Path(path_type=Path))
def restore(file: Path) -> None:
    """Put a backup in place of your order book.

    FILE is what backup wrote. Your book as it is now is kept beside it; a PostgreSQL database must
    be empty.
    """
    from mockup.store import open_store
    from mockup.store.backup import restore_store

    with open_store() as store:
        restored = restore_store(store, file)
    click.echo(f"Restored {restored.orders} {'order' if restored.orders == 1 else 'orders'}")
    if restored.copy is not None:
        click.echo(f"What was there is kept in {restored.copy}")


def _line_in_words(line: "OrderLine") -> str:
    order, standing = line.order, line.standing
    who = f", {order.customer.name}" if order.customer else ""
    due = f", due {order.due}" if order.due else ""
    waits = "" if standing.waits_for == "nobody" else f", waits for the {standing.waits_for}"
    since = f"{standing.since.astimezone():%Y-%m-%d}"
    return (
        f"{order.id:>4}  {order.title}{who}: {order.cups} {'cup' if order.cups == 1 else 'cups'}"
        f"{due}\n      {standing.state}{waits} since {since}"
    )
