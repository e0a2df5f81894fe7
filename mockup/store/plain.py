"""Text that people typed, made fit for every database."""

import json
import re
from collections.abc import Mapping
from typing import Any

from mockup.errors import StoreError

__all__ = ["plain_json", "plain_text", "storable"]

MOST, MOST_ON_A_LINE = 20_000, 400  # letters
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")


def storable(text: str) -> str:
    """`text` without what a database cannot hold: null characters and halves of letters."""
    return text.replace("\x00", "�").encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def plain_text(text: str, what: str, *, needed: bool = False, lines: bool = False) -> str:
    """`text` without blanks around it; on one line unless `lines`.

    Raises
    ------
    StoreError
        It is empty though `needed`, or very long.
    """
    plain = storable(text).strip()
    if not lines:
        plain = _CONTROL.sub(" ", plain)
    if needed and not plain:
        raise StoreError(f"{what} is empty", where=what, remedy="Write something there")
    most = MOST if lines else MOST_ON_A_LINE
    if len(plain) > most:
        raise StoreError(
            f"{what} has {len(plain)} letters", where=what, remedy=f"Keep it within {most}"
        )
    return plain


def plain_json(facts: Mapping[str, Any], what: str) -> dict[str, Any]:
    """Plain values as every database keeps them: text, finite numbers, lists and tables.

    Raises
    ------
    StoreError
        A value is none of these.
    """
    try:
        text = json.dumps(facts, allow_nan=False)
    except (TypeError, ValueError) as error:
        raise StoreError(
            f"{what} cannot be kept ({error})", where=what, remedy="Give plain, finite values"
        ) from None
    kept: dict[str, Any] = json.loads(storable(text.replace("\\u0000", "\\ufffd")))
    return kept
