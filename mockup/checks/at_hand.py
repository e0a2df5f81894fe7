"""Swatches that could take another's place: those of every palette at hand, by what they are."""

from collections.abc import Iterator, Mapping
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.design.document import Design
from mockup.design.palette import Swatch
from mockup.material.optics import compile_swatch
from mockup.shading.even_light import swatch_colour

__all__ = [
    "Form",
    "are_alike",
    "called",
    "even_colour",
    "form_of",
    "forms_of",
    "swatches_by_distance",
]

Floats = NDArray[np.float64]
Form = Literal["sheet", "flakes", "paint"]


def swatches_by_distance(
    design: Design, colour: Floats, depth_mm: float, form: Form
) -> list[tuple[float, Swatch]]:
    """Every swatch of a form with its ΔE00 from a colour, nearest first; alike ones once."""
    here = lab_from_linear_srgb(np.clip(colour, 0, None))
    found: list[tuple[float, Swatch]] = []
    seen: set[str] = set()
    for swatch in _at_hand(design, form):
        key = _key(swatch)
        if key not in seen:
            seen.add(key)
            there = even_colour(swatch, depth_mm, flakes=form == "flakes")
            apart = delta_e_2000(here, lab_from_linear_srgb(np.clip(there, 0, None)))
            found.append((float(apart), swatch))
    return sorted((item for item in found if item[0] > 0), key=lambda item: item[0])


def _at_hand(design: Design, form: Form) -> Iterator[Swatch]:
    """The palette's own first. Gratings and clear films have no one colour to judge by."""
    forms, own = forms_of(design), design.palette
    for palette in (own, *(p for _, p in sorted(design.palettes.items()) if p.name != own.name)):
        for role, swatch in palette.roles.items():
            clear = swatch.kind == "film" and swatch.metal == "none"
            if form_of(role, forms) == form and swatch.kind != "hologram" and not clear:
                yield swatch


def forms_of(design: Design) -> dict[str, Form]:
    """What each role that the design uses is; palettes give the same roles the same materials."""
    forms: dict[str, Form] = {}
    for layer in design.document.layers:
        if layer.kind == "base":
            forms[layer.swatch] = "paint"
        elif layer.kind == "glitter":
            forms |= {part.swatch: "flakes" for part in layer.mix}
        elif layer.kind == "decal":
            forms |= dict.fromkeys(layer.sheet_swatches, "sheet")
    return forms


def form_of(role: str, forms: Mapping[str, Form]) -> Form:
    """What a role is: as the design uses it, or as its name says."""
    if role in forms:
        return forms[role]
    if "glitter" in role or "flake" in role:
        return "flakes"
    return "paint" if "base" in role or "paint" in role else "sheet"


def even_colour(swatch: Swatch, depth_mm: float, *, flakes: bool = False) -> Floats:
    """Its colour in even light under so much resin: (3,) float64, linear sRGB."""
    return swatch_colour(compile_swatch(swatch), depth_mm, flakes=flakes)


def _key(swatch: Swatch) -> str:
    return swatch.model_dump_json(exclude={"label", "source"})


def are_alike(one: Swatch, other: Swatch) -> bool:
    """Whether two swatches look the same, whatever they are called."""
    return _key(one) == _key(other)


def called(swatch: Swatch) -> str:
    """What its jar or sheet says."""
    return swatch.label or swatch.kind
