"""The palette in a customer's words: what each material is used as, how it shines, its numbers."""

from collections.abc import Iterator, Mapping

from mockup.design.document import Design
from mockup.design.palette import Swatch
from mockup.outputs.facts import SwatchFact

__all__ = ["swatch_facts"]

_BRUSHED = 0.3  # anisotropy; below it lines hardly show
_MIRROR, _SOFT = 0.2, 0.42  # perceptual roughness: below it foil mirrors, above it looks brushed


def swatch_facts(design: Design, chips: Mapping[str, tuple[int, int, int]]) -> Iterator[SwatchFact]:
    """The roles that the design uses, from the steel outward.

    Parameters
    ----------
    chips
        Colour of each role, three sRGB codes.
    """
    uses = _uses(design)
    for role, chip in chips.items():
        swatch = design.swatch(role, where="palette")
        finish = "; ".join(uses[role])
        name = swatch.label or role
        yield SwatchFact(role, name, finish, _numbers(swatch), swatch.source, chip)


def _uses(design: Design) -> dict[str, list[str]]:
    """What each role is used as, each use once; flakes with their cuts together."""
    found: dict[str, dict[str, None]] = {}
    cuts_mm: dict[str, list[float]] = {}

    def used(role: str, as_what: str) -> None:
        found.setdefault(role, {})[as_what] = None

    for layer in design.document.layers:
        if layer.kind == "base":
            used(layer.swatch, f"Base coat of paint, {_GLOSS[layer.gloss]}")
        elif layer.kind == "glitter":
            for part in layer.mix:
                cuts_mm.setdefault(part.swatch, []).append(layer.flake_width_mm)
        elif layer.kind == "decal":
            for role in layer.sheet_swatches:
                used(role, _sheet(design.swatch(role, where="palette")))
        elif layer.kind == "coat" and layer.tint is not None:
            used(layer.tint, "Tint in the clear coat")
    for role, cuts in cuts_mm.items():
        used(role, _flakes(design.swatch(role, where="palette"), sorted(set(cuts))))
    return {role: list(uses) for role, uses in found.items()}


_GLOSS = {"flat": "matt", "satin": "satin", "gloss": "glossy"}


def _sheet(swatch: Swatch) -> str:
    if swatch.kind == "pigment" or swatch.kind == "spectrum":
        return "Vinyl, matt"
    if swatch.kind == "film":
        sheet = "Clear film" if swatch.metal == "none" else "Foil"
        return f"{sheet} whose colour shifts with the angle"
    if swatch.kind == "hologram":
        return "Holographic foil, rainbow sparkle"
    if swatch.kind == "metal" and swatch.specular_roughness_anisotropy > _BRUSHED:
        return f"Foil, brushed {'round the cup' if swatch.brushed == 'round' else 'up the wall'}"
    if swatch.specular_roughness <= _MIRROR:
        return "Foil, nearly a mirror"
    return "Foil, bright" if swatch.specular_roughness < _SOFT else "Foil, soft as if brushed"


def _flakes(swatch: Swatch, cuts_mm: list[float]) -> str:
    cuts = " and ".join(f"{cut:.2g}" for cut in cuts_mm)
    kinds = {"film": "colour-shifting", "hologram": "holographic", "metal": "metallic"}
    return f"Glitter, {kinds.get(swatch.kind, 'matt')}, {cuts} mm"


def _numbers(swatch: Swatch) -> str:
    if swatch.kind == "pigment":
        return "paint or print of this colour"
    if swatch.kind == "spectrum":
        return f"measured from {swatch.nm[0]:g} to {swatch.nm[-1]:g} nm"
    if swatch.kind == "film":
        films = "a thin film" if len(swatch.layers) == 1 else f"{len(swatch.layers)} thin films"
        return films if swatch.metal == "none" else f"{films} on {swatch.metal}"
    clear = swatch.tint_srgb == "#ffffff"
    return f"{swatch.metal} under {'clear lacquer' if clear else f'lacquer {swatch.tint_srgb}'}"
