"""The one table of channels: what the skin's maps and the parameter table hold, in which unit.

Packing, the shader's constants and the docs are made from it; nothing else names a slot.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "FRESNEL_TERMS",
    "GRATING_BANDS",
    "LOBE_TERMS",
    "MAPS",
    "PARAMETERS",
    "MapChannel",
    "Parameter",
    "slots",
]

FRESNEL_TERMS = 8  # polynomial in 1 − c, c the cosine at the metal; thin films need so many
GRATING_BANDS = 16  # of wavelength, where a grating spreads them
LOBE_TERMS = 6  # polynomial in 4 (1 − inside cosine of view)


@dataclass(frozen=True, slots=True)
class MapChannel:
    """A quantity over the wall, stored in 8 bits: value = low + (high − low) · stored / 255."""

    name: str
    unit: str
    low: float
    high: float
    meaning: str

    def encode(self, values: NDArray[np.floating]) -> NDArray[np.uint8]:
        """Quantity → stored byte, clipped to the range and rounded to nearest."""
        scaled = (values - self.low) * (255.0 / (self.high - self.low))
        stored: NDArray[np.uint8] = np.clip(np.rint(scaled), 0, 255).astype(np.uint8)
        return stored

    def decode(self, stored: NDArray[np.uint8]) -> NDArray[np.float32]:
        """Stored byte → quantity."""
        step = np.float32((self.high - self.low) / 255.0)
        return stored.astype(np.float32) * step + np.float32(self.low)


@dataclass(frozen=True, slots=True)
class Parameter:
    """A run of vec4 slots in a swatch's row of the parameter table: rgb, or four numbers."""

    name: str
    unit: str
    vec4s: int
    meaning: str


MAPS: dict[str, MapChannel] = {
    c.name: c
    for c in (
        MapChannel("art_srgb", "sRGB code", 0.0, 1.0, "colour of sheet artwork, dry"),
        MapChannel("art_opacity", "share", 0.0, 1.0, "share of the base coat that artwork hides"),
        MapChannel("edge_distance", "mm", -1.27, 1.28, "to the edge of a cut shape, < 0 inside"),
        MapChannel("flake_coverage", "share", 0.0, 1.0, "share of the wall hidden by flakes"),
        MapChannel("relief", "mm/mm", -0.635, 0.64, "slope of a woven or crinkled sheet"),
    )
}

PARAMETERS: tuple[Parameter, ...] = (
    Parameter("reflectance", "1 (rgb), metal? (a)", 1, "pigment ρ or metal at normal incidence"),
    Parameter(
        "fresnel_coated", "1 (rgb), fit begins (2nd a)", FRESNEL_TERMS, "metal in resin over 1 − c"
    ),
    Parameter(
        "fresnel_bare",
        "1 (rgb), single bounce, fit begins (a)",
        FRESNEL_TERMS,
        "metal in air over 1 − c",
    ),
    Parameter("lobes_coated", "1", LOBE_TERMS, "a1, a2, r, exit along view, over inside cosine"),
    Parameter("exit_coated", "1", 1, "exit's outward part over inside cosine, 4 numbers"),
    Parameter("passes", "1 (rgb)", 1, "share of what a film does not reflect that passes it"),
    Parameter("grating", "µm, share, share, 0", 1, "period; in a first order, in a second one"),
    Parameter("bands", "share (rgb)", GRATING_BANDS, "of a grating's light, by wavelength"),
)


def slots() -> dict[str, int]:
    """First vec4 slot of each parameter, and ``"count"``, the length of a row."""
    first: dict[str, int] = {}
    at = 0
    for parameter in PARAMETERS:
        first[parameter.name] = at
        at += parameter.vec4s
    return first | {"count": at}
