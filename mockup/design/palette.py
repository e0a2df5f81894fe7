"""Swatches and palettes as files hold them. A palette gives each role of the design a swatch."""

from typing import Annotated, Literal

from pydantic import Field

from mockup.design.fields import Hex, Label, Name, Part

__all__ = ["METALS", "MetalSwatch", "Palette", "PigmentSwatch", "Swatch"]

METALS = ("aluminium", "copper", "gold", "silver")


class PigmentSwatch(Part):
    """Paint, print or vinyl: a matt reflectance, named by the sRGB colour of the dry material."""

    kind: Literal["pigment"] = "pigment"
    label: Label = Field("", description="What the jar says.")
    srgb: Hex
    source: str = Field("chosen on screen", max_length=200)


class MetalSwatch(Part):
    """Foil or metallised flake: a published metal under a tinted lacquer.

    `tint_srgb` is the colour of the lacquer as it filters the light once in and once out;
    `specular_roughness` is perceptual (OpenPBR 1.1), its square is the microfacet alpha.
    """

    kind: Literal["metal"] = "metal"
    label: Label = Field("", description="What the sheet or jar says.")
    metal: Literal["aluminium", "copper", "gold", "silver"]
    tint_srgb: Hex = "#ffffff"
    specular_roughness: float = Field(0.28, ge=0.1, le=0.7)
    source: str = Field("published n and k", max_length=200)


Swatch = Annotated[PigmentSwatch | MetalSwatch, Field(discriminator="kind")]


class Palette(Part):
    """Named roles, each with a swatch; a file palettes/NAME.toml."""

    format: Literal[1] = 1
    name: Name
    note: str = Field("", max_length=500)
    source: str = Field("", max_length=200)
    licence: str = Field("", max_length=80)
    roles: dict[Name, Swatch] = Field(min_length=1, max_length=64)
