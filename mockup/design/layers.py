"""The stack of layers, listed as on the bench: from the steel outward, what is below is covered.

Heights are mm up the wall from its foot, measured along the wall; angles are degrees round the
cup, 0 at the front and growing to the right as seen from outside.
"""

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from mockup.design.fields import AngleDeg, AssetName, Gloss, Label, Name, Part, Share, stays_inside
from mockup.units import mm_from_inches

__all__ = [
    "LAYER_KINDS",
    "AnyLayer",
    "Backing",
    "Band",
    "BaseLayer",
    "CoatLayer",
    "Coverage",
    "DecalLayer",
    "Fade",
    "GlitterLayer",
    "MixPart",
    "Patch",
    "Place",
    "Scatter",
    "WrapLayer",
    "layer_title",
]


def _not_above(from_mm: float, to_mm: float) -> str:
    return f"to_mm {to_mm:g} is not above from_mm {from_mm:g}; give the lower height as from_mm"


class _Layer(Part):
    name: Label = Field("", description="What the maker calls it.")


class Place(Part):
    """Where the middle of a piece sits on the wall."""

    height_mm: float = Field(ge=-600, le=600)
    angle_deg: AngleDeg = 0.0
    rotation_deg: AngleDeg = Field(0.0, description="Anticlockwise, as seen from outside.")


class BaseLayer(_Layer):
    """Paint on the steel; it covers everything below."""

    kind: Literal["base"] = "base"
    swatch: Name
    gloss: Gloss = "satin"


class WrapLayer(_Layer):
    """Sheet artwork round the cup.

    `fit` says how the artwork meets the wall: ``round`` stretches it to exactly once round,
    keeping its proportions at the middle of its height; ``tile`` repeats it in its own size;
    ``placed`` puts one piece at `place`.
    """

    kind: Literal["wrap"] = "wrap"
    artwork: AssetName
    fit: Literal["round", "tile", "placed"] = "round"
    width_mm: float | None = Field(None, gt=1, le=2000, description="Of the tile or the piece.")
    height_mm: float | None = Field(None, gt=1, le=2000, description="Else from the proportions.")
    place: Place | None = None
    rotation_deg: AngleDeg = 0.0
    offset_mm: tuple[float, float] = (0.0, 0.0)
    from_mm: float = Field(0.0, ge=0, le=600, description="Lower edge of the sheet on the wall.")
    to_mm: float | None = Field(None, gt=0, le=600, description="Upper edge; else the wall's rim.")
    seam_deg: AngleDeg = 180.0
    overlap_mm: float = Field(3.0, ge=0, le=40)
    sheet: Literal["paper", "film", "fabric"] = "film"
    sealed: bool = Field(True, description="Sealed before the resin; else it soaks and darkens.")

    @model_validator(mode="after")
    def _has_its_size(self) -> "WrapLayer":
        if self.fit in ("tile", "placed") and self.width_mm is None:
            raise ValueError(f"a {self.fit} wrap needs its width; give width_mm")
        if self.fit == "placed" and self.place is None:
            raise ValueError(
                "a placed wrap needs its place; give place = { height_mm = …, angle_deg = … }"
            )
        if self.to_mm is not None and self.to_mm <= self.from_mm:
            raise ValueError(_not_above(self.from_mm, self.to_mm))
        return self


class Band(Part):
    """Even coverage between two heights; `edge_mm` 0 is crisp, more fades out over that width."""

    shape: Literal["band"] = "band"
    from_mm: float = Field(ge=-600, le=600)
    to_mm: float = Field(ge=-600, le=600)
    coverage: Share
    edge_mm: float = Field(0.0, ge=0, le=200)

    @model_validator(mode="after")
    def _upward(self) -> "Band":
        if self.to_mm <= self.from_mm:
            raise ValueError(_not_above(self.from_mm, self.to_mm))
        return self


class Fade(Part):
    """Coverage that runs from one value to another between two heights and holds beyond them."""

    shape: Literal["fade"] = "fade"
    from_mm: float = Field(ge=-600, le=600)
    to_mm: float = Field(ge=-600, le=600)
    coverage_from: Share
    coverage_to: Share

    @model_validator(mode="after")
    def _has_a_length(self) -> "Fade":
        if self.to_mm <= self.from_mm:
            raise ValueError(_not_above(self.from_mm, self.to_mm))
        return self


class Patch(Part):
    """A soft round patch: full within `radius_mm`, gone `feather_mm` further out."""

    shape: Literal["patch"] = "patch"
    height_mm: float = Field(ge=-600, le=600)
    angle_deg: AngleDeg = 0.0
    radius_mm: float = Field(ge=0, le=600)
    feather_mm: float = Field(8.0, ge=0, le=200)
    coverage: Share


class Scatter(Part):
    """The same thin coverage everywhere."""

    shape: Literal["scatter"] = "scatter"
    coverage: Share


Coverage = Annotated[Band | Fade | Patch | Scatter, Field(discriminator="shape")]


class MixPart(Part):
    """One colour of a glitter mix; shares are normalised to one."""

    swatch: Name
    share: float = Field(1.0, gt=0, le=1000)


