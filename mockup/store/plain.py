"""Text that people typed, made fit for every database."""

import re

from mockup.errors import StoreError

__all__ = ["plain_text", "storable"]

MOST = 20_000
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
    if len(plain) > MOST:
        raise StoreError(
            f"{what} has {len(plain)} letters", where=what, remedy=f"Keep it within {MOST}"
        )
    return plain
