"""How the desk writes lengths, times and other people's words."""

import re
import unicodedata
from datetime import UTC, datetime
from typing import Literal

import streamlit as st

from mockup.units import inches_from_mm

__all__ = ["ago", "file_stem", "length", "nothing_open", "plain"]

_MARKS = frozenset("\\`*_{}[]()#+-.!<>|~$:&")


def plain(text: str) -> str:
    """Text whose Markdown marks are shown as they are."""
    return "".join(f"\\{c}" if c in _MARKS else c for c in " ".join(text.split()))


def length(mm: float, unit: Literal["mm", "in"], *, places: int = 1) -> str:
    """A length with its unit, inches with two places more."""
    if unit == "in":
        return f"{inches_from_mm(mm):.{places + 2}f} in"
    return f"{mm:.{places}f} mm"


def file_stem(title: str) -> str:
    """A title as the beginning of a file's name."""
    plain_ = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^0-9a-z]+", "-", plain_).strip("-")[:60] or "cup"


def ago(then: datetime) -> str:
    """How long since, in one word or two."""
    seconds = (datetime.now(UTC) - then).total_seconds()
    for size, one, many in (
        (86_400, "day", "days"),
        (3_600, "hour", "hours"),
        (60, "minute", "minutes"),
    ):
        if seconds >= size:
            count = int(seconds // size)
            return f"for {count} {one if count == 1 else many}"
    return "just now"


def nothing_open(what: str) -> None:
    """Say that an order has to be opened first."""
    st.html(
        f'<p class="empty">No order is on the table. Open one in the order book to see {what}.</p>'
    )
