"""How long a laid film takes to dry and cure, and how a cold room slows it."""

from typing import Annotated

from pydantic import Field, model_validator

from mockup.design.fields import Part

__all__ = ["Drying"]

_SLOWER = 1.5  # "slower by about half": half again as long for each `slowing_c` colder
Hours = Annotated[float, Field(ge=0, le=2000)]


class Drying(Part):
    """How long a laid film takes, hours at `reference_c`.

    Between `recoat_from_h` and `recoat_until_h` the next layer goes straight on. Later it has to
    be sanded first, from `sand_from_h` on; without a `recoat_until_h` it may wait. `cure_h` is
    until the cup may be used.
    """

    touch_dry_h: Hours = Field(description="Until it may be touched and taped.")
    recoat_from_h: Hours = Field(description="Earliest for the next layer.")
    recoat_until_h: Hours | None = Field(None, description="Latest without sanding.")
    sand_from_h: Hours | None = Field(None, description="Hard enough to sand; else recoat_from_h.")
    cure_h: Hours = Field(description="Until the cup may be used.")
    reference_c: float = Field(22.0, ge=5, le=40, description="Room temperature of these hours.")
    slowing_c: float = Field(
        6.5, ge=2, le=20, description="Colder by so much, it takes half again as long."
    )
    least_c: float = Field(15.0, ge=-10, le=40, description="Not to be used in a colder room.")
    most_c: float = Field(30.0, ge=5, le=60, description="Not to be used in a warmer room.")

    @model_validator(mode="after")
    def _in_order(self) -> "Drying":
        if self.touch_dry_h > self.recoat_from_h:
            raise ValueError(
                "recoat_from_h is before touch_dry_h; give a recoat time after it is touch dry"
            )
        if self.recoat_until_h is not None and self.recoat_until_h <= self.recoat_from_h:
            raise ValueError(
                "recoat_until_h is not after recoat_from_h; give a window that opens before it ends"
            )
        if self.cure_h < self.recoat_from_h:
            raise ValueError("cure_h is before recoat_from_h; give the hours to full cure")
        if self.sand_from_h is not None and self.sand_from_h > self.cure_h:
            raise ValueError("sand_from_h is after cure_h; give the hours until it can be sanded")
        if self.least_c >= self.most_c:
            raise ValueError("least_c is not below most_c; give the lower temperature as least_c")
        return self

    def factor(self, room_c: float) -> float:
        """How many times as long everything takes at `room_c`; 1 at `reference_c`."""
        return float(_SLOWER ** ((self.reference_c - room_c) / self.slowing_c))
