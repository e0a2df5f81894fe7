"""Materials as a table for a spreadsheet: one row each, one column a figure or swatch property.

``sources`` tells where single figures are from, such as ``invoice: pack_g; measured: loss_share``.
A figure that differs from the one that was there, with no source named, is from the table itself.
Empty cells leave what is there, or the typical figure of a new material; ``none`` is no figure.
"""

import json
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from mockup.design.material import (
    Entry,
    fresh_product,
    kinds,
    product_from,
    swatch_from,
)
from mockup.design.palette_csv import SWATCH_COLUMNS, swatch_cells, swatch_in
from mockup.design.products import AnyProduct, figures_of, sources_in_words
from mockup.design.table_csv import cell_of, fault, number_in, read_rows, table_text, text_in
from mockup.errors import UnknownName

__all__ = ["PHOTO_COLUMNS", "figure_in", "materials_text", "read_materials"]

TABLE = "the table"  # the source of a figure that it gives without one
NONE = "none"
_FIGURES = tuple(dict.fromkeys(name for model in kinds().values() for name in figures_of(model)))
_FIRST = ("name", "kind", "suits", "batch", "note", "on_hand", "unit", "source", "sources")
_SWATCH = tuple(f"swatch.{name}" for name in SWATCH_COLUMNS)
PHOTO_COLUMNS = ("photo", "swatch.photos")
"""Files of a pack that hold the photos."""
_COLUMNS = (*_FIRST, *_FIGURES, *_SWATCH, "swatch.measured")
Known = Callable[[str], AnyProduct | None]


def materials_text(
    entries: Iterable[Entry], photos: Mapping[str, tuple[str, str]] | None = None
) -> str:
    """The table of materials.

    Parameters
    ----------
    photos
        By the material's name, the cells of `PHOTO_COLUMNS`; without it the table has none.
    """
    columns = _COLUMNS if photos is None else (*_COLUMNS, *PHOTO_COLUMNS)
    rows = []
    for entry in entries:
        cells = _cells(entry)
        if photos is not None:
            cells |= dict(zip(PHOTO_COLUMNS, photos.get(entry.product.name, ("", "")), strict=True))
        rows.append([cells.get(name, "") for name in columns])
    return table_text(columns, rows)


def read_materials(
    text: str, *, where: str, known: Known = lambda name: None
) -> tuple[tuple[Entry, dict[str, str]], ...]:
    """The materials in a table, each with the cells of `PHOTO_COLUMNS` that it has.

    Parameters
    ----------
    known
        The product of a name that is there already, if there is one.

    Raises
    ------
    DesignError
        It is no such table, or a cell of it is wrong.
    """
    found, seen = [], set()
    for here, cells in read_rows(text, (*_COLUMNS, *PHOTO_COLUMNS), where=where):
        name = text_in(cells.get("name", "")).strip()
        if not name or name.casefold() in seen:
            problem = f"{name!r} is there already" if name else "the row has no name"
            raise fault(problem, here, "Give each material a name of its own")
        seen.add(name.casefold())
        entry = _entry(name, cells, here, known(name))
        found.append((entry, {c: text_in(cells[c]) for c in PHOTO_COLUMNS if cells.get(c)}))
    if not found:
        raise fault("it holds no material", where, "Give it a row for each material")
    return tuple(found)


def _cells(entry: Entry) -> dict[str, str]:
    product = entry.product
    cells = {
        "name": cell_of(product.name),
        "kind": product.kind,
        "suits": _listed(product.suits),
        "batch": cell_of(entry.batch) if entry.batch else "",
        "note": cell_of(entry.note) if entry.note else "",
        "on_hand": _figure(entry.on_hand) if entry.on_hand is not None else "",
        "unit": product.unit,
        "source": cell_of(product.source),
        "sources": cell_of(sources_in_words(product.sources)) if product.sources else "",
    }
    for name in figures_of(type(product)):
        part, _, inner = name.rpartition(".")
        cells[name] = _figure(getattr(getattr(product, part) if part else product, inner))
    if entry.swatch is not None:
        cells |= {f"swatch.{name}": cell for name, cell in swatch_cells(entry.swatch).items()}
    if entry.measured:
        cells["swatch.measured"] = json.dumps(
            entry.measured, sort_keys=True, ensure_ascii=False, separators=(", ", ": ")
        )
    return cells


