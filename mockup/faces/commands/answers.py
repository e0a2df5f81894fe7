"""Commands for what goes to the customer and what comes back."""

import sys
from pathlib import Path
from typing import Any

import click

from mockup.faces.commands.words import Output, example, json_option, order_argument, print_json

__all__ = ["mail", "receipt", "sent", "signed"]


@click.command(epilog=example("mail 3 --attach proof.pdf -o proof.eml"))
@order_argument
@click.option(
    "--attach",
    "files",
    metavar="FILE",
    multiple=True,
    type=click.Path(path_type=Path),
    help="What goes along, such as the proof; may be given more than once.",
)
@click.option("-o", "--output", metavar="FILE.eml", type=Output(".eml"), help="The draft to write.")
@click.option("--send", is_flag=True, help="Send it through your mail server, and note it as sent.")
@click.option("--to", metavar="ADDRESS", default="", help="Else the customer's address.")
@click.option("--subject", metavar="TEXT", default="", help="What it is about, else ours.")
@click.option("--text", metavar="TEXT", help="What it says, else ours.")
def mail(order: int, files: tuple[Path, ...], output: Path | None, send: bool, **told: Any) -> None:
    """Write the letter that goes with a proof of ORDER.

    As a draft that any mail program opens, or sent at once.
    """
    from mockup.pipeline.sending import letter_for, send_letter, write_letter
    from mockup.store import open_store

    if output is None and not send:
        raise click.UsageError("Give -o FILE.eml for a draft, or --send.")
    with open_store() as store:
        letter = letter_for(store, order, files, **told)
        if output is not None:
            write_letter(letter, output)
            click.echo(f"Wrote {output}")
        if send:
            proof = send_letter(store, order, letter)
            click.echo(f"Sent proof {proof.id}, revision {proof.revision}, to {letter.to}")


@click.command(epilog=example("sent 3 --how mail --palette deep-water --palette storm-silver"))
@order_argument
@click.option("--how", metavar="TEXT", required=True, help="By mail, by hand, by post, …")
@click.option("--to", "sent_to", metavar="ADDRESS", default="", help="Else the customer's.")
@click.option(
    "--palette",
    "palettes",
    metavar="NAME",
    multiple=True,
    help="An option that was shown; may be given more than once.",
)
@click.option("--light", metavar="NAME", default="", help="What it was shown in.")
@json_option
def sent(order: int, as_json: bool, **told: Any) -> None:
    """Note that a proof of ORDER went out.

    The design becomes a revision that never changes again.
    """
    from mockup.pipeline.orders import note_sent
    from mockup.store import open_store

    with open_store() as store:
        proof = note_sent(store, order, **told)
    if as_json:
        options = {option.palette: option.fingerprint for option in proof.options}
        print_json({"proof": proof.id, "revision": proof.revision, "options": options})
        return
    click.echo(f"Proof {proof.id} of order {order}, revision {proof.revision}, is out")


@click.command(epilog=example("receipt answer.eml"))
@click.argument("file", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--order", metavar="N", type=click.IntRange(min=1), help="Take those of this order.")
@json_option
@click.pass_context
def receipt(ctx: click.Context, file: Path, order: int | None, as_json: bool) -> None:
    """Read the receipt that a customer sent back.

    FILE is their mail, or the text alone; - takes what you paste. A receipt is taken once, or
    refused with its reason.
    """
    from mockup.pipeline.orders import read_receipts, reading_as_json
    from mockup.store import open_store
    from mockup.store.letter import read_letter

    pasted = str(file) == "-"
    data = sys.stdin.buffer.read() if pasted else read_letter(file)
    with open_store() as store:
        readings = read_receipts(store, data, order=order, where=str(file))
    if as_json:
        print_json([reading_as_json(reading) for reading in readings])
    else:
        for reading in readings:
            click.echo(reading.words, err=not reading.taken)
            if reading.taken and reading.receipt and reading.receipt.comment:
                click.echo(f"{reading.receipt.customer} writes: {reading.receipt.comment}")
    if not any(reading.taken for reading in readings):
        ctx.exit(1)


@click.command(epilog=example('signed 3 --customer "Wen Harbour" --how "signed sheet"'))
@order_argument
@click.option("--customer", metavar="NAME", required=True, help="Who approved it.")
@click.option(
    "--how", metavar="TEXT", default="signed sheet", show_default=True, help="In what way."
)
@click.option("--revision", metavar="N", type=click.IntRange(min=1), help="Else the newest.")
@click.option("--palette", metavar="NAME", default="", help="Which option, else the design's.")
@click.option("--comment", metavar="TEXT", default="", help="What they said.")
def signed(order: int, revision: int | None, **told: Any) -> None:
    """Note that the customer of ORDER approved it on paper.

    Or in any other way that left no receipt.
    """
    from mockup.store import approval_words, open_store

    with open_store() as store:
        approval = store.approvals.note(store.revisions.find(order, revision), **told)
    click.echo(f"Order {order}: {approval_words(approval)}")
