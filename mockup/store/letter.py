"""The words of a mail, a saved receipt or pasted text, from the bytes of a file."""

import re
from email import message_from_bytes, policy
from email.message import EmailMessage
from html import unescape
from pathlib import Path

from mockup.errors import StoreError
from mockup.receipt import find_receipts

__all__ = ["read_letter", "text_of_letter"]

MOST_BYTES = 25_000_000  # more than mail servers take
_HEADER = re.compile(rb"\A(From [^\n]*\n)?([!-9;-~]+:[^\n]*\n([ \t][^\n]*\n)*)+\r?\n")
_TAG = re.compile(r"<[^>]*>")


def read_letter(path: Path) -> bytes:
    """The bytes of the file at `path`, as many as a letter can have and one more.

    Raises
    ------
    StoreError
        It cannot be read.
    """
    try:
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except OSError as error:
        raise StoreError(
            f"the file cannot be read ({error.strerror})",
            where=str(path),
            remedy="Name the mail or the receipt that the customer sent",
        ) from error


def text_of_letter(data: bytes, *, where: str) -> str:
    """All text of a mail with its attachments, or of a plain text.

    Parameters
    ----------
    where
        What messages call the file.

    Raises
    ------
    StoreError
        It is larger than a mail can be.
    """
    if len(data) > MOST_BYTES:
        raise StoreError(
            f"the file is larger than {MOST_BYTES / 1e6:g} MB",
            where=where,
            remedy="Name the mail or the receipt that the customer sent",
        )
    if not _HEADER.match(data.lstrip()):
        return _decoded(data)
    mail = message_from_bytes(data.lstrip(), policy=policy.default)
    texts = [_text(part) for part in mail.walk() if isinstance(part, EmailMessage)]
    text = "\n".join(text for text in texts if text)
    return text if find_receipts(text) else _decoded(data)  # words may look like a mail's head


def _text(part: EmailMessage) -> str:
    kind = part.get_content_type()
    if part.is_multipart() or not (kind.startswith("text/") or kind == "application/json"):
        return ""
    text = _decoded(part.get_payload(decode=True) or b"", part.get_content_charset("utf-8"))  # type: ignore[arg-type]
    return unescape(_TAG.sub(" ", text)) if kind == "text/html" else text


def _decoded(data: bytes, charset: str = "utf-8") -> str:
    try:
        if data.startswith((b"\xff\xfe", b"\xfe\xff")):
            return data.decode("utf-16", "replace")
        return data.decode(charset, "replace")
    except LookupError:
        return data.decode("utf-8", "replace")
