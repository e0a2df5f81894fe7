"""A letter with attachments, as any mail program opens it (RFC 5322, MIME)."""

import mimetypes
import re
from collections.abc import Sequence
from dataclasses import dataclass
from email.errors import MessageError
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import formatdate, getaddresses, make_msgid

from mockup.errors import OutputError

__all__ = ["Attachment", "Letter", "address_of", "compose", "eml_of"]

MOST_BYTES = 18_000_000  # mail servers take about 25 MB, and MIME adds a third
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
_NOT_IN_A_NAME = re.compile(r'[\x00-\x1f\x7f-\x9f\u2028\u2029/\\:*?"<>|]+')


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file that goes along, byte for byte."""

    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Letter:
    """What is written, and to whom. `sender` may be empty in a draft."""

    sender: str
    to: str
    subject: str
    text: str
    attachments: tuple[Attachment, ...] = ()


def compose(letter: Letter) -> EmailMessage:
    """The letter as a message to be sent, with its date and a number of its own.

    Raises
    ------
    OutputError
        An address is none, or the attachments are more than mail servers take.
    """
    message = _message(letter)
    sender = address_of(letter.sender, "the sender")
    message["From"] = sender
    message["Date"] = formatdate(localtime=True)
    message["Message-ID"] = make_msgid(domain=sender.domain)
    return message


def eml_of(letter: Letter) -> bytes:
    """The letter as a draft in a file, .eml, that mail programs open to be sent.

    ``X-Unsent: 1`` is a convention that asks for the letter to be opened as one that is being
    written; programs that do not know it show it as they show any.

    Raises
    ------
    OutputError
        An address is none, or the attachments are more than mail servers take.
    """
    message = _message(letter)
    if letter.sender:
        message["From"] = address_of(letter.sender, "the sender")
    message["X-Unsent"] = "1"
    return message.as_bytes()


def address_of(text: str, whose: str) -> Address:
    """An address such as ``wen@example.org`` or ``Wen Harbour <wen@example.org>``.

    Raises
    ------
    OutputError
        It is none.
    """
    found = getaddresses([_one_line(text)])
    name, spec = found[0] if len(found) == 1 else ("", "")
    if not spec.rpartition("@")[0].isascii():
        raise OutputError(
            f"{text!r} has letters before its @ that few mail servers take",
            where=whose,
            remedy="Give another address",
        )
    try:
        address = Address(name, addr_spec=spec)
    except (MessageError, ValueError, IndexError):
        address = Address()
    if not (address.username and address.domain):
        raise OutputError(
            f"{text!r} is no mail address" if text else "there is no mail address",
            where=whose,
            remedy="Write it such as wen@example.org",
        )
    return Address(name, address.username, _ascii_domain(address.domain))


def _message(letter: Letter) -> EmailMessage:
    _check_size(letter.attachments)
    message = EmailMessage(policy=SMTP)
    message["To"] = address_of(letter.to, "the recipient")
    message["Subject"] = _one_line(letter.subject)
    message.set_content(_well_formed(letter.text), charset="utf-8")
    for attachment in letter.attachments:
        kind = mimetypes.guess_type(attachment.name)[0] or "application/octet-stream"
        main, sub = kind.split("/")
        name = _NOT_IN_A_NAME.sub("-", _well_formed(attachment.name)).strip(" .") or "file"
        message.add_attachment(attachment.data, maintype=main, subtype=sub, filename=name)
    return message


def _check_size(attachments: Sequence[Attachment]) -> None:
    total = sum(len(attachment.data) for attachment in attachments)
    if total > MOST_BYTES:
        raise OutputError(
            f"the attachments have {total / 1e6:.0f} MB, more than mail servers take",
            where="the letter",
            remedy=f"Keep them within {MOST_BYTES / 1e6:.0f} MB, such as by the page alone",
        )


def _ascii_domain(domain: str) -> str:
    try:
        return domain.encode("idna").decode() if not domain.isascii() else domain
    except UnicodeError:
        return domain


def _one_line(text: str) -> str:
    return _CONTROL.sub(" ", _well_formed(text)).strip()


def _well_formed(text: str) -> str:
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
