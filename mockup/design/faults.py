"""A fault that the models find, told once as one sentence in a maker's words.

Validators of ours word their ``ValueError`` as "what is wrong; what to do".
"""

import re
import types
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from mockup.design.fields import Part
from mockup.errors import DesignError, UnknownName

__all__ = ["told"]

_TAGS = ("kind", "shape")  # the keys that tell which member of a union a table is
_UNITS = {  # by the last part of a key
    "mm": " mm",
    "deg": "°",
    "ml": " mL",
    "in": " in",
    "g": " g",
    "h": " h",
    "min": " min",
    "c": " °C",
}
_PATTERNS = {  # by how the pattern begins: what the text is not, and what to do
    "^#": ("a colour", "Write it as # and six digits or letters a to f, such as #0b2545"),
    "^assets/": ("a file of the assets folder", "Write it such as assets/bunting.svg"),
    "^[^": ("text on one line", "Take out line breaks, tabs and other control characters"),
}


def told(error: ValidationError, model: type[Part], *, where: str) -> DesignError:
    """The first fault of `error`, an unknown key before any other, as a DesignError.

    A misspelt key is often the cause of a missing one, so it is told first.

    Parameters
    ----------
    error
        What validating `model` raised.
    where
        The file, for messages.
    """
    faults = error.errors(include_url=False)
    fault = next((f for f in faults if f["type"] == "extra_forbidden"), faults[0])
    spot = _spot(model, fault["loc"])
    if fault["type"] == "union_tag_invalid":
        return _unknown_kind(fault, spot, where=where)
    problem, remedy = _TOLD.get(fault["type"], _other)(fault, spot)
    path = spot.parent if fault["type"] == "missing" else spot.path
    return DesignError(problem, where=f"{where}: {path}" if path else where, remedy=remedy)


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where in the document a fault lies: `part` is the table, called `noun`, that holds `key`.

    `tags` are those of the union at hand, where it is one.
    """

    part: type[Part]
    noun: str
    parent: str
    path: str
    key: str
    tags: tuple[str, ...]

    @property
    def unit(self) -> str:
        return _UNITS.get(self.key.rpartition("_")[2], "")


def _spot(model: type[Part], loc: Sequence[int | str]) -> _Spot:
    """Follow `loc` down the model, leaving out the tags that pydantic puts in at unions."""
    if loc and loc[-1] == "[key]":
        loc = loc[:-2]
    here: Any = model
    part, noun, parent, path, last = model, model.__name__.lower(), "", "", model.__name__.lower()
    for step in loc:
        here = _bare(here)
        if get_origin(here) in (Union, types.UnionType):
            here = next((m for m in get_args(here) if step in _tags(m)), None)
            last = str(step) if here else last
            continue
        parent = path
        if isinstance(step, int):
            path += f"[{step}]"
            here = get_args(here)[0]
        elif isinstance(here, type) and issubclass(here, Part):
            part, noun, last = here, last, step
            path += f".{step}" if path else step
            here = here.model_fields[step].annotation if step in here.model_fields else None
        elif get_origin(here) is dict:
            last = step
            path += f".{step}"
            here = get_args(here)[1]
    tags = tuple(str(tag) for m in get_args(_bare(here)) for tag in _tags(m))
    return _Spot(part, noun, parent, path, str(last), tags)


def _bare(annotation: Any) -> Any:
    """The type without Annotated and without "or None"."""
    while True:
        members = [m for m in get_args(annotation) if m is not type(None)]
        if get_origin(annotation) is Annotated or (
            get_origin(annotation) in (Union, types.UnionType) and len(members) == 1
        ):
            annotation = members[0]
        else:
            return annotation


def _tags(member: Any) -> list[object]:
    fields = getattr(member, "model_fields", {})
    return [fields[tag].default for tag in _TAGS if tag in fields]


def _spelled(value: object) -> str:
    """The value as the file would spell it, cut short."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return repr(value if len(value) <= 40 else value[:39] + "…")
        case dict():
            return "a table"
        case tuple() | list():
            return "a list"
        case int() if abs(value) > 10**18:
            return "that number"
    return str(value)


def _unknown_kind(fault: ErrorDetails, spot: _Spot, *, where: str) -> DesignError:
    tag = fault["ctx"]["discriminator"].strip("'")
    whose = re.sub(r"\[\d+\]$", "", spot.path).rpartition(".")[2]
    whose = "swatch" if spot.path.startswith("roles.") else whose
    return UnknownName(
        f"{tag} of {'layer' if whose == 'layers' else whose}",
        fault["ctx"]["tag"][:40],
        _quoted(fault["ctx"]["expected_tags"]),
        where=f"{where}: {spot.path}.{tag}",
    )


def _quoted(text: str) -> list[str]:
    return re.findall(r"'([^']+)'", text)


def _listed(words: Sequence[str], joint: str = "or") -> str:
    return f" {joint} ".join(filter(None, [", ".join(words[:-1]), words[-1]]))


