"""The letter that goes with a proof: as a draft for any mail program, or sent."""

from collections.abc import Sequence
from pathlib import Path

from mockup.errors import DesignError, OutputError
from mockup.files import write_whole
from mockup.outputs.mail import Attachment, Letter, compose, eml_of
from mockup.outputs.mail_server import read_mail_server, send
from mockup.outputs.mail_words import proof_subject, proof_words
from mockup.pipeline.orders import note_sent, proof_for
from mockup.store import Store
from mockup.store.records import Proof

__all__ = ["letter_for", "send_letter", "write_letter"]


def letter_for(
    store: Store,
    order: int,
    files: Sequence[Path],
    *,
    to: str = "",
    subject: str = "",
    text: str | None = None,
) -> Letter:
    """The letter that takes an order's proof to its customer; the sender is yet to be put in.

    Parameters
    ----------
    files
        What goes along.
    to
        Else the customer's address.
    subject, text
        Else ours.

    Raises
    ------
    StoreError, OutputError
        There is no such order or design; a file cannot be read.
    """
    told = store.book.order(order)
    proof = proof_for(store, order)
    attached = tuple(_attachment(path) for path in files)
    customer = told.customer
    words = text or proof_words(
        told.title,
        customer=customer.name if customer else "",
        revision=proof.revision,
        files=[path.name for path in files],
    )
    address = to or (customer.mail if customer else "")
    return Letter("", address, subject or proof_subject(told.title), words, attached)


def write_letter(letter: Letter, output: Path) -> None:
    """Write the letter as a draft, from the maker if it is known who that is.

    Raises
    ------
    OutputError
        The address is none, the attachments are too large, or the file cannot be written.
    """
    write_whole(output, eml_of(_from_the_maker(letter, needed=False)))


def send_letter(store: Store, order: int, letter: Letter) -> Proof:
    """Send the letter through the maker's mail server, and note that the proof went out.

    Raises
    ------
    OutputError
        As `send` does; then nothing is noted.
    """
    server = read_mail_server()
    send(compose(_from_the_maker(letter, needed=True)), server)
    return note_sent(store, order, how="mail", sent_to=letter.to)


def _from_the_maker(letter: Letter, *, needed: bool) -> Letter:
    try:
        sender = read_mail_server().sender
    except (OutputError, DesignError):
        if needed:
            raise
        sender = ""
    return Letter(sender, letter.to, letter.subject, letter.text, letter.attachments)


def _attachment(path: Path) -> Attachment:
    try:
        return Attachment(path.name, path.read_bytes())
    except OSError as error:
        raise OutputError(
            f"the file cannot be read ({error.strerror})",
            where=str(path),
            remedy="Name a file that is there, such as the proof",
        ) from error
