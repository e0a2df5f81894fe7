"""Palettes as a table for a spreadsheet: one row a role, one column a property of its swatch.

Columns are the fields of every kind of swatch; those that a kind has not stay empty, and so does
what is as the model has it. ``shown_srgb`` is what other programs may show; reading leaves it out.
Text that begins with one of ``' = + - @``, which a spreadsheet would work out, and text that is
there but empty, has an apostrophe before it.
"""

import csv
import io
from collections.abc import Iterator, Mapping
from typing import Any, get_args

from mockup.design.fields import Part
from mockup.design.palette import Palette, Swatch
from mockup.design.strict import validate
from mockup.errors import DesignError, UnknownName

__all__ = ["csv_text", "read_csv"]

SHOWN = "shown_srgb"
_QUOTES = "Put text that holds commas between double quotes"
_RISKY = ("'", "=", "+", "-", "@")
_KINDS: tuple[type[Part], ...] = get_args(get_args(Swatch)[0])
_FIRST = ("role", "label", "kind", SHOWN)
_COLUMNS = tuple(dict.fromkeys((*_FIRST, *(name for kind in _KINDS for name in kind.model_fields))))


def csv_text(palette: Palette, shown: Mapping[str, str]) -> str:
    """The palette's roles as a table; `shown` gives each role's colour, ``#rrggbb``."""
    out = io.StringIO(newline="")
    table = csv.writer(out)
    table.writerow(_COLUMNS)
    for role, swatch in palette.roles.items():
        given = {"role": role, SHOWN: shown[role]}
        for name, field in type(swatch).model_fields.items():
            value = getattr(swatch, name)
            if name == "kind" or value != field.default:
                given[name] = value
        table.writerow([_cell(given[name]) if name in given else "" for name in _COLUMNS])
    return out.getvalue()


def read_csv(text: str, *, name: str, where: str) -> Palette:
    """The palette in a table, by commas or semicolons: ``role`` and ``srgb`` at least.

    Parameters
    ----------
    name
        What to call it; the table does not say.
    where
        The file, for messages.

    Raises
    ------
    DesignError
        It is no such table, or a cell of it is wrong.
    """
    heading = text.partition("\n")[0]
    apart = ";" if ";" in heading and "," not in heading else ","
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=apart, strict=True))
    except csv.Error as error:
        remedy = "Save it from the spreadsheet as CSV"
        raise _fault(f"it is no table ({error})", where, remedy) from None
    columns = _columns(rows, where)
    roles: dict[str, Any] = {}
    for number, row in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in row):
            continue
        here = f"{where}: row {number}"
        if any(row[len(columns) :]):
            raise _fault("the row has more cells than there are headings", here, _QUOTES)
        cells = dict(zip(columns, row, strict=False))
        role = _text(cells.pop("role", ""))
        if not role or role in roles:
            problem = f"the role {role!r} is there already" if role else "the row has no role"
            raise _fault(problem, here, "Give each row a role of its own, such as base")
        roles[role] = dict(_swatch(cells, here))
    if not roles:
        raise _fault("it holds no colour", where, "Give it a row for each role")
    return validate(Palette, {"name": name, "roles": roles}, where=where)


def _columns(rows: list[list[str]], where: str) -> list[str]:
    columns = [cell.strip() for cell in rows[0]] if rows else []
    while columns and not columns[-1]:
        columns.pop()
    for column in columns:
        if column not in _COLUMNS:
            raise UnknownName("column", column, _COLUMNS, where=f"{where}: row 1")
        if columns.count(column) > 1:
            raise _fault(f"the column {column!r} is there twice", f"{where}: row 1", "Drop one")
    return columns


def _fault(problem: str, where: str, remedy: str) -> DesignError:
    return DesignError(problem, where=where, remedy=remedy)


def _swatch(cells: Mapping[str, str], where: str) -> Iterator[tuple[str, Any]]:
    """The keys of a swatch that a row gives."""
    kind = cells.get("kind", "").strip() or "pigment"
    yield "kind", kind
    model = next((m for m in _KINDS if m.model_fields["kind"].default == kind), None)
    for name, cell in cells.items():
        if not cell or name in (SHOWN, "kind"):
            continue
        field = (
            model.model_fields[name] if model is not None and name in model.model_fields else None
        )
        if name == "layers":
            yield name, [_pairs(part, where) for part in cell.split(";") if part.strip()]
        elif name in ("nm", "reflectance"):
            yield name, [_number(part, where) for part in cell.split()]
        elif field is not None and field.annotation is float:
            yield name, _number(cell, where)
        else:
            yield name, _text(cell)


def _cell(value: Any) -> str:
    if isinstance(value, str):
        return f"'{value}" if not value or value.startswith(_RISKY) else value
    if isinstance(value, tuple):
        apart = "; " if value and isinstance(value[0], Part) else " "
        return apart.join(_cell(inner) for inner in value)
    if isinstance(value, Part):
        return " ".join(f"{key} {inner!r}" for key, inner in value)
    return repr(value)


def _text(cell: str) -> str:
    return cell.removeprefix("'")


def _pairs(text: str, where: str) -> dict[str, Any]:
    """``n 1.46 thickness_nm 280`` as a layer's keys."""
    words = text.split()
    if len(words) % 2:
        problem = f"{text.strip()!r} is not a list of names and numbers"
        raise _fault(problem, where, "Write a layer such as n 1.46 thickness_nm 280")
    return {key: _number(word, where) for key, word in zip(words[::2], words[1::2], strict=True)}


def _number(cell: str, where: str) -> float:
    try:
        return float(cell)
    except ValueError:
        problem = f"{cell.strip()[:40]!r} is not a number"
        raise _fault(problem, where, "Write it with a point, such as 0.25") from None
