"""How the desk writes lengths, times and other people's words."""

import re
import unicodedata
from datetime import UTC, datetime
from typing import Literal

import streamlit as st

from mockup.errors import MockupError
from mockup.units import inches_from_mm

__all__ = ["ago", "file_stem", "length", "nothing_open", "plain", "spoken"]

_MARKS = frozenset("\\`*_{}[]()#+-.!<>|~$:&")


def plain(text: str) -> str:
    """Text whose Markdown marks are shown as they are."""
    return "".join(f"\\{c}" if c in _MARKS else c for c in " ".join(text.split()))


_KEYS = {  # how a design file calls a thing, and how the page does
    "place.height_mm": "its height",
    "letter_height_mm": "the letter height",
    "to_mm": "the upper height",
    "from_mm": "the lower height",
    "outset_mm": "how much wider it is",
    "width_mm": "its width",
    "height_mm": "its height",
    "cut_mm": "the cut in mm",
    "cut_in": "the cut in inches",
    "foot_diameter_mm": "the foot's diameter",
    "foot_circumference_mm": "the foot's circumference",
    "rim_diameter_mm": "the rim's diameter",
    "rim_circumference_mm": "the rim's circumference",
    "wall_height_mm": "the wall's height",
    "slant_height_mm": "the height along the wall",
    "foot_gap_mm": "what is bare at the foot",
    "points_mm": "the measures",
    "with --card": "under “Measured by”",
    "give its four corners": "say that it is “marked by me”",
    "Give the four corners of the one that is the card": "Mark the one that is the card",
    "2packs": "2 packs",
    "3sheets": "3 sheets",
}
_KEY = re.compile(r"(?<![\w.])(" + "|".join(map(re.escape, _KEYS)) + r")(?!\w)")


def spoken(error: MockupError) -> str:
    """A fault as the page tells it: what is wrong and what to do, without the file's own keys."""
    words = f"{error.problem[:1].upper()}{error.problem[1:]}. {error.remedy}."
    return _KEY.sub(lambda found: _KEYS[found[1]], words)


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
