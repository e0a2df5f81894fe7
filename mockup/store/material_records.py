"""What the store gives out of materials, stock and finished cups: plain records.

Amounts are exact fractions of the material's unit.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Any, Literal

from mockup.design.palette import Swatch
from mockup.design.products import AnyProduct

__all__ = ["Claim", "Finished", "Look", "Material", "Move", "MoveKind"]

MoveKind = Literal["bought", "used", "used as planned", "reserved", "given back", "counted"]
"""Used as planned is what nobody weighed, when its order is handed over."""


@dataclass(frozen=True, slots=True)
class Look:
    """How a material looks, as of `made_at`.

    `measured` holds facts of the measurement with its uncertainty; it is empty for a swatch that
    was chosen by eye. `photos` are those that it was measured from: name → hash.
    """

    id: int
    material_id: int
    swatch: Swatch
    measured: Mapping[str, Any]
    photos: Mapping[str, str]
    made_at: datetime


@dataclass(frozen=True, slots=True)
class Material:
    """One jar, sheet or bottle of the maker's, and what there is of it.

    `version` grows with every change of what is told of it; stock moves leave it alone. `away` is
    no longer on the shelf. `photo` is the hash of its picture.
    """

    id: int
    product: AnyProduct
    batch: str
    note: str
    look: Look | None
    photo: str | None
    away: bool
    on_hand: Fraction
    reserved: Fraction
    version: int
    made_at: datetime

    @property
    def name(self) -> str:
        """What the label says."""
        return self.product.name

    @property
    def unit(self) -> str:
        """What amounts of it are counted in."""
        return self.product.unit

    @property
    def free(self) -> Fraction:
        """What no order has reserved; below 0 is short by so much."""
        return self.on_hand - self.reserved


@dataclass(frozen=True, slots=True)
class Move:
    """One change of stock. `on_hand` and `reserved` are how much more there is, or less."""

    id: int
    material_id: int
    order_id: int | None
    kind: MoveKind
    on_hand: Fraction
    reserved: Fraction
    planned: Fraction | None
    price_minor: int | None
    note: str
    made_at: datetime


@dataclass(frozen=True, slots=True)
class Claim:
    """One material of one order: what its plan takes, what of it is still reserved, what was used.

    `planned` and `planned_net`, before loss, are None if nothing was ever reserved. `used` is what
    the maker told; `assumed` was used as planned.
    """

    material_id: int
    order_id: int
    planned: Fraction | None
    planned_net: Fraction | None
    reserved: Fraction
    used: Fraction
    assumed: Fraction


@dataclass(frozen=True, slots=True)
class Finished:
    """A finished cup's photo held against its proof. `photo` and `picture` are hashes."""

    id: int
    order_id: int
    revision: int | None
    fingerprint: str
    photo: str
    picture: str | None
    facts: Mapping[str, Any]
    made_at: datetime
