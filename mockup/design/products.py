"""Products on the maker's shelf: what is bought, how far it goes, how it dries.

Every figure is the maker's to change. The shipped shelf holds typical ones and says so in each
product's `source`; the product's data sheet stands above it. Money is whole minor units (cents).
"""

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field, model_validator

from mockup.design.drying import Drying
from mockup.design.fields import Name, Part

__all__ = [
    "TYPICAL",
    "Adhesive",
    "AdhesiveSheet",
    "AnyProduct",
    "BlankCup",
    "Drying",
    "Epoxy",
    "Foil",
    "Glitter",
    "Paint",
    "Sealer",
    "Sundry",
    "Varnish",
    "Vinyl",
    "WrapSheet",
    "figures_of",
    "sources_in_words",
]

TYPICAL = "typical; from your product's data sheet"

Source = Annotated[
    str,
    Field(
        min_length=1,
        max_length=80,
        pattern=r"^[^\x00-\x1f\x7f:;]*$",
        description="Where a figure is from, such as data sheet; without : and ;",
    ),
]
Amount = Annotated[float, Field(gt=0, le=1_000_000)]
Density = Annotated[float, Field(ge=0.5, le=10)]


class _Product(Part):
    name: Name = Field(description="What the label says; no two products share it.")
    suits: tuple[Name, ...] = Field(
        (), max_length=40, description="Roles or swatch labels that it is for; none: any."
    )
    pack_price_minor: int = Field(ge=0, le=10**9, description="Of one pack, in minor units.")
    loss_share: float = Field(
        0.0, ge=0, le=5, description="Added to what is needed: 0.5 is half as much again."
    )
    source: str = Field("the maker's shelf", max_length=200)
    sources: dict[Name, Source] = Field(
        {}, max_length=60, description="Where single figures are from; all others from `source`."
    )

    @model_validator(mode="after")
    def _sources_are_of_figures(self) -> "_Product":
        known = figures_of(type(self))
        for name in self.sources:
            if name not in known:
                raise ValueError(
                    f"sources names {name!r}, which is no figure of it; name one of "
                    f"{', '.join(known)}"
                )
        return self

    def __hash__(self) -> int:
        """Of its name: `sources` has no hash of its own."""
        return hash(self.name)

    def source_of(self, *names: str) -> str:
        """Where these figures are from: one source, or each with the figures that it gave.

        Without `sources` it is `source`, whatever the figures.
        """
        if not self.sources or not names:
            return self.source
        plain = self.source.partition(";")[0]
        found = {name: self.sources.get(name, plain) for name in names}
        different = set(found.values())
        return different.pop() if len(different) == 1 else sources_in_words(found)


def sources_in_words(sources: Mapping[str, str]) -> str:
    """Such as ``invoice: pack_g, pack_price_minor; measured: loss_share``."""
    by_source: dict[str, list[str]] = {}
    for figure, source in sources.items():
        by_source.setdefault(source, []).append(figure)
    return "; ".join(f"{source}: {', '.join(told)}" for source, told in by_source.items())


_TOLD = frozenset({"kind", "name", "suits", "source", "sources", "drying"})


def figures_of(kind: type[Part]) -> tuple[str, ...]:
    """Names of a product's figures; those of its drying begin with ``drying.``."""
    own = [name for name in kind.model_fields if name not in _TOLD]
    if "drying" in kind.model_fields:
        own += [f"drying.{name}" for name in Drying.model_fields]
    return tuple(own)


class _Liquid(_Product):
    pack_ml: Amount

    @property
    def pack(self) -> float:
        """What a pack holds, in `unit`."""
        return self.pack_ml

    @property
    def unit(self) -> str:
        """What amounts of it are counted in."""
        return "mL"


class _Spread(_Liquid):
    spread_m2_per_l: float = Field(gt=0.1, le=100, description="Spread rate of one coat.")
    coats: int = Field(1, ge=1, le=10)
    drying: Drying


class Paint(_Spread):
    """Base coat on the steel; `coats` thin ones."""

    kind: Literal["paint"] = "paint"


class Adhesive(_Spread):
    """Liquid adhesive below a wrap or as the bed of a glitter."""

    kind: Literal["adhesive"] = "adhesive"
    under: tuple[Literal["wrap", "glitter"], ...] = Field(("wrap", "glitter"), min_length=1)


class Sealer(_Spread):
    """Closes paper and fabric before the resin."""

    kind: Literal["sealer"] = "sealer"


class Varnish(_Liquid):
    """Thin clear coat; coat layers of at most `layer_up_to_mm` are made of it."""

    kind: Literal["varnish"] = "varnish"
    layer_up_to_mm: float = Field(0.15, gt=0, le=1)
    coat_mm: float = Field(0.03, gt=0.001, le=0.5, description="Dry film of one coat.")
    solids_share: float = Field(0.35, gt=0.02, le=1, description="Volume that stays when dry.")
    coat_ior: float = Field(
        1.5, ge=1.2, le=2, description="Index of the dry film; pictures are drawn with 1.5."
    )
    drying: Drying


