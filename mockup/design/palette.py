"""Swatches and palettes as files hold them. A palette gives each role of the design a swatch."""

from itertools import pairwise
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from mockup.design.fields import Hex, Label, Name, Part, Share

__all__ = [
    "METALS",
    "MetalSwatch",
    "Palette",
    "PigmentSwatch",
    "SpectrumSwatch",
    "Swatch",
]

METALS = ("aluminium", "copper", "gold", "silver")
VISIBLE_NM = (430, 670)  # a spectrum must reach so far at least; beyond its ends it goes on flat


class PigmentSwatch(Part):
    """Paint, print or vinyl: a matt reflectance, named by the sRGB colour of the dry material."""

    metallic: ClassVar[bool] = False
    kind: Literal["pigment"] = "pigment"
    label: Label = Field("", description="What the jar says.")
    srgb: Hex
    source: str = Field("chosen on screen", max_length=200)


class SpectrumSwatch(Part):
    """Paint, print or vinyl by its reflectance spectrum, dry: measured, or from a data sheet."""

    metallic: ClassVar[bool] = False
    kind: Literal["spectrum"] = "spectrum"
    label: Label = Field("", description="What the jar says.")
    nm: tuple[Annotated[float, Field(ge=200, le=2500)], ...] = Field(
        min_length=3, max_length=1000, description="Wavelengths, growing, such as 400, 410, 420."
    )
    reflectance: tuple[Share, ...] = Field(
        min_length=3, max_length=1000, description="Share of light sent back, one a wavelength."
    )
    source: str = Field(min_length=1, max_length=200, description="Who measured it, and how.")

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if len(self.nm) != len(self.reflectance):
            raise ValueError(
                f"{len(self.nm)} wavelengths do not fit {len(self.reflectance)} reflectances; "
                "give one reflectance for each wavelength"
            )
        if any(low >= high for low, high in pairwise(self.nm)):
            raise ValueError("the wavelengths do not grow; sort them and leave out doubles")
        if self.nm[0] > VISIBLE_NM[0] or self.nm[-1] < VISIBLE_NM[1]:
            raise ValueError(
                f"a spectrum from {self.nm[0]:g} to {self.nm[-1]:g} nm leaves out light that the "
                f"eye sees; measure from {VISIBLE_NM[0]} to {VISIBLE_NM[1]} nm at least"
            )
        return self


class MetalSwatch(Part):
    """Foil or metallised flake: a published metal under a tinted lacquer.

    `tint_srgb` is the colour of the lacquer as it filters the light once in and once out;
    `specular_roughness` is perceptual (OpenPBR 1.1), its square is the microfacet alpha.
    """

    metallic: ClassVar[bool] = True
    kind: Literal["metal"] = "metal"
    label: Label = Field("", description="What the sheet or jar says.")
    metal: Literal["aluminium", "copper", "gold", "silver"]
    tint_srgb: Hex = "#ffffff"
    specular_roughness: float = Field(0.28, ge=0.1, le=0.7)
    source: str = Field("published n and k", max_length=200)


Swatch = Annotated[PigmentSwatch | SpectrumSwatch | MetalSwatch, Field(discriminator="kind")]


class Palette(Part):
    """Named roles, each with a swatch; a file palettes/NAME.toml."""

    format: Literal[1] = 1
    name: Name
    note: str = Field("", max_length=500)
    source: str = Field("", max_length=200)
    licence: str = Field("", max_length=80)
    roles: dict[Name, Swatch] = Field(min_length=1, max_length=64)
