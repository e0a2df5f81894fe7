"""The maker's shelf: products, rates, workshop and handling minutes, as one strict TOML document.

Amounts, days and price are all worked out from it and from the design; nothing is typed twice.
`read_shelf(None)` takes the maker's own shelf.toml from the user's data folder, or else the
typical one that comes with the program.
"""

from importlib.resources import files
from pathlib import Path
from typing import Literal, TypeVar

from platformdirs import user_data_path
from pydantic import Field, field_validator, model_validator

from mockup.design.fields import Name, Part
from mockup.design.products import (
    TYPICAL,
    Adhesive,
    AdhesiveSheet,
    AnyProduct,
    BlankCup,
    Drying,
    Epoxy,
    Foil,
    Glitter,
    Paint,
    Sealer,
    Sundry,
    Varnish,
    Vinyl,
    WrapSheet,
)
from mockup.design.strict import parse_toml, read_document, validate
from mockup.errors import DesignError

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
    "Handling",
    "Minutes",
    "Paint",
    "Rates",
    "Sealer",
    "Shelf",
    "Sundry",
    "Varnish",
    "Vinyl",
    "Workshop",
    "WrapSheet",
    "read_shelf",
    "shelf_path",
    "typical_shelf",
    "typical_shelf_text",
]

P = TypeVar("P")
OWN = "the maker's shelf"
Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


class Rates(Part):
    """What the maker asks for work and what goes on top. Money in minor units, shares of one."""

    currency: str = Field("EUR", description="ISO 4217 code.")
    minor_digits: int = Field(2, ge=0, le=4, description="2: a hundred cents make one.")
    hourly_rate_minor: int = Field(ge=0, le=10**8, description="For an hour of handling.")
    waste_share: float = Field(0.05, ge=0, le=2, description="Of materials, for what goes wrong.")
    overhead_per_cup_minor: int = Field(0, ge=0, le=10**8)
    overhead_share: float = Field(0.0, ge=0, le=5, description="Of materials, waste and labour.")
    fees_share: float = Field(0.0, ge=0, le=0.5, description="Of what the customer pays.")
    margin_share: float = Field(0.2, ge=0, le=0.9, description="Of the price before tax.")
    tax_share: float = Field(0.0, ge=0, le=1, description="On the price before tax.")
    rounding_step_minor: int = Field(1, ge=1, le=10**6, description="Prices go up to its multiple.")
    round_with_tax: bool = Field(True, description="Whether the price shown contains the tax.")
    quantities: tuple[int, ...] = Field((1, 2, 4, 8), min_length=1, max_length=12)
    source: str = Field(OWN, max_length=200)

    @field_validator("currency")
    @classmethod
    def _is_a_code(cls, value: str) -> str:
        if not (len(value) == 3 and value.isascii() and value.isalpha() and value.isupper()):
            raise ValueError(
                f"{value[:20]!r} is not a currency code; write three capital letters such as EUR"
            )
        return value

    @field_validator("quantities")
    @classmethod
    def _rises(cls, value: tuple[int, ...]) -> tuple[int, ...]:
        if value[0] < 1 or value[-1] > 10_000 or list(value) != sorted(set(value)):
            raise ValueError(
                "the quantities do not rise from 1 or more; write them such as [1, 2, 4, 8]"
            )
        return value

    @model_validator(mode="after")
    def _leaves_something(self) -> "Rates":
        if self.margin_share + self.fees_share * (1 + self.tax_share) >= 0.95:
            raise ValueError(
                "fees and margin leave nothing of the price for the work; make them smaller"
            )
        return self


class Workshop(Part):
    """When and where the maker works. Hours are of the day, 9.5 is half past nine."""

    opens_h: float = Field(9.0, ge=0, lt=24)
    closes_h: float = Field(17.0, gt=0, le=24)
    weekdays: tuple[Weekday, ...] = Field(("mon", "tue", "wed", "thu", "fri"), min_length=1)
    rack_cups: int = Field(4, ge=1, le=1000, description="Cups that turn and dry at once.")
    room_c: float = Field(22.0, ge=5, le=40, description="Room temperature.")
    source: str = Field(OWN, max_length=200)

    @model_validator(mode="after")
    def _opens_before_it_closes(self) -> "Workshop":
        if self.opens_h >= self.closes_h:
            raise ValueError("closes_h is not after opens_h; give the hour of the evening")
        if len(set(self.weekdays)) != len(self.weekdays):
            raise ValueError("a weekday is given twice; name each working day once")
        return self


class Minutes(Part):
    """Handling of one step: `setup_min` once for all cups of a rack, `cup_min` for each cup."""

    setup_min: float = Field(0.0, ge=0, le=1000)
    cup_min: float = Field(0.0, ge=0, le=1000)


