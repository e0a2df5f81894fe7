"""Field types that several parts of the document share."""

from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

__all__ = ["AngleDeg", "AssetName", "Gloss", "Hex", "Name", "Part", "Share"]


def _lower(value: object) -> object:
    return value.strip().lower() if isinstance(value, str) else value


Hex = Annotated[
    str,
    BeforeValidator(_lower),
    Field(pattern=r"^#[0-9a-f]{6}$", description="sRGB colour such as #0b2545."),
]
Name = Annotated[str, Field(min_length=1, max_length=80)]
AssetName = Annotated[
    str,
    Field(
        pattern=r"^assets/[^/\\\x00-\x1f][^\\\x00-\x1f]*$",
        max_length=200,
        description="A file below the design's assets/ folder, such as assets/bunting.svg.",
    ),
]
AngleDeg = Annotated[float, Field(ge=-360, le=360)]
Share = Annotated[float, Field(ge=0, le=1)]
Gloss = Literal["flat", "satin", "gloss"]


class Part(BaseModel):
    """A part of the document: frozen, strict, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