class Epoxy(_Liquid):
    """Two-part clear coat. `pack_ml` and `pack_price_minor` are of both parts together.

    The ratio is part A (resin) to part B (hardener), by volume or by weight as the data sheet has
    it. Volumes of the parts are taken to add up in the mix.
    """

    kind: Literal["epoxy"] = "epoxy"
    ratio_by: Literal["volume", "weight"]
    ratio_a: float = Field(gt=0, le=100)
    ratio_b: float = Field(gt=0, le=100)
    density_g_per_ml: Density = Field(1.10, description="Of the mix.")
    density_a_g_per_ml: Density | None = Field(None, description="Of part A; else the mix's.")
    density_b_g_per_ml: Density | None = Field(None, description="Of part B; else the mix's.")
    coat_mm: float = Field(0.5, gt=0.05, le=3, description="Most that stays on a turning cup.")
    bed_mm: float = Field(
        0.1, gt=0.01, le=1, description="Below glitter, on a shelf without adhesive for it."
    )
    working_time_min: float = Field(gt=1, le=600, description="From mixing until it gels.")
    smallest_batch_ml: float = Field(0.0, ge=0, le=5000, description="Least that mixes reliably.")
    largest_batch_ml: float = Field(
        400.0, gt=1, le=50_000, description="Most that does not overheat in the cup."
    )
    coat_ior: float = Field(
        1.5, ge=1.2, le=2, description="Index when cured; pictures are drawn with 1.5."
    )
    drying: Drying

    @model_validator(mode="after")
    def _batches_in_order(self) -> "Epoxy":
        if self.smallest_batch_ml > self.largest_batch_ml:
            raise ValueError(
                "smallest_batch_ml is above largest_batch_ml; give the smaller one as smallest"
            )
        return self


class Glitter(_Product):
    """Flakes of polyester film, by weight."""

    kind: Literal["glitter"] = "glitter"
    pack_g: Amount
    film_thickness_mm: float = Field(0.04, ge=0.005, le=0.5)
    density_g_per_cm3: Density = 1.38

    @property
    def pack(self) -> float:
        """What a pack holds, in `unit`."""
        return self.pack_g

    @property
    def unit(self) -> str:
        """What amounts of it are counted in."""
        return "g"


class _SheetGoods(_Product):
    sheet_width_mm: float = Field(gt=10, le=3000)
    sheet_height_mm: float = Field(gt=10, le=100_000, description="Or the roll's length.")
    pack_sheets: int = Field(1, ge=1, le=10_000)
    frame_mm: float = Field(4.0, ge=0, le=100, description="Left round each piece, for weeding.")

    @property
    def pack(self) -> float:
        """What a pack holds, in `unit`."""
        return self.sheet_width_mm * self.sheet_height_mm * self.pack_sheets / 100

    @property
    def sheet_cm2(self) -> float:
        """What a sheet holds."""
        return self.sheet_width_mm * self.sheet_height_mm / 100

    @property
    def unit(self) -> str:
        """What amounts of it are counted in."""
        return "cm²"


class WrapSheet(_SheetGoods):
    """Printed film, paper or fabric for the wrap."""

    kind: Literal["wrap_sheet"] = "wrap_sheet"
    sheet: Literal["paper", "film", "fabric"]
    frame_mm: float = Field(0.0, ge=0, le=100, description="Left round each piece.")


class Foil(_SheetGoods):
    """Transfer foil, which is pressed on to adhesive sheet of the same shape."""

    kind: Literal["foil"] = "foil"


class AdhesiveSheet(_SheetGoods):
    """Double-sided adhesive sheet below foil."""

    kind: Literal["adhesive_sheet"] = "adhesive_sheet"


class Vinyl(_SheetGoods):
    """Self-adhesive film for shapes in a pigment."""

    kind: Literal["vinyl"] = "vinyl"


class _Counted(_Product):
    pack_count: int = Field(1, ge=1, le=100_000)

    @property
    def pack(self) -> float:
        """What a pack holds, in `unit`."""
        return float(self.pack_count)

    @property
    def unit(self) -> str:
        """What amounts of it are counted in."""
        return "piece"


class Sundry(_Counted):
    """What is used up by the piece: gloves, mixing cups, sticks, tape, sandpaper, masks."""

    kind: Literal["sundry"] = "sundry"
    per_cup: float = Field(0.0, ge=0, le=1000)
    per_mix: float = Field(0.0, ge=0, le=1000, description="For each mix of resin.")


class BlankCup(_Counted):
    """The undecorated cup; `suits` names blanks of the library."""

    kind: Literal["blank"] = "blank"


AnyProduct = Annotated[
    Paint
    | Adhesive
    | Sealer
    | Varnish
    | Epoxy
    | Glitter
    | WrapSheet
    | Foil
    | AdhesiveSheet
    | Vinyl
    | Sundry
    | BlankCup,
    Field(discriminator="kind"),
]