class Handling(Part):
    """Minutes at the bench by step; drying and curing take none."""

    prepare: Minutes = Field(Minutes(), description="Clean and key the steel.")
    mask: Minutes = Field(Minutes(), description="Tape rim and foot.")
    paint: Minutes = Field(Minutes(), description="Each coat of paint.")
    wrap: Minutes = Field(Minutes(), description="Print, cut and lay a wrap on its adhesive.")
    seal: Minutes = Field(Minutes(), description="Each coat of sealer on paper or fabric.")
    glitter: Minutes = Field(Minutes(), description="Each glitter: adhesive, strewing, gathering.")
    coat: Minutes = Field(Minutes(), description="Each coat of resin: mix, spread, level, watch.")
    varnish: Minutes = Field(Minutes(), description="Each coat of varnish.")
    sand: Minutes = Field(Minutes(), description="Level high spots.")
    wash: Minutes = Field(Minutes(), description="Wash off the dust and dry.")
    decal: Minutes = Field(Minutes(), description="Cut, weed and place a decal with its backings.")
    edges: Minutes = Field(Minutes(), description="Unmask, trim rim and foot, smooth, seal.")
    hand_over: Minutes = Field(Minutes(), description="Look over, photograph, pack.")
    source: str = Field(OWN, max_length=200)


class Shelf(Part):
    """What shelf.toml holds. ``format = 1``."""

    format: Literal[1]
    name: Name
    note: str = Field("", max_length=2000)
    rates: Rates
    workshop: Workshop = Workshop()
    handling: Handling
    products: tuple[AnyProduct, ...] = Field(min_length=1, max_length=500)

    @model_validator(mode="after")
    def _names_are_its_own(self) -> "Shelf":
        seen: set[str] = set()
        for product in self.products:
            if product.name.casefold() in seen:
                raise ValueError(f"two products are named {product.name!r}; rename one of them")
            seen.add(product.name.casefold())
        return self

    def of_kind(self, kind: type[P]) -> tuple[P, ...]:
        """Every product of one class, in the file's order."""
        return tuple(product for product in self.products if isinstance(product, kind))

    def product(self, kind: type[P], *names: str) -> P:
        """The first product of `kind` that suits one of `names`, or else one that suits any.

        Parameters
        ----------
        names
            Role, swatch label or what else a product's `suits` may hold; case does not matter. A
            product that is named as one of them suits it too.

        Raises
        ------
        DesignError
            The shelf has none.
        """
        return self.first(self.of_kind(kind), _spoken(kind), *names)

    def first(self, among: tuple[P, ...], what: str, *names: str) -> P:
        """As `product`, from a choice made by the caller, which `what` names in the message.

        Raises
        ------
        DesignError
            None of them suits.
        """
        asked = {name.casefold() for name in names if name}
        for product in among:
            named = (getattr(product, "name", ""), *getattr(product, "suits", ()))
            if asked & {suited.casefold() for suited in named}:
                return product
        for product in among:
            if not getattr(product, "suits", ()):
                return product
        wanted = f" for {' or '.join(repr(name) for name in names if name)}" if asked else ""
        raise DesignError(
            f"there is no {what}{wanted} on it",
            where=f"shelf {self.name!r}",
            remedy=f"Add a product of that kind with suits = [] or naming {what}'s use",
        )


def _spoken(kind: type) -> str:
    """The class as its `kind` is written in the file, in words."""
    tag = kind.model_fields["kind"].default if hasattr(kind, "model_fields") else kind.__name__
    return str(tag).replace("_", " ")


def shelf_path() -> Path:
    """Where the maker's own shelf.toml is looked for: the user's data folder."""
    return user_data_path("tumbler-mockup", appauthor=False) / "shelf.toml"


def typical_shelf_text() -> str:
    """The shipped shelf as TOML, with comments, for the maker to copy and change."""
    return files("mockup.design").joinpath("shelf.toml").read_text(encoding="utf-8")


def typical_shelf() -> Shelf:
    """The shipped shelf."""
    data, where = typical_shelf_text().encode(), "typical shelf"
    return validate(Shelf, parse_toml(data, where=where), where=where)


def read_shelf(path: Path | None = None) -> Shelf:
    """The shelf at `path`; without one the maker's own if there is one, else the typical one.

    Raises
    ------
    DesignError
        The file cannot be read, or a key or value in it is wrong.
    """
    if path is None:
        path = shelf_path()
        if not path.exists():
            return typical_shelf()
    return read_document(Shelf, path, what="shelf")
