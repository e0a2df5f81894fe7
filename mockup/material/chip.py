"""The one colour that stands for a material where only a flat patch can be shown."""

from typing import TYPE_CHECKING

from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.material.optics import Optics, compile_swatch

if TYPE_CHECKING:
    from mockup.design.palette import Swatch

__all__ = ["MIRRORED", "chip_hex", "chip_rgb8_srgb"]

MIRRORED = 0.6  # luminance that a metal chip mirrors, white = 1; our choice


def chip_rgb8_srgb(optics: Optics) -> tuple[int, int, int]:
    """Three sRGB codes of a compiled swatch, face on.

    A pigment as its dry reflectance; a metal as it mirrors surroundings of an even grey, since
    nothing in a room is white all round it.
    """
    mirrored = MIRRORED if optics.metal else 1.0
    red, green, blue = (int(code) for code in rgb8_from_linear(mirrored * optics.reflectance_bare))
    return red, green, blue


def chip_hex(swatch: "Swatch") -> str:
    """The chip of a swatch in daylight, ``#rrggbb``; of a pigment that is its own colour."""
    if swatch.kind == "pigment":
        return swatch.srgb
    return f"#{bytes(chip_rgb8_srgb(compile_swatch(swatch))).hex()}"
