"""What a check tells: every figure that its sheet, its words and its JSON are made from."""

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.checks.contrast import DecalContrast, Place
from mockup.checks.finding import Finding
from mockup.checks.legibility import DecalLegibility
from mockup.checks.remedy import Remedy
from mockup.outputs.flat_picture import FlatPicture

__all__ = ["CheckFacts", "CheckRow", "CheckView", "Mark"]

Floats = NDArray[np.float64]


class Mark(NamedTuple):
    """A numbered place: on a picture, shares of its width and height from the upper left."""

    number: int
    x: float
    y: float
    trouble: bool


@dataclass(frozen=True, slots=True, eq=False)
class CheckRow:
    """One decal.

    `flat_mm` is where it stands out least, on the flat; `missed_mm` (n, 2) the stations along its
    edge where it misses its limit, both from the flat picture's lower left corner. None and empty
    where it has no outer edge.
    """

    number: int
    name: str
    material: str
    contrast: DecalContrast
    legibility: DecalLegibility | None
    place: Place | None
    flat_mm: tuple[float, float] | None
    missed_mm: Floats

    @property
    def trouble(self) -> bool:
        """Whether it misses its limit somewhere, in some light, for eyes that see all colours."""
        return self.place is not None and self.place.ratio < self.contrast.limit


@dataclass(frozen=True, slots=True, eq=False)
class CheckView:
    """The cup from one side: (rows, columns, 3) uint8, sRGB, with the marks that it shows."""

    turn_deg: float
    rgb8_srgb: NDArray[np.uint8]
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True, eq=False)
class CheckFacts:
    """A design as it was checked under one palette.

    `flat` and `views` are there where a sheet was asked for.
    """

    title: str
    where: str
    palette: str
    fingerprint: str
    rows: tuple[CheckRow, ...]
    findings: tuple[Finding, ...]
    remedies: tuple[Remedy, ...]
    flat: FlatPicture | None = None
    views: tuple[CheckView, ...] = field(default=())
