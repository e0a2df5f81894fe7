"""A list of names, one cup a row: which decals' words it changes, and the designs it makes.

The first row names decals of the design that are made from text; each further row holds the words
of one cup. An empty cell leaves its decal out. A column `palette` chooses an option for each cup,
and a column `title` gives its title; without one, the words stand behind the design's own.
"""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from mockup.design.document import Design
from mockup.design.edit import removed_layer, with_document, with_layer
from mockup.errors import DesignError, MockupError, UnknownName
from mockup.files import read_up_to

__all__ = ["MOST_NAMES", "NameList", "Named", "named_designs", "read_names"]

MOST_NAMES = 500
_MOST_BYTES = 1_000_000
_MOST_TITLE = 80
_OF_THE_CUP = ("palette", "title")


@dataclass(frozen=True, slots=True)
class NameList:
    """What the file holds: heads, and rows of as many cells with their numbers in the file."""

    heads: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    where: str


@dataclass(frozen=True, slots=True)
class Named:
    """The design of one row of the file; `words` are those of its decals."""

    row: int
    words: tuple[str, ...]
    design: Design


def read_names(path: Path) -> NameList:
    """Read a CSV file, its cells parted by commas, semicolons or tabs.

    Raises
    ------
    DesignError
        It cannot be read, has no row of names, too many, or one of another length than its heads.
    """
    text = _text(path)
    first = text.lstrip().partition("\n")[0]
    parted = max(",;\t", key=first.count)
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=parted, strict=True))
    except csv.Error as error:
        raise DesignError(
            f"it is no table ({error})",
            where=path.name,
            remedy="Save it as CSV from your spreadsheet",
        ) from None
    filled = [
        (number, tuple(cell.strip() for cell in line))
        for number, line in enumerate(lines, start=1)
        if any(cell.strip() for cell in line)
    ]
    if len(filled) < 2:
        raise DesignError(
            "there is no name in it",
            where=path.name,
            remedy="Name decals in its first row, and give the words of a cup in each further one",
        )
    (_, heads), *rows = filled
    if len(rows) > MOST_NAMES:
        raise DesignError(
            f"there are {len(rows)} rows of names",
            where=path.name,
            remedy=f"Part the list in files of up to {MOST_NAMES}",
        )
    for number, cells in rows:
        if len(cells) != len(heads):
            raise DesignError(
                f"the row has {len(cells)} cells and the first one {len(heads)}",
                where=f"{path.name}: row {number}",
                remedy="Give it a cell for each head; words with a comma in them go in quotes",
            )
    return NameList(heads, tuple(rows), path.name)


def _text(path: Path) -> str:
    data = read_up_to(
        path,
        _MOST_BYTES,
        fault=DesignError,
        what="list of names",
        one="a CSV file",
        smaller="Name a CSV file of names; it needs far less",
    )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise DesignError(
            f"byte {error.start} is not UTF-8 text",
            where=path.name,
            remedy="Save the list as CSV in UTF-8",
        ) from None


def named_designs(design: Design, names: NameList) -> tuple[Named, ...]:
    """The design of every row.

    Raises
    ------
    UnknownName
        A head names no decal of the design that is made from text.
    DesignError
        A head stands twice or belongs to two decals; or words or palette of a row are refused.
    """
    layers = [_layer(design, names, head) for head in names.heads]
    if len(set(names.heads)) < len(names.heads):
        twice = next(head for head in names.heads if names.heads.count(head) > 1)
        raise DesignError(
            f"{twice!r} stands twice in the first row",
            where=names.where,
            remedy="Keep one of the columns",
        )
    made = []
    for number, cells in names.rows:
        try:
            made.append(_named(design, number, layers, cells))
        except MockupError as error:
            raise DesignError(
                error.problem, where=f"{names.where}: row {number}", remedy=error.remedy
            ) from error
    return tuple(made)


def _layer(design: Design, names: NameList, head: str) -> int | str:
    """Index of the decal that a head names, or what of the whole cup it stands for."""
    if head in _OF_THE_CUP:
        return head
    called: dict[str, list[int]] = {}
    for index, layer in enumerate(design.document.layers):
        if layer.kind == "decal" and layer.text is not None:
            called.setdefault(layer.name or layer.text, []).append(index)
    if head not in called:
        known = [*called, *_OF_THE_CUP]
        raise UnknownName("decal made from text", head, known, where=f"{names.where}: row 1")
    if len(called[head]) > 1:
        raise DesignError(
            f"{len(called[head])} decals are named {head!r}",
            where=f"{names.where}: row 1",
            remedy="Give each a name of its own in the design",
        )
    return called[head][0]


def _named(design: Design, number: int, layers: Sequence[int | str], cells: Sequence[str]) -> Named:
    words, left_out, told = [], [], {}
    for index, cell in zip(layers, cells, strict=True):
        if isinstance(index, str):
            told[index] = cell
        elif cell:
            design = with_layer(design, index, text=cell)
            words.append(" ".join(cell.split()))
        else:
            left_out.append(index)
    for index in sorted(left_out, reverse=True):
        design = removed_layer(design, index)
    if told.get("palette"):
        design = design.with_palette(told["palette"])
    title = told.get("title") or ": ".join(filter(None, (design.document.title, ", ".join(words))))
    design = with_document(design, title=title[:_MOST_TITLE])
    return Named(number, tuple(words), design)