def _unknown_key(fault: ErrorDetails, spot: _Spot) -> tuple[str, str]:
    known = [name for name in spot.part.model_fields if name not in _TAGS]
    key = str(fault["loc"][-1])
    problem = f"{spot.noun} has no {_spelled(key)[1:-1]}"
    near = get_close_matches(key, known, n=1)
    if not near:
        return problem, f"Remove it; {spot.noun} takes {_listed(known, 'and')}"
    in_mm = near[0].endswith("_mm") and not key.endswith("_mm")
    return problem, f"Use {near[0]}{', in millimetres' if in_mm else ''}"


def _missing(fault: ErrorDetails, spot: _Spot) -> tuple[str, str]:
    key = fault["loc"][-1]
    if isinstance(key, int):
        return "it holds too few numbers", f"Give {key + 1} or more"
    about = (spot.part.model_fields[key].description or "").rstrip(".")
    return f"{key} is missing", f"Add {key}" + (f": {about[0].lower()}{about[1:]}" if about else "")


def _missing_tag(fault: ErrorDetails, spot: _Spot) -> tuple[str, str]:
    tag = fault["ctx"]["discriminator"].strip("'")
    return f"its {tag} is missing", f"Add {tag} = {_listed([repr(tag) for tag in spot.tags])}"


def _choice(fault: ErrorDetails, _: _Spot) -> tuple[str, str]:
    known = _quoted(fault["ctx"]["expected"])
    near = get_close_matches(str(fault["input"])[:80], known, n=1) or known
    remedy = _listed([repr(word) for word in near]) if near else fault["ctx"]["expected"]
    return f"{_spelled(fault['input'])} is not one of its values", f"Use {remedy}"


def _not(what: str, remedy: str) -> Callable[[ErrorDetails, _Spot], tuple[str, str]]:
    return lambda fault, _: (f"{_spelled(fault['input'])} is not {what}", remedy)


def _bound(limit: str, word: str, give: str) -> Callable[[ErrorDetails, _Spot], tuple[str, str]]:
    def tell(fault: ErrorDetails, spot: _Spot) -> tuple[str, str]:
        value, most = _spelled(fault["input"]), f"{fault['ctx'][limit]:g}"
        return f"{value}{spot.unit} is too {word}", f"Give {give} {most}{spot.unit}"

    return tell


def _length(word: str, give: str, limit: str) -> Callable[[ErrorDetails, _Spot], tuple[str, str]]:
    def tell(fault: ErrorDetails, _: _Spot) -> tuple[str, str]:
        one, many = (
            ("character", "characters") if isinstance(fault["input"], str) else ("entry", "entries")
        )
        count, size = fault["ctx"][limit], len(fault["input"])
        what = f"the name {_spelled(fault['input'])}" if fault["loc"][-1] == "[key]" else "it"
        problem = (
            f"{what} is too {word} ({size} {one if size == 1 else many})"
            if size
            else f"{what} is empty"
        )
        return problem, f"Give {give} {count} {one if count == 1 else many}"

    return tell


def _pattern(fault: ErrorDetails, _: _Spot) -> tuple[str, str]:
    pattern = fault["ctx"]["pattern"]
    what, remedy = next(v for k, v in _PATTERNS.items() if pattern.startswith(k))
    return f"{_spelled(fault['input'])} is not {what}", remedy


def _ours(fault: ErrorDetails, spot: _Spot) -> tuple[str, str]:
    problem, _, remedy = str(fault["ctx"]["error"]).partition("; ")
    return problem, remedy[:1].upper() + remedy[1:]


def _other(fault: ErrorDetails, _: _Spot) -> tuple[str, str]:
    message = fault["msg"]
    return f"{_spelled(fault['input'])} will not do", f"Mend it: {message[0].lower()}{message[1:]}"


def _number(fault: ErrorDetails, _: _Spot) -> tuple[str, str]:
    value = fault["input"]
    if isinstance(value, int) and not isinstance(value, bool):
        return "the number is too large", "Give a smaller one"
    return f"{_spelled(value)} is not a number", "Write a number such as 12.5, without quotes"


_TABLE = _not("a table", "Write it as { key = value } or below a [heading] of its own")
_TOLD: dict[str, Callable[[ErrorDetails, _Spot], tuple[str, str]]] = {
    "extra_forbidden": _unknown_key,
    "missing": _missing,
    "union_tag_not_found": _missing_tag,
    "literal_error": _choice,
    "value_error": _ours,
    "float_type": _number,
    "finite_number": _number,
    "int_type": _not("a whole number", "Write a whole number such as 12"),
    "bool_type": _not("true or false", "Write true or false, without quotes"),
    "string_type": _not("text", "Put it in quotes"),
    "tuple_type": _not("a list", "Write it in square brackets"),
    "dict_type": _TABLE,
    "model_type": _TABLE,
    "model_attributes_type": _TABLE,
    "greater_than": _bound("gt", "small", "more than"),
    "greater_than_equal": _bound("ge", "small", "at least"),
    "less_than": _bound("lt", "large", "less than"),
    "less_than_equal": _bound("le", "large", "at most"),
    "string_pattern_mismatch": _pattern,
    "string_too_short": _length("short", "at least", "min_length"),
    "string_too_long": _length("long", "at most", "max_length"),
    "too_short": _length("short", "at least", "min_length"),
    "too_long": _length("long", "at most", "max_length"),
}
