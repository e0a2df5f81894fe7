"""TOML bytes to a model, strictly: text and numbers are taken as they stand, nothing is guessed."""

import re
import tomllib
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from mockup.design.faults import told
from mockup.design.fields import Part
from mockup.errors import DesignError

__all__ = ["MAX_TOML_BYTES", "parse_toml", "read_document", "validate"]

MAX_TOML_BYTES = 1_000_000
FORMAT = 1  # the newest format this program reads, of designs and of palettes

_PLAINER = {  # what tomllib says, in a maker's words
    "Cannot overwrite a value": "this key or heading is given twice",
    "Invalid value": "this value is not text in quotes, a number, true, false or a list",
}

P = TypeVar("P", bound=Part)


def parse_toml(data: bytes, *, where: str) -> dict[str, Any]:
    """The tables of a TOML file.

    Raises
    ------
    DesignError
        It is empty, not UTF-8, not TOML (with line and column) or of a newer format.
    """
    if not data.strip():
        raise DesignError(
            "the file is empty",
            where=where,
            remedy="Start from the one that tumbler-mockup demo writes",
        )
    try:
        raw = tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise DesignError(
            f"byte {error.start} is not UTF-8 text",
            where=where,
            remedy="Name a text file, or save it again as UTF-8 if it is one",
        ) from None
    except RecursionError:
        raise _too_deep(where) from None
    except ValueError as error:
        raise _not_toml(str(error), where) from None
    newest = raw.get("format")
    if type(newest) is int and newest > FORMAT:
        raise DesignError(
            f"format {newest if newest < 1_000_000 else 'number'} is of a newer version",
            where=f"{where}: format",
            remedy="Update tumbler-mockup to open this file",
        )
    return raw


def validate(model: type[P], raw: dict[str, Any], *, where: str) -> P:
    """`raw` as a `model`, with pydantic's errors told as one sentence.

    Raises
    ------
    DesignError
        A key is unknown or missing, or a value is not what it should be.
    """
    try:
        return model.model_validate(_with_tuples(raw), strict=True)
    except ValidationError as error:
        raise told(error, model, where=where) from None
    except RecursionError:
        raise _too_deep(where) from None


def read_document(model: type[P], path: Path, *, what: str) -> P:
    """The file at `path`, called `what` in messages, as a `model` that has a format.

    Raises
    ------
    DesignError
        The file cannot be read, or a key or value in it is wrong.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MAX_TOML_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a name with a null character
        reason = getattr(error, "strerror", None) or str(error)
        raise DesignError(
            f"the {what} cannot be read ({reason})",
            where=str(path),
            remedy=f"Name a {what}.toml that is there and that you may read",
        ) from error
    if len(data) > MAX_TOML_BYTES:
        raise DesignError(
            f"the file is larger than {MAX_TOML_BYTES / 1e6:g} MB",
            where=path.name,
            remedy=f"Name a {what}.toml; it needs far less",
        )
    raw = parse_toml(data, where=path.name)
    if type(raw.get("format")) is not int:
        raise DesignError(
            "the format is missing or is not a whole number",
            where=path.name,
            remedy="Write format = 1 as its first line",
        )
    return validate(model, raw, where=path.name)


def _with_tuples(value: Any) -> Any:
    """Lists as the tuples that frozen models hold: strict validation takes no other."""
    if isinstance(value, dict):
        return {key: _with_tuples(v) for key, v in value.items()}
    if isinstance(value, list):
        return tuple(_with_tuples(v) for v in value)
    return value


def _not_toml(message: str, where: str) -> DesignError:
    found = re.fullmatch(r"(.*) \(at (.*)\)", message, re.DOTALL)
    if not found:  # Python's own, of a number with thousands of digits
        return DesignError("a number is too long", where=where, remedy="Give a shorter one")
    problem, place = _PLAINER.get(found[1], found[1]), f"{where}: {found[2]}"
    return DesignError(
        f"{problem[0].lower()}{problem[1:]}",
        where=place,
        remedy="Mend the line: key = value, with text in quotes and lists in square brackets",
    )


def _too_deep(where: str) -> DesignError:
    return DesignError(
        "tables or lists are nested too deeply",
        where=where,
        remedy="Write it as flat as the one that tumbler-mockup demo writes",
    )
