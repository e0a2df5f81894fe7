"""Metamers: swatches that look alike in one light and apart in another.

References
----------
CIE 15:2018, Colorimetry, sec. 9.2: special metamerism index, change in illuminant. Here by ΔE00
between the two as an eye adapted to each light sees them.
Wyszecki & Stiles (1982), Color Science, 2nd ed., sec. 3.8.
"""

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.material.optics import compile_swatch
from mockup.material.spectrum import dry_colour, dry_reflectance

if TYPE_CHECKING:
    from mockup.design.palette import Swatch

__all__ = [
    "ALIKE_DELTA_E",
    "APART_DELTA_E",
    "EVERYDAY",
    "Pair",
    "are_metamers",
    "closest_pair",
    "metamerism",
]

ALIKE_DELTA_E = 1.0  # ΔE00 that hardly anyone sees with the samples side by side
APART_DELTA_E = 3.0  # ΔE00 that a customer remarks on
EVERYDAY = ("D65", "D50", "A", "LED-B1", "LED-B3", "FL2", "FL11")


class Pair(NamedTuple):
    """Two roles, how far apart they are, ΔE00, and the lights where that is least and most."""

    role_a: str
    role_b: str
    least: float
    least_under: str
    most: float
    most_under: str

    @property
    def metamers(self) -> bool:
        """Whether they are alike in the one light and apart in the other."""
        return self.least < ALIKE_DELTA_E and self.most > APART_DELTA_E


def metamerism(
    swatch_a: "Swatch", swatch_b: "Swatch", illuminants: Sequence[str] = EVERYDAY
) -> dict[str, float]:
    """Difference of two dry swatches under each illuminant.

    Returns
    -------
    dict
        ΔE00 by the illuminant's name, in the order given.

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    return {name: _difference(swatch_a, swatch_b, name) for name in illuminants}


def are_metamers(
    swatch_a: "Swatch", swatch_b: "Swatch", illuminants: Sequence[str] = EVERYDAY
) -> bool:
    """Whether two swatches are alike in one of the lights and apart in another.

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    differences = metamerism(swatch_a, swatch_b, illuminants).values()
    return min(differences) < ALIKE_DELTA_E and max(differences) > APART_DELTA_E


def closest_pair(
    swatches: Mapping[str, "Swatch"], illuminants: Sequence[str] = EVERYDAY
) -> Pair | None:
    """The two roles that come nearest to one another in some light, metamers before all others.

    Returns
    -------
    Pair or None
        ΔE00; None where there are not two roles.

    Raises
    ------
    UnknownName
        No illuminant has that name.
    """
    lab = {
        role: np.array([lab_from_linear_srgb(_colour(swatch, name)) for name in illuminants])
        for role, swatch in swatches.items()
    }
    pairs = []
    for role_a, role_b in combinations(swatches, 2):
        apart = delta_e_2000(lab[role_a], lab[role_b])
        low, high = int(apart.argmin()), int(apart.argmax())
        least, most = float(apart[low]), float(apart[high])
        pairs.append(Pair(role_a, role_b, least, illuminants[low], most, illuminants[high]))
    return max(pairs, key=lambda pair: (pair.metamers, -pair.least), default=None)


def _difference(swatch_a: "Swatch", swatch_b: "Swatch", illuminant: str) -> float:
    lab_a, lab_b = (
        lab_from_linear_srgb(_colour(swatch, illuminant)) for swatch in (swatch_a, swatch_b)
    )
    return float(delta_e_2000(lab_a, lab_b))


def _colour(swatch: "Swatch", illuminant: str) -> NDArray[np.float64]:
    """Dry, also where a screen could not show it: (3,) float64, linear sRGB."""
    if swatch.kind == "pigment" or swatch.kind == "spectrum":
        return dry_colour(dry_reflectance(swatch), illuminant)
    return compile_swatch(swatch, illuminant=illuminant).reflectance_bare