class GlitterLayer(_Layer):
    """Flakes of one cut and a mix of colours; its coverage is the union of several shapes."""

    kind: Literal["glitter"] = "glitter"
    cut_mm: float | None = Field(None, ge=0.05, le=4.0, description="Hexagon, across flats.")
    cut_in: float | str | None = Field(None, description='In inches: 0.015, ".015" or "1/64".')
    mix: tuple[MixPart, ...] = Field(min_length=1, max_length=6)
    coverage: tuple[Coverage, ...] = Field(min_length=1, max_length=24)
    tilt_deg: float = Field(7.0, ge=0.5, le=15, description="Spread (σ) of tilt about each axis.")
    seed: int = Field(1, ge=0, le=9999)

    @field_validator("cut_in")
    @classmethod
    def _a_length(cls, value: float | str | None) -> float | str | None:
        if value is not None and not 0.05 <= mm_from_inches(value) <= 4.0:
            raise ValueError(f"{value!r} is no glitter cut; give one between .002 and .157 inches")
        return value

    @model_validator(mode="after")
    def _one_cut(self) -> "GlitterLayer":
        if (self.cut_mm is None) == (self.cut_in is None):
            raise ValueError("the cut must be told once; give either cut_mm or cut_in")
        return self

    @property
    def flake_width_mm(self) -> float:
        """The cut across flats in mm, however it was given."""
        if self.cut_mm is not None:
            return self.cut_mm
        assert self.cut_in is not None
        return mm_from_inches(self.cut_in)


class Backing(Part):
    """A larger (or, negative, smaller) copy of the shape that lies under it."""

    swatch: Name
    outset_mm: float = Field(ge=-20, le=20)


class DecalLayer(_Layer):
    """A shape cut from foil or vinyl: exactly one of `svg`, `text`, `bitmap`.

    `width_mm` or `height_mm` is the size of the whole shape; `letter_height_mm` that of a capital.
    """

    kind: Literal["decal"] = "decal"
    swatch: Name
    svg: AssetName | None = None
    text: str | None = Field(None, min_length=1, max_length=200)
    bitmap: AssetName | None = None
    font: Name = "Source Sans Pro Bold"
    letter_spacing_mm: float = Field(0.0, ge=-5, le=50)
    line_spacing: float = Field(1.25, ge=0.5, le=4, description="In letter heights.")
    dark_is_shape: bool = Field(True, description="Bitmap: dark pixels are cut, light ones fall.")
    width_mm: float | None = Field(None, gt=0.5, le=1500)
    height_mm: float | None = Field(None, gt=0.5, le=600)
    letter_height_mm: float | None = Field(None, gt=0.5, le=300)
    place: Place
    lie: Literal["level", "straight"] = Field(
        "level", description="On a taper: level lines stay level, or it is cut as drawn."
    )
    outset_mm: float = Field(0.0, ge=-20, le=20)
    backing: tuple[Backing, ...] = Field((), max_length=6, description="Undermost first.")

    @field_validator("font")
    @classmethod
    def _a_font_of_ours_stays_inside(cls, value: str) -> str:
        return stays_inside(value) if value.startswith("assets/") else value

    @model_validator(mode="after")
    def _one_shape_one_size(self) -> "DecalLayer":
        shapes = [n for n in ("svg", "text", "bitmap") if getattr(self, n) is not None]
        if len(shapes) != 1:
            raise ValueError("a decal has one shape; give one of svg, text or bitmap")
        sizes = [
            n for n in ("width_mm", "height_mm", "letter_height_mm") if getattr(self, n) is not None
        ]
        if len(sizes) != 1:
            raise ValueError(
                "a decal has one size; give one of width_mm, height_mm or letter_height_mm"
            )
        if sizes == ["letter_height_mm"] and self.text is None:
            raise ValueError("letter_height_mm is for text alone; give width_mm or height_mm")
        return self

    @property
    def sheet_swatches(self) -> tuple[str, ...]:
        """Roles of its sheets from the undermost backing up; the shape's own comes last."""
        return (*(backing.swatch for backing in self.backing), self.swatch)


class CoatLayer(_Layer):
    """Clear epoxy or varnish over what lies below."""

    kind: Literal["coat"] = "coat"
    thickness_mm: float = Field(gt=0.005, le=5.0)
    gloss: Gloss = "gloss"
    tint: Name | None = Field(None, description="Role whose colour light takes through 1 mm.")


AnyLayer = Annotated[
    BaseLayer | WrapLayer | GlitterLayer | DecalLayer | CoatLayer, Field(discriminator="kind")
]

LAYER_KINDS: Mapping[str, str] = {
    "base": "Base coat",
    "wrap": "Wrap",
    "glitter": "Glitter",
    "decal": "Decal",
    "coat": "Clear coat",
}


def layer_title(layer: AnyLayer) -> str:
    """What the maker calls a layer, else its words or what it is."""
    if layer.name:
        return layer.name
    if layer.kind == "decal" and layer.text is not None:
        return f"“{' '.join(layer.text.split())}”"
    return LAYER_KINDS[layer.kind]
