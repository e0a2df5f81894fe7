"""Tables for a spreadsheet: cells that stay text, and rows by their headings.

Text that begins with one of ``' = + - @``, which a spreadsheet would work out, and text that is
there but empty, has an apostrophe before it.
"""

import csv
import io
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import Any

from mockup.design.fields import Part
from mockup.errors import DesignError, UnknownName

__all__ = ["cell_of", "fault", "number_in", "read_rows", "table_text", "text_in"]

_QUOTES = "Put text that holds commas between double quotes"
_RISKY = ("'", "=", "+", "-", "@")


def table_text(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """The table as CSV, with commas."""
    out = io.StringIO(newline="")
    table = csv.writer(out)
    table.writerow(columns)
    table.writerows(rows)
    return out.getvalue()


def read_rows(
    text: str, columns: Collection[str], *, where: str
) -> Iterator[tuple[str, dict[str, str]]]:
    """Each row that is not empty: where it stands, and its cells by column.

    Parameters
    ----------
    text
        By commas or semicolons.
    columns
        Those that it may have.

    Raises
    ------
    DesignError
        It is no table, or has another column, one twice, or more cells than columns.
    """
    heading = text.partition("\n")[0]
    apart = ";" if ";" in heading and "," not in heading else ","
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=apart, strict=True))
    except csv.Error as error:
        remedy = "Save it from the spreadsheet as CSV"
        raise fault(f"it is no table ({error})", where, remedy) from None
    found = _columns(rows, columns, where)
    for number, row in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in row):
            continue
        here = f"{where}: row {number}"
        if any(row[len(found) :]):
            raise fault("the row has more cells than there are headings", here, _QUOTES)
        yield here, dict(zip(found, row, strict=False))


def _columns(rows: list[list[str]], known: Collection[str], where: str) -> list[str]:
    columns = [cell.strip() for cell in rows[0]] if rows else []
    while columns and not columns[-1]:
        columns.pop()
    for column in columns:
        if column not in known:
            raise UnknownName("column", column, known, where=f"{where}: row 1")
        if columns.count(column) > 1:
            raise fault(f"the column {column!r} is there twice", f"{where}: row 1", "Drop one")
    return columns


def fault(problem: str, where: str, remedy: str) -> DesignError:
    """What is wrong with a table."""
    return DesignError(problem, where=where, remedy=remedy)


def cell_of(value: Any) -> str:
    """A value as a cell's text."""
    if isinstance(value, str):
        return f"'{value}" if not value or value.startswith(_RISKY) else value
    if isinstance(value, tuple):
        apart = "; " if value and isinstance(value[0], Part) else " "
        return apart.join(cell_of(inner) for inner in value)
    if isinstance(value, Part):
        return " ".join(f"{key} {inner!r}" for key, inner in value)
    return repr(value)


def text_in(cell: str) -> str:
    """The text that a cell holds."""
    return cell.removeprefix("'")


def number_in(cell: str, where: str) -> float:
    """The number that a cell holds.

    Raises
    ------
    DesignError
        It holds none.
    """
    try:
        return float(cell)
    except ValueError:
        problem = f"{cell.strip()[:40]!r} is not a number"
        raise fault(problem, where, "Write it with a point, such as 0.25") from None
