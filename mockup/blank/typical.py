"""The shipped table of generic blanks, library.toml, as specifications."""

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from pydantic import TypeAdapter

from mockup.design.blanks import BlankSpec
from mockup.errors import UnknownName

__all__ = ["Typical", "find_typical", "typical_blanks"]


@dataclass(frozen=True, slots=True)
class Typical:
    """One row of the table; `source` says what its sizes are worth."""

    name: str
    spec: BlankSpec
    source: str


@lru_cache(maxsize=1)
def typical_blanks() -> dict[str, Typical]:
    """Every generic blank by name, in the table's order."""
    table = tomllib.loads(files("mockup.blank").joinpath("library.toml").read_text("utf-8"))
    adapter: TypeAdapter[BlankSpec] = TypeAdapter(BlankSpec)
    rows = {}
    for row in table["blank"]:
        name = row.pop("name")
        rows[name] = Typical(name, adapter.validate_python(row), table["source"])
    return rows


def find_typical(name: str, *, where: str) -> Typical:
    """The generic blank `name`.

    Raises
    ------
    UnknownName
        The table has no such blank; the error names a near one.
    """
    rows = typical_blanks()
    if name not in rows:
        raise UnknownName("blank", name, rows, where=where)
    return rows[name]
