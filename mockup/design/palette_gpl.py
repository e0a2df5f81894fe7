r"""Palettes as GIMP palette text: a list of named colours that many programs read.

Each entry is named ``role: label``. What else a palette says stands in comments that this reader
knows again. Within a line a backslash stands before a colon of a role and before a backslash, and
``\n`` for a line break.

References
----------
GIMP developer wiki, The GIMP palette file format (.gpl): "GIMP Palette", "Name:", "Columns:",
comments from "#", then red, green and blue from 0 to 255 and a name on each line.
"""

import re
from collections.abc import Mapping
from typing import Any

from mockup.design.palette import Palette
from mockup.design.strict import validate
from mockup.errors import DesignError

__all__ = ["gpl_text", "read_gpl"]

_FIRST = "GIMP Palette"
_KNOWN = ("note", "source", "licence")
_ENTRY = re.compile(
    r"[ \t]*(\d{1,4})[ \t]+(\d{1,4})[ \t]+(\d{1,4})(?:(\t)|[ \t]+|$)(.*)", re.DOTALL
)
_SPLIT = re.compile(r"((?:[^\\:]|\\.|:(?! ))*): (.*)", re.DOTALL)
_ESCAPES = {"\\n": "\n", "\\r": "\r", "\\:": ":", "\\\\": "\\"}


def gpl_text(palette: Palette, shown: Mapping[str, str]) -> str:
    """The palette as text; `shown` gives each role's colour, ``#rrggbb``."""
    lines = [_FIRST, f"Name: {palette.name}", "Columns: 1"]
    lines += [
        f"# {key}: {_escaped(getattr(palette, key))}" for key in _KNOWN if getattr(palette, key)
    ]
    for role, swatch in palette.roles.items():
        red, green, blue = bytes.fromhex(shown[role][1:])
        name = _escaped(role).replace(":", "\\:") + (f": {swatch.label}" if swatch.label else "")
        lines.append(f"{red:3d} {green:3d} {blue:3d}\t{name}")
    return "\n".join(lines) + "\n"


def read_gpl(text: str, *, name: str, where: str) -> Palette:
    """The palette in a text: every entry a pigment.

    Parameters
    ----------
    name
        What to call it where the text does not say.
    where
        The file, for messages.

    Raises
    ------
    DesignError
        It is no such text, or a line of it is wrong.
    """
    first, *lines = [line.removesuffix("\r") for line in text.split("\n")]
    if first.strip() != _FIRST:
        raise DesignError(
            f"its first line is {first[:40]!r}, not {_FIRST!r}",
            where=where,
            remedy="Name a GIMP palette, or a palette as .csv, .json or .toml",
        )
    whole: dict[str, Any] = {"name": name, "roles": {}}
    for number, line in enumerate(lines, start=2):
        if line.startswith("Name:"):
            whole["name"] = line.removeprefix("Name:").removeprefix(" ") or name
        elif line.startswith("#"):
            key, _, value = line[1:].removeprefix(" ").partition(": ")
            if key in _KNOWN:
                whole[key] = _unescaped(value)
        elif line.strip() and not line.startswith("Columns:"):
            role, swatch = _entry(line, f"{where}: line {number}")
            whole["roles"][_free(role, whole["roles"])] = swatch
    if not whole["roles"]:
        raise DesignError("it holds no colour", where=where, remedy="Name one that does")
    return validate(Palette, whole, where=where)


def _entry(line: str, where: str) -> tuple[str, dict[str, str]]:
    found = _ENTRY.fullmatch(line)
    codes = [int(code) for code in found.group(1, 2, 3)] if found else [256]
    if found is None or max(codes) > 255:
        raise DesignError(
            f"{line.strip()[:40]!r} is no colour",
            where=where,
            remedy="Write red, green and blue from 0 to 255, then a name",
        )
    name = found[5] if found[4] else found[5].rstrip()
    split = _SPLIT.fullmatch(name)
    role, label = split.groups() if split else (name, "")
    srgb = f"#{bytes(codes).hex()}"
    return _unescaped(role) or srgb, {"kind": "pigment", "srgb": srgb, "label": label}


def _free(role: str, taken: Mapping[str, Any]) -> str:
    """`role`, or with a number behind it if it is taken."""
    number, name = 1, role
    while name in taken:
        number += 1
        name = f"{role} {number}"
    return name


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace("\n", "\\n").replace("\r", "\\r")


def _unescaped(text: str) -> str:
    return re.sub(r"\\[nr:\\]", lambda found: _ESCAPES[found[0]], text)
