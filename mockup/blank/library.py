"""Generic blanks by capacity and shape; their sizes are typical, so measure yours."""

from mockup.blank.typical import find_typical, typical_blanks
from mockup.blank.wall import Blank, build_blank
from mockup.design.blanks import LibraryBlank

__all__ = ["blank_names", "find_blank"]


def blank_names() -> tuple[str, ...]:
    """Names of the generic blanks, in the table's order."""
    return tuple(typical_blanks())


def find_blank(name: str, *, lid: bool = False, where: str = "blank") -> Blank:
    """The generic blank `name`, with or without its lid.

    Raises
    ------
    UnknownName
        No generic blank has this name; the error names a near one.
    """
    find_typical(name, where=f"{where}.name")
    return build_blank(LibraryBlank(name=name, lid=lid), where=where)
