"""Field types that several parts of the document share."""

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

__all__ = [
    "AngleDeg",
    "AssetName",
    "Gloss",
    "Hex",
    "Label",
    "Name",
    "Part",
    "Share",
    "stays_inside",
]


def stays_inside(name: str) -> str:
    """Refuse an asset's name that climbs out of the folder or spells its way in a second manner.

    Raises
    ------
    ValueError
        A part of it is empty or starts with a dot. As in every validator of the document, the text
        says what is wrong and then, after a semicolon, what to do.
    """
    if any(part == "" or part.startswith(".") for part in name.split("/")):
        raise ValueError(
            f"{name!r} is not a plain path; name a file below assets/, such as assets/bunting.svg"
        )
    return name


def _lower(value: object) -> object:
    return value.strip().lower() if isinstance(value, str) else value


Hex = Annotated[
    str,
    BeforeValidator(_lower),
    Field(pattern=r"^#[0-9a-f]{6}$", description="sRGB colour such as #0b2545."),
]
_ON_ONE_LINE = r"^[^\x00-\x1f\x7f]*$"
Name = Annotated[str, Field(min_length=1, max_length=80, pattern=_ON_ONE_LINE)]
Label = Annotated[str, Field(max_length=80, pattern=_ON_ONE_LINE)]
AssetName = Annotated[
    str,
    Field(
        pattern=r"^assets/[^/\\\x00-\x1f][^\\\x00-\x1f]*$",
        max_length=200,
        description="A file below the design's assets/ folder, such as assets/bunting.svg.",
    ),
    AfterValidator(stays_inside),
]
AngleDeg = Annotated[float, Field(ge=-360, le=360)]
Share = Annotated[float, Field(ge=0, le=1)]
Gloss = Literal["flat", "satin", "gloss"]


class Part(BaseModel):
    """A part of the document: frozen, strict, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
