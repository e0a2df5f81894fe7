"""The customer's receipt: short text for people, then JSON with a signature, for the store.

The proof page writes receipts by ``receipt.js``, the twin of this module, letter for letter. The
signature is HMAC-SHA-256 (RFC 2104) under the proof's own random key over the canonical JSON (RFC
8785) of all the other fields. It tells that a receipt came from that page and was not changed on
its way; it does not prove who pressed the button.

On its way a receipt is quoted, wrapped and put among other words. So its JSON is spelled in
letters that no mail program touches: every blank, bracket or letter beyond plain ASCII within it
is written as \\uXXXX, so blanks and quote marks that are found in it were put in on the way.
"""  # noqa: D301  the escape is meant for the reader

import hashlib
import hmac
import json
import re
from dataclasses import asdict, dataclass, fields
from datetime import UTC, datetime
from typing import Literal, get_args

import rfc8785

__all__ = ["Answer", "Receipt", "Signed", "find_receipts", "signature_of", "write_receipt"]

Answer = Literal["approved", "change asked"]

MOST_LETTERS = 2_000_000  # of a text that receipts are looked for in
MOST_REVISIONS = 1_000_000
LINE = 72  # letters of JSON on a line
_PLAIN = re.compile(r"[0-9A-Za-z._:+-]")
_ON_THE_WAY = re.compile(r"[\s>|=\u00ad\u200b-\u200f\u2028-\u202f\u2060\ufeff]+")
_CURLED = str.maketrans(dict.fromkeys("“”„‟«»", '"'))
_OBJECT = re.compile(r"\{[^{}]*\}")
_HEADS = {"approved": "APPROVED", "change asked": "CHANGE ASKED"}
_LEAVE = "For the maker's program. Please leave the lines below as they are:"


@dataclass(frozen=True, slots=True)
class Receipt:
    """What the customer answered to one option of one proof.

    `moment` is by the customer's clock, as ISO 8601 with its offset; `order` is the order's title.
    """

    proof: str
    order: str
    revision: int
    palette: str
    fingerprint: str
    answer: Answer
    comment: str
    customer: str
    moment: str


@dataclass(frozen=True, slots=True)
class Signed:
    """A receipt as it was found, with its signature, hexadecimal."""

    receipt: Receipt
    signature: str

    def holds(self, key: bytes) -> bool:
        """Whether it was signed with `key` and is unchanged since."""
        return hmac.compare_digest(self.signature, signature_of(self.receipt, key))


def signature_of(receipt: Receipt, key: bytes) -> str:
    """HMAC-SHA-256, hexadecimal, over the receipt's canonical JSON."""
    return hmac.new(key, rfc8785.dumps(_whole(receipt)), hashlib.sha256).hexdigest()


def write_receipt(receipt: Receipt, key: bytes) -> str:
    """The text that the customer sends back. Halves of letters become U+FFFD."""
    whole = _whole(receipt)
    words = [
        f"{_HEADS[receipt.answer]}: {whole['order']}, revision {receipt.revision}, "
        f"{whole['palette']}",
        f"Name: {whole['customer']}",
        f"When: {receipt.moment}",
        *([f"Comment: {whole['comment']}"] if receipt.comment else []),
        "",
        _LEAVE,
    ]
    spelled = _spelled({**whole, "signature": signature_of(receipt, key)})
    lines = [spelled[i : i + LINE] for i in range(0, len(spelled), LINE)]
    return "\n".join([*words, *lines, ""])


def find_receipts(text: str) -> tuple[Signed | None, ...]:
    """Every receipt in `text`, such as a whole mail with what it quotes; each once, as it stands.

    None stands for one that is damaged. Whether a signature holds is for the caller to ask.
    """
    packed = _ON_THE_WAY.sub("", text[:MOST_LETTERS]).translate(_CURLED)
    found = [_read(piece) for piece in _OBJECT.findall(packed) if '"signature"' in piece]
    return tuple(dict.fromkeys(found))


def _whole(receipt: Receipt) -> dict[str, str | int]:
    plain = {
        name: _well_formed(value) if isinstance(value, str) else value
        for name, value in asdict(receipt).items()
    }
    return {"format": 1, **plain}


def _well_formed(text: str) -> str:
    return text.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace")


def _spelled(whole: dict[str, str | int]) -> str:
    pairs = (
        f'"{name}":{value}' if isinstance(value, int) else f'"{name}":"{_escaped(value)}"'
        for name, value in sorted(whole.items())
    )
    return f"{{{','.join(pairs)}}}"


def _escaped(text: str) -> str:
    return "".join(c if _PLAIN.match(c) else _code_units(c) for c in text)


def _code_units(letter: str) -> str:
    units = letter.encode("utf-16-be")
    return "".join(f"\\u{units[i : i + 2].hex()}" for i in range(0, len(units), 2))


def _read(piece: str) -> Signed | None:
    try:
        raw = json.loads(piece)
    except (ValueError, RecursionError):
        return None
    if set(raw) != {*_NAMES, "format", "signature"} or raw["format"] != 1:
        return None
    texts = [raw[name] for name in (*_NAMES, "signature") if name != "revision"]
    if not all(type(text) is str for text in texts) or type(raw["revision"]) is not int:
        return None
    if raw["answer"] not in get_args(Answer) or not 1 <= raw["revision"] <= MOST_REVISIONS:
        return None
    if not _is_moment(raw["moment"]) or not raw["signature"].isascii():
        return None
    plain = {name: raw[name] for name in _NAMES if name != "revision"}
    plain = {name: _well_formed(text) for name, text in plain.items()}
    return Signed(Receipt(**plain, revision=raw["revision"]), raw["signature"])


_NAMES = tuple(field.name for field in fields(Receipt))


def _is_moment(text: str) -> bool:
    try:
        moment = datetime.fromisoformat(text)
        return moment.tzinfo is not None and moment.astimezone(UTC).year > 1
    except (ValueError, OverflowError):
        return False
