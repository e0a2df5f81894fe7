"""The stack as a cut through the wall: one band a layer, from the steel outward.

Where the document gives no thickness, a typical one stands in and says so.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from mockup.design.document import Design
from mockup.design.layers import (
    BaseLayer,
    CoatLayer,
    DecalLayer,
    GlitterLayer,
    WrapLayer,
    layer_title,
)
from mockup.outputs.proof_facts import chip_colours
from mockup.skin.artwork import read_artwork
from mockup.skin.relief import SHEET_MM

__all__ = ["Band", "wall_section"]

Chips = Mapping[str, tuple[int, int, int]]

# Typical thicknesses, mm: two coats of sprayed paint, a flake's film, vinyl, foil with its adhesive
PAINT_MM, FLAKE_MM, VINYL_MM, FOIL_MM = 0.06, 0.05, 0.07, 0.10
STEEL_MM = 0.5  # the outer wall of an insulated cup
_COLOURS_ROUND = 24  # how many of a wrap's colours are shown


@dataclass(frozen=True, slots=True)
class Band:
    """One layer as the cut shows it.

    Attributes
    ----------
    index
        Of the layer; None for the steel.
    thickness_mm, typical
        As the document has it, or typical.
    colours : ((r, g, b), share)
        sRGB codes of what it is made of, and shares that sum to 1.
    covers
        Share of the wall that it hides where it is densest; 1 for what covers all.
    note
        What else tells it apart, such as a glitter's cut.
    """

    index: int | None
    kind: str
    title: str
    thickness_mm: float
    typical: bool
    colours: tuple[tuple[tuple[int, int, int], float], ...]
    covers: float = 1.0
    note: str = ""
    flake_mm: float = 0.0


def wall_section(design: Design) -> tuple[Band, ...]:
    """The bands from the steel outward.

    Raises
    ------
    AssetError
        Artwork cannot be read.
    """
    chips = chip_colours(design)
    steel = Band(None, "steel", "Steel", STEEL_MM, True, (((176, 180, 184), 1.0),))
    return (steel, *_bands(design, chips))


def _bands(design: Design, chips: Chips) -> Iterator[Band]:
    for index, layer in enumerate(design.document.layers):
        title = layer_title(layer)
        match layer:
            case BaseLayer():
                whole = ((chips[layer.swatch], 1.0),)
                yield Band(index, "base", title, PAINT_MM, True, whole, note=layer.gloss)
            case WrapLayer():
                colours = _colours_round(design, layer, index)
                thick, note = SHEET_MM[layer.sheet], layer.sheet
                yield Band(index, "wrap", title, thick, True, colours, note=note)
            case GlitterLayer():
                yield _flakes(layer, index, title, chips)
            case DecalLayer():
                yield _decal(design, layer, index, title, chips)
            case CoatLayer():
                tint = chips.get(layer.tint or "", (238, 243, 245))
                thick = layer.thickness_mm
                yield Band(index, "coat", title, thick, False, ((tint, 1.0),), note=layer.gloss)


def _flakes(layer: GlitterLayer, index: int, title: str, chips: Chips) -> Band:
    total = sum(part.share for part in layer.mix)
    mix = tuple((chips[part.swatch], part.share / total) for part in layer.mix)
    bare = 1.0
    for shape in layer.coverage:
        ends = (shape.coverage_from, shape.coverage_to) if shape.shape == "fade" else ()
        bare *= 1 - max(ends or (getattr(shape, "coverage", 0.0),))
    cut = layer.flake_width_mm
    note = f"{cut:.2g} mm cut"
    return Band(index, "glitter", title, FLAKE_MM, True, mix, 1 - bare, note, cut)


def _decal(design: Design, layer: DecalLayer, index: int, title: str, chips: Chips) -> Band:
    """Sheets from the undermost backing up; the shape itself comes last."""
    roles = layer.sheet_swatches
    metals = [design.swatch(role, where="palette").metallic for role in roles]
    thick = sum(FOIL_MM if metal else VINYL_MM for metal in metals)
    colours = tuple((chips[role], 1 / len(roles)) for role in roles)
    note = "foil" if metals[-1] else "vinyl"
    return Band(index, "decal", title, thick, True, colours, covers=0.5, note=note)


def _colours_round(
    design: Design, layer: WrapLayer, index: int
) -> tuple[tuple[tuple[int, int, int], float], ...]:
    """Colours along the middle of the artwork's height, over white where it is clear."""
    place = f"layers[{index}].artwork"
    asset = design.asset(layer.artwork, where=place)
    small = read_artwork(asset, where=f"{design.where}: {place}", width_px=_COLOURS_ROUND)
    rgba = small.rgba8_srgb[small.rgba8_srgb.shape[0] // 2].astype(np.float64)
    opacity = rgba[:, 3:] / 255
    rgb = np.rint(rgba[:, :3] * opacity + 255 * (1 - opacity)).astype(int)
    return tuple(((int(r), int(g), int(b)), 1 / len(rgb)) for r, g, b in rgb)
