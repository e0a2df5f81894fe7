"""Metamers: swatches that look alike in one light and apart in another.

References
----------
CIE 15:2018, Colorimetry, sec. 9.2: special metamerism index, change in illuminant. Here by ΔE00
between the two as an eye adapted to each light sees them.
Wyszecki & Stiles (1982), Color Science, 2nd ed., sec. 3.8.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.material.optics import compile_swatch
from mockup.material.spectrum import dry_colour, dry_reflectance

if TYPE_CHECKING:
    from mockup.design.palette import Swatch

__all__ = ["ALIKE_DELTA_E", "APART_DELTA_E", "EVERYDAY", "are_metamers", "metamerism"]

ALIKE_DELTA_E = 1.0  # ΔE00 that hardly anyone sees with the samples side by side
APART_DELTA_E = 3.0  # ΔE00 that a customer remarks on
EVERYDAY = ("D65", "D50", "A", "LED-B1", "LED-B3", "FL2", "FL11")


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
