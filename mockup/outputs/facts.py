"""What a proof states about one revision of a design: all that its pages are laid out from."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.errors import OutputError
from mockup.outputs.flat_picture import FlatPicture

__all__ = ["ProofFacts", "Size", "SwatchFact", "View"]


class View(NamedTuple):
    """One picture of the cup: (rows, columns, 3) uint8, sRGB."""

    label: str
    rgb8_srgb: NDArray[np.uint8]


class SwatchFact(NamedTuple):
    """One role of the palette: what the material is called, its numbers and its colour."""

    role: str
    material: str
    numbers: str
    chip_rgb8_srgb: tuple[int, int, int]


class Size(NamedTuple):
    """A length of the cup or of a piece on it, mm."""

    label: str
    mm: float


@dataclass(frozen=True, slots=True)
class ProofFacts:
    """Facts of one revision. No date: the same design gives the same proof, byte for byte.

    Attributes
    ----------
    fingerprint
        Of the design, hexadecimal; the proof stands for this revision alone.
    views
        The first is the large one; up to three more stand beside it.
    sizes
        The first three are repeated under the pictures.
    findings, cautions
        Whole sentences in plain words, for the customer.

    Raises
    ------
    OutputError
        There is no view.
    """

    title: str
    palette: str
    fingerprint: str
    light: str
    views: tuple[View, ...]
    flat: FlatPicture
    swatches: tuple[SwatchFact, ...]
    sizes: tuple[Size, ...]
    findings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.views:
            raise OutputError(
                "there is no view to show", where="proof", remedy="Render at least the front"
            )

    @property
    def short_fingerprint(self) -> str:
        """The first eight figures, in two groups: enough to tell revisions apart by eye."""
        return f"{self.fingerprint[:4]} {self.fingerprint[4:8]}".upper()
