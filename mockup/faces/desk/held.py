"""Controls that show what the design holds, and tell a maker's change from an echo.

With every event the browser sends what all its controls hold. What it sends just before it has
heard of an undo, of another palette or of a control that is gone would pass for a change by the
maker and be written into the design. So a control is replaced when anything but itself has changed
what it shows, and only the newest one is listened to.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import streamlit as st

__all__ = ["showing", "unless_echo"]


@dataclass(slots=True)
class _Shown:
    """Which control it is, what it shows, and what the maker set it to last.

    A maker may change their mind before the page is drawn anew: what was set counts, not only
    what was shown.
    """

    turn: int
    value: Any
    last: Any


def showing(name: str, value: Any) -> str:
    """Key of the control called `name`, which shows `value`."""
    shown = _all().get(name)
    if shown is None:
        shown = _all()[name] = _Shown(0, value, value)
    key = _key(name, shown)
    if shown.value != value:
        shown.value = value
        if st.session_state.get(key) != value:  # it was not this control that changed it
            shown.turn += 1
            key = _key(name, shown)
    if key not in st.session_state or st.session_state[key] != value:
        st.session_state[key] = value
    shown.last = value
    return key


def unless_echo(name: str, take: Callable[[Any], None]) -> Callable[[], None]:
    """A callback for the control called `name` that passes on what the maker sets."""
    key = _key(name, _all()[name])

    def call() -> None:
        shown, value = _all()[name], st.session_state[key]
        if key == _key(name, shown) and value != shown.last:
            shown.last = value
            take(value)

    return call


def _key(name: str, shown: _Shown) -> str:
    return f"{name}#{shown.turn}"


def _all() -> dict[str, _Shown]:
    found: dict[str, _Shown] = st.session_state.setdefault("shown", {})
    return found
