"""Swatches and palettes as files hold them. A palette gives each role of the design a swatch."""

from itertools import pairwise
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from mockup.design.fields import Hex, Label, Name, Part, Share

__all__ = [
    "METALS",
    "FilmLayer",
    "FilmSwatch",
    "HologramSwatch",
    "MetalSwatch",
    "Palette",
    "PigmentSwatch",
    "SpectrumSwatch",
    "Swatch",
]

METALS = ("aluminium", "copper", "gold", "silver")
MOST_FILM_NM = 700  # thicker stacks change colour faster with angle than the renderer follows
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
    `specular_roughness_anisotropy` (OpenPBR 1.1) is 0 for metal that is alike in all directions and
    grows for metal that is rougher across fine lines than along them: brushed or rolled. The lines
    of sheets run as `brushed` says; flakes fall any way.
    """

    metallic: ClassVar[bool] = True
    kind: Literal["metal"] = "metal"
    label: Label = Field("", description="What the sheet or jar says.")
    metal: Literal["aluminium", "copper", "gold", "silver"]
    tint_srgb: Hex = "#ffffff"
    specular_roughness: float = Field(0.28, ge=0.1, le=0.7)
    specular_roughness_anisotropy: float = Field(0.0, ge=0, le=0.9)
    brushed: Literal["round", "upright"] = Field(
        "round", description="Its lines run round the cup, or up the wall."
    )
    source: str = Field("published n and k", max_length=200)


class FilmLayer(Part):
    """One clear or absorbing layer, thin against the wavelength: index n + ik and thickness."""

    n: float = Field(ge=1, le=5, description="Magnesium fluoride 1.38, silica 1.46, titania 2.4.")
    k: float = Field(0.0, ge=0, le=8, description="0 is clear; a film of chromium about 3.3.")
    thickness_nm: float = Field(gt=0, le=MOST_FILM_NM)


class FilmSwatch(Part):
    """Colour-shifting foil or flake: thin films on metal, or a clear iridescent film by itself.

    The colour comes from interference and goes with the angle; there is no pigment in it.
    """

    metallic: ClassVar[bool] = True
    kind: Literal["film"] = "film"
    label: Label = Field("", description="What the sheet or jar says.")
    metal: Literal["aluminium", "copper", "gold", "silver", "none"] = Field(
        "aluminium", description="What the layers lie on; none is a clear film that light passes."
    )
    layers: tuple[FilmLayer, ...] = Field(min_length=1, max_length=8, description="Outermost first")
    specular_roughness: float = Field(0.28, ge=0.1, le=0.7)
    source: str = Field("indices and thicknesses chosen", max_length=200)

    @model_validator(mode="after")
    def _thin(self) -> Self:
        total_nm = sum(layer.thickness_nm for layer in self.layers)
        if total_nm > MOST_FILM_NM:
            raise ValueError(
                f"the layers are {total_nm:g} nm thick together, too much for clear colours; "
                f"keep them within {MOST_FILM_NM} nm"
            )
        return self


class HologramSwatch(Part):
    """Holographic foil or flake: a grating pressed into lacquer on metal.

    `first_order_efficiency` is the share of reflected light in each of the two first orders; a
    sinusoidal phase grating has 0.339 at most (Goodman 2005, Fourier Optics, sec. 4.4.4). Colours
    spread across the grooves: of upright ones, round the cup. Flakes fall any way, so that
    `grooves` and `shard_mm` are for sheets alone.
    """

    metallic: ClassVar[bool] = True
    kind: Literal["hologram"] = "hologram"
    label: Label = Field("", description="What the sheet or jar says.")
    metal: Literal["aluminium", "copper", "gold", "silver"] = "aluminium"
    tint_srgb: Hex = "#ffffff"
    period_um: float = Field(1.2, ge=0.4, le=10, description="From groove to groove.")
    first_order_efficiency: float = Field(0.25, ge=0, le=0.339)
    grooves: Literal["upright", "round", "crossed", "shards"] = Field(
        "crossed", description="Up the wall, round the cup, half each way, or each shard its own."
    )
    shard_mm: float = Field(1.0, ge=0.2, le=20, description="Width of a shard.")
    specular_roughness: float = Field(0.2, ge=0.1, le=0.7)
    source: str = Field("published n and k; grating chosen", max_length=200)


Swatch = Annotated[
    PigmentSwatch | SpectrumSwatch | MetalSwatch | FilmSwatch | HologramSwatch,
    Field(discriminator="kind"),
]


class Palette(Part):
    """Named roles, each with a swatch; a file palettes/NAME.toml."""

    format: Literal[1] = 1
    name: Name
    note: str = Field("", max_length=500)
    source: str = Field("", max_length=200)
    licence: str = Field("", max_length=80)
    roles: dict[Name, Swatch] = Field(min_length=1, max_length=64)
