"""What a proof states about one revision of a design: all that its pages are laid out from."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.outputs.flat_picture import FlatPicture
from mockup.outputs.revision import short_fingerprint

__all__ = [
    "Elevation",
    "LightFact",
    "ProofFacts",
    "Quote",
    "Size",
    "SwatchFact",
    "View",
]


class View(NamedTuple):
    """One picture of the cup: (rows, columns, 3) uint8, sRGB."""

    label: str
    rgb8_srgb: NDArray[np.uint8]


class Elevation(NamedTuple):
    """The cup from the front without perspective, on white, its axis in the middle.

    The picture spans `width_mm` × `height_mm` exactly, from the table to the crest of the cup;
    `widest_mm` is the cup's largest diameter.
    """

    rgb8_srgb: NDArray[np.uint8]
    width_mm: float
    height_mm: float
    widest_mm: float


class SwatchFact(NamedTuple):
    """One role of the palette: what the material is, what it is used for, and its numbers.

    `finish` says what it is used as and how it shines, `numbers` what its colour was made from,
    `source` where those come from; `hex_srgb` is the colour of the chip.
    """

    role: str
    material: str
    finish: str
    numbers: str
    source: str
    chip_rgb8_srgb: tuple[int, int, int]

    @property
    def hex_srgb(self) -> str:
        """The chip's colour, such as ``#0D2348``."""
        return "#{:02X}{:02X}{:02X}".format(*self.chip_rgb8_srgb)


class Size(NamedTuple):
    """A length of the cup or of a piece on it, mm."""

    label: str
    mm: float


class LightFact(NamedTuple):
    """The light of the pictures: what it is called, and what it is in plain words."""

    name: str
    words: str


class Quote(NamedTuple):
    """The price: rows of (what, sum), the last one the sum of all, and a word on tax."""

    rows: tuple[tuple[str, str], ...]
    note: str


@dataclass(frozen=True, slots=True)
class ProofFacts:
    """Facts of one revision. No date: the same design gives the same proof, byte for byte.

    Attributes
    ----------
    note
        The maker's words to the design, of any length.
    fingerprint
        Of the design, hexadecimal; the proof stands for this revision alone.
    revision
        What the maker's order book calls it, such as ``revision 3``; empty where there is none.
    hero, sides, close_up
        The large picture; the cup from its four sides; the lettering, square.
    sizes
        The first three are repeated beside the pictures.
    glitters
        Whether there is glitter on it.
    findings, differences, cautions
        Whole sentences in plain words, for the customer: what the checks say of this design, what
        may differ in the piece made by hand, and how it is used.
    """

    title: str
    note: str
    palette: str
    fingerprint: str
    light: LightFact
    hero: View
    sides: tuple[View, ...]
    close_up: View
    elevation: Elevation
    flat: FlatPicture
    swatches: tuple[SwatchFact, ...]
    sizes: tuple[Size, ...]
    findings: tuple[str, ...] = ()
    differences: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    quote: Quote | None = None
    revision: str = ""
    glitters: bool = True

    @property
    def short_fingerprint(self) -> str:
        """Enough of it to tell revisions apart by eye."""
        return short_fingerprint(self.fingerprint)

    @property
    def revision_label(self) -> str:
        """Number, where there is one, and the short fingerprint."""
        called = self.revision[:1].upper() + self.revision[1:]
        return f"{called} · {self.short_fingerprint}" if called else self.short_fingerprint
