"""What an options sheet states: one design under several palettes, side by side."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.errors import OutputError

__all__ = ["Cell", "OptionColumn", "OptionsFacts"]


class Cell(NamedTuple):
    """One figure of one option.

    Attributes
    ----------
    figure
        Short, such as ``5.6 : 1``.
    verdict
        One or two words in plain language; empty where there is nothing to judge.
    trouble
        Whether the verdict is one to look at.
    detail
        Where and of what; a sentence without its full stop.
    """

    figure: str
    verdict: str = ""
    trouble: bool = False
    detail: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class OptionColumn:
    """One option.

    Attributes
    ----------
    picture : (rows, columns, 3) uint8, sRGB
    chips
        The colour of each material, three sRGB codes, from the steel outward.
    cells
        As many as the sheet has rows.
    in_use
        Whether it is the design's own palette.
    """

    name: str
    note: str
    picture: NDArray[np.uint8]
    chips: tuple[tuple[int, int, int], ...]
    cells: tuple[Cell, ...]
    in_use: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class OptionsFacts:
    """The whole sheet. No date: the same design gives the same sheet, byte for byte.

    Raises
    ------
    OutputError
        There is no option.
    """

    title: str
    shown: str
    rows: tuple[str, ...]
    columns: tuple[OptionColumn, ...]
    notes: tuple[str, ...]

    def __post_init__(self) -> None:
        if not self.columns:
            raise OutputError(
                "there is no palette to show", where="options", remedy="Name one that fits"
            )
