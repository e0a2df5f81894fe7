"""Palettes as a table for a spreadsheet: one row a role, one column a property of its swatch.

Columns are the fields of every kind of swatch; those that a kind has not stay empty, and so does
what is as the model has it. ``shown_srgb`` is what other programs may show; reading leaves it out.
"""

from collections.abc import Iterator, Mapping
from typing import Any, get_args

from mockup.design.fields import Part
from mockup.design.palette import Palette, Swatch
from mockup.design.strict import validate
from mockup.design.table_csv import cell_of, fault, number_in, read_rows, table_text, text_in

__all__ = ["SWATCH_COLUMNS", "csv_text", "read_csv", "swatch_cells", "swatch_in"]

SHOWN = "shown_srgb"
_KINDS: tuple[type[Part], ...] = get_args(get_args(Swatch)[0])
SWATCH_COLUMNS = tuple(
    dict.fromkeys(("label", "kind", *(name for kind in _KINDS for name in kind.model_fields)))
)
"""Fields of every kind of swatch."""
_COLUMNS = tuple(dict.fromkeys(("role", "label", "kind", SHOWN, *SWATCH_COLUMNS)))


def csv_text(palette: Palette, shown: Mapping[str, str]) -> str:
    """The palette's roles as a table; `shown` gives each role's colour, ``#rrggbb``."""
    rows = []
    for role, swatch in palette.roles.items():
        given = {"role": cell_of(role), SHOWN: cell_of(shown[role])} | swatch_cells(swatch)
        rows.append([given.get(name, "") for name in _COLUMNS])
    return table_text(_COLUMNS, rows)


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
    roles: dict[str, Any] = {}
    for here, cells in read_rows(text, _COLUMNS, where=where):
        role = text_in(cells.pop("role", ""))
        if not role or role in roles:
            problem = f"the role {role!r} is there already" if role else "the row has no role"
            raise fault(problem, here, "Give each row a role of its own, such as base")
        roles[role] = swatch_in(cells, here)
    if not roles:
        raise fault("it holds no colour", where, "Give it a row for each role")
    return validate(Palette, {"name": name, "roles": roles}, where=where)


def swatch_cells(swatch: Swatch) -> dict[str, str]:
    """Cells by column of what a swatch has of its own; the kind always."""
    return {
        name: cell_of(getattr(swatch, name))
        for name, field in type(swatch).model_fields.items()
        if name == "kind" or getattr(swatch, name) != field.default
    }


def swatch_in(cells: Mapping[str, str], where: str) -> dict[str, Any]:
    """The keys of a swatch that a row's cells give, not yet looked at.

    Raises
    ------
    DesignError
        A cell that is to hold numbers holds none.
    """
    return dict(_swatch(cells, where))


def _swatch(cells: Mapping[str, str], where: str) -> Iterator[tuple[str, Any]]:
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
            yield name, [number_in(part, where) for part in cell.split()]
        elif field is not None and field.annotation is float:
            yield name, number_in(cell, where)
        else:
            yield name, text_in(cell)


def _pairs(text: str, where: str) -> dict[str, Any]:
    """``n 1.46 thickness_nm 280`` as a layer's keys."""
    words = text.split()
    if len(words) % 2:
        problem = f"{text.strip()!r} is not a list of names and numbers"
        raise fault(problem, where, "Write a layer such as n 1.46 thickness_nm 280")
    return {key: number_in(word, where) for key, word in zip(words[::2], words[1::2], strict=True)}