def _entry(name: str, cells: Mapping[str, str], where: str, there: AnyProduct | None) -> Entry:
    told: dict[str, Any] = {"product": _product(name, cells, where, there)}
    if cells.get("on_hand", "").strip():
        told["on_hand"] = number_in(cells["on_hand"], where)
    for column in ("batch", "note"):
        if cells.get(column):
            told[column] = text_in(cells[column])
    shown = {column.partition(".")[2]: cells.get(column, "") for column in _SWATCH}
    if any(shown.values()):
        told["swatch"] = swatch_from(swatch_in(shown, where), where=f"{where}: swatch")
    if cells.get("swatch.measured"):
        told["measured"] = _json(cells["swatch.measured"], where)
    return Entry.made(told, where=where)


def _product(
    name: str, cells: Mapping[str, str], where: str, there: AnyProduct | None
) -> AnyProduct:
    kind = cells.get("kind", "").strip().replace(" ", "_") or (there.kind if there else "")
    if kind not in kinds():
        raise UnknownName("kind", kind, kinds(), where=where)
    if there is not None and there.kind != kind:
        raise fault(f"{name!r} is a {there.kind} already", where, "Give this one another name")
    raw = (there or _typical(kind, name, cells)).model_dump()
    sources = _sources(cells["sources"], where) if cells.get("sources") else raw["sources"]
    for figure in _FIGURES:
        cell = cells.get(figure, "").strip()
        if not cell:
            continue
        if figure not in figures_of(kinds()[kind]):
            remedy = "Leave the cell empty"
            raise fault(f"{figure} is no figure of a {kind.replace('_', ' ')}", where, remedy)
        part, _, inner = figure.rpartition(".")
        holder = raw[part] if part else raw
        value = figure_in(cell, holder[inner], where)
        if value != holder[inner]:
            holder[inner] = value
            sources.setdefault(figure, TABLE)
    raw |= {"name": name, "sources": sources}
    if cells.get("suits"):
        raw["suits"] = _names_in(cells["suits"])
    if cells.get("source"):
        raw["source"] = text_in(cells["source"])
    return product_from(raw, where=where)


def _typical(kind: str, name: str, cells: Mapping[str, str]) -> AnyProduct:
    sheet = cells.get("sheet", "").strip()
    given = {"sheet": sheet} if kind == "wrap_sheet" and sheet else {}
    return fresh_product(kind, name, given, source=TABLE).model_copy(update={"sources": {}})


def figure_in(cell: str, like: Any, where: str) -> Any:
    """A figure as it is typed, as a value of the kind that stands there now; ``none`` is None.

    Raises
    ------
    DesignError
        It is to be a number and is none.
    """
    if cell == NONE:
        return None
    if isinstance(like, str):
        return text_in(cell)
    if isinstance(like, tuple):
        return tuple(text_in(part) for part in cell.split())
    number = number_in(cell, where)
    return int(number) if isinstance(like, int) and number.is_integer() else number


def _figure(value: Any) -> str:
    if value is None:
        return NONE
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return cell_of(value)


def _listed(names: tuple[str, ...]) -> str:
    """Names apart by semicolons, or each on a line of its own where one holds a semicolon."""
    if any(";" in name for name in names):
        return "".join(f"{cell_of(name)}\n" for name in names)
    return "; ".join(map(cell_of, names))


def _names_in(cell: str) -> tuple[str, ...]:
    parts = cell.split("\n" if "\n" in cell else ";")
    return tuple(text_in(part.strip()) for part in parts if part.strip())


def _sources(cell: str, where: str) -> dict[str, str]:
    sources: dict[str, str] = {}
    for part in text_in(cell).split(";"):
        source, apart, figures = part.strip().partition(":")
        if not apart:
            raise fault(
                f"{part.strip()!r} does not tell of which figures it is the source",
                where,
                "Write sources such as invoice: pack_g, pack_price_minor; measured: loss_share",
            )
        sources |= dict.fromkeys(re.findall(r"[\w.]+", figures), source.strip())
    return sources


def _json(cell: str, where: str) -> Any:
    try:
        told = json.loads(cell)
        if isinstance(told, dict):
            return told
        raise ValueError
    except ValueError:
        remedy = "Leave the cell as it was written"
        raise fault("swatch.measured is not as it was written", where, remedy) from None
