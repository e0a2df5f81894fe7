"""The blank as the document describes it. Every length measures the wall, the decorated part.

Heights start at the wall's foot; the foot gap lies below it and the rim gap above it, both bare
steel that go on in the same direction.
"""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from mockup.design.fields import Name, Part

__all__ = ["BlankSpec", "LibraryBlank", "ProfileBlank", "StraightBlank", "TaperedBlank"]

_Diameter = Annotated[float, Field(gt=10, lt=400)]
_Around = Annotated[float, Field(gt=30, lt=1300)]
_Height = Annotated[float, Field(gt=5, lt=600)]


class _Gaps(Part):
    foot_gap_mm: float = Field(6.0, ge=0, le=80, description="Bare steel below the wall.")
    rim_gap_mm: float = Field(8.0, ge=0, le=80, description="Bare steel above the wall.")
    lid: bool = Field(False, description="Show a plain lid.")
    capacity_ml: float | None = Field(None, gt=0, lt=10_000)


class StraightBlank(_Gaps):
    """A straight cup: diameter by calipers or circumference by tape."""

    shape: Literal["straight"] = "straight"
    diameter_mm: _Diameter | None = None
    circumference_mm: _Around | None = None
    wall_height_mm: _Height

    @model_validator(mode="after")
    def _one_measure(self) -> "StraightBlank":
        _exactly_one(self, "diameter_mm", "circumference_mm")
        return self


class TaperedBlank(_Gaps):
    """A tapered cup; its height is upright (calipers) or slant (a strip of paper on the wall)."""

    shape: Literal["tapered"] = "tapered"
    foot_diameter_mm: _Diameter | None = None
    foot_circumference_mm: _Around | None = None
    rim_diameter_mm: _Diameter | None = None
    rim_circumference_mm: _Around | None = None
    wall_height_mm: _Height | None = None
    slant_height_mm: _Height | None = None

    @model_validator(mode="after")
    def _one_measure_each(self) -> "TaperedBlank":
        _exactly_one(self, "foot_diameter_mm", "foot_circumference_mm")
        _exactly_one(self, "rim_diameter_mm", "rim_circumference_mm")
        _exactly_one(self, "wall_height_mm", "slant_height_mm")
        return self


class ProfileBlank(_Gaps):
    """Any cup turned on a lathe: (height, radius) pairs from calipers, foot of the wall first."""

    shape: Literal["profile"] = "profile"
    points_mm: tuple[tuple[float, float], ...] = Field(
        min_length=2, max_length=200, description="[height, radius] in mm, height from 0 upward."
    )


class LibraryBlank(Part):
    """A generic blank of the library, by name; sizes are typical, so measure yours."""

    shape: Literal["library"] = "library"
    name: Name
    lid: bool = False


def _exactly_one(part: Part, first: str, second: str) -> None:
    given = [n for n in (first, second) if getattr(part, n) is not None]
    if len(given) != 1:
        raise ValueError(
            f"one measure is needed, not {len(given)} of them; give either {first} or {second}"
        )


BlankSpec = Annotated[
    StraightBlank | TaperedBlank | ProfileBlank | LibraryBlank, Field(discriminator="shape")
]
