"""From a design that has been compiled and drawn to the facts of its proof."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from mockup.blank.wall import Blank
from mockup.design.document import Design
from mockup.design.layers import AnyLayer, DecalLayer, WrapLayer, layer_title
from mockup.material.chip import chip_rgb8_srgb
from mockup.material.optics import Optics, compile_swatch
from mockup.outputs.facts import Elevation, LightFact, ProofFacts, Quote, Size, View
from mockup.outputs.flat_picture import FlatColours, draw_flat
from mockup.outputs.proof_swatches import swatch_facts
from mockup.outputs.proof_words import (
    COAT_DIFFERS,
    FLAKES_DIFFER,
    FOIL_DIFFERS,
    LIGHTS,
    OWN_LIGHT,
    SCREENS_DIFFER,
    SEAM_DIFFERS,
)
from mockup.skin.skin import Skin

__all__ = ["Pictures", "chip_colours", "flat_colours", "layer_name", "light_fact", "proof_facts"]

LIP_ZONE_MM = 20.0  # outside, below the rim: ISO 6486 and ASTM C927


@dataclass(frozen=True, slots=True, eq=False)
class Pictures:
    """What was drawn for a proof."""

    hero: View
    sides: tuple[View, ...]
    close_up: View
    elevation: Elevation


def proof_facts(
    design: Design,
    blank: Blank,
    skin: Skin,
    optics: Mapping[str, Optics],
    pictures: Pictures,
    *,
    light: str,
    flat_px_per_mm: float = 6.0,
    findings: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
    quote: Quote | None = None,
    revision: str = "",
) -> ProofFacts:
    """Gather what the proof states.

    Parameters
    ----------
    optics
        Compiled swatches; a role that is not among them is compiled here.
    light
        Its label.
    findings, cautions
        Sentences of the checks; what the cup's own sizes ask for is added.
    revision
        What the order book calls it.
    """
    colours = flat_colours(design, optics)
    return ProofFacts(
        title=design.document.title,
        note=design.document.note,
        palette=design.palette.name,
        fingerprint=design.fingerprint,
        light=light_fact(light),
        hero=pictures.hero,
        sides=pictures.sides,
        close_up=pictures.close_up,
        elevation=pictures.elevation,
        flat=draw_flat(skin, blank.wall, colours, px_per_mm=flat_px_per_mm),
        swatches=tuple(swatch_facts(design, colours.chips)),
        sizes=(*_cup_sizes(blank), *_piece_sizes(design, skin)),
        findings=findings,
        differences=tuple(_differences(design, skin)),
        cautions=(*cautions, *_lip_caution(blank)),
        quote=quote,
        revision=revision,
        glitters=bool(skin.flakes),
    )


def light_fact(label: str) -> LightFact:
    """A light's label with what it is in plain words."""
    return LightFact(label, LIGHTS.get(label, OWN_LIGHT))


def _differences(design: Design, skin: Skin) -> Iterator[str]:
    """What may differ in the piece made by hand, of what this design has."""
    if skin.flakes:
        yield FLAKES_DIFFER
    sheets = {sheet.role for sheet in skin.sheets}
    if any(design.swatch(role, where="palette").metallic for role in sheets):
        yield FOIL_DIFFERS
    if any(isinstance(layer, WrapLayer) for layer in design.document.layers):
        yield SEAM_DIFFERS
    yield SCREENS_DIFFER
    if skin.clear.thickness_mm > 0:
        yield COAT_DIFFERS


def chip_colours(
    design: Design, optics: Mapping[str, Optics] | None = None
) -> dict[str, tuple[int, int, int]]:
    """Colour of each role that the design uses: (r, g, b), sRGB codes, in its layers' order."""
    return {role: chip_rgb8_srgb(one) for role, one in _compiled(design, optics).items()}


def flat_colours(design: Design, optics: Mapping[str, Optics] | None = None) -> FlatColours:
    """What the design's flat is drawn in: light passes a clear film in and out."""
    compiled = _compiled(design, optics)
    clear = {role: o.transmittance**2 for role, o in compiled.items() if o.transmittance.any()}
    return FlatColours(chip_colours(design, compiled), clear)


def _compiled(design: Design, optics: Mapping[str, Optics] | None) -> dict[str, Optics]:
    """Optics of each role that the design uses, known or compiled, in its layers' order."""
    known = optics or {}
    return {
        role: known.get(role) or compile_swatch(design.swatch(role, where=where))
        for role, where in design.roles()
    }


def _cup_sizes(blank: Blank) -> Iterator[Size]:
    wall = blank.wall
    foot, rim = (2 * float(wall.radius_at(height)) for height in (0.0, wall.length_mm))
    if wall.kind == "cylinder":
        yield Size("Diameter", foot)
    else:
        yield Size("Diameter, foot of the wall", foot)
        yield Size("Diameter, rim of the wall", rim)
    yield Size("Height of the cup", blank.total_height_mm)
    slanting = "" if wall.kind == "cylinder" else ", along the wall"
    yield Size(f"Decorated height{slanting}", wall.length_mm)
    if wall.kind == "cylinder":
        yield Size("Once round", np.pi * foot)
    yield Size("Bare steel at the foot", blank.foot_gap_mm)
    yield Size("Bare steel at the rim", blank.rim_gap_mm)


def _piece_sizes(design: Design, skin: Skin) -> Iterator[Size]:
    """What the document says of wraps and decals, and the coats together."""
    for layer in design.document.layers:
        if isinstance(layer, WrapLayer) and layer.to_mm is not None:
            yield Size(f"{layer_name(layer)}, height", layer.to_mm - layer.from_mm)
        if isinstance(layer, DecalLayer):
            for length_mm, what in (
                (layer.width_mm, "width"),
                (layer.height_mm, "height"),
                (layer.letter_height_mm, "letter height"),
            ):
                if length_mm is not None:
                    yield Size(f"{layer_name(layer)}, {what}", length_mm)
    if skin.clear.thickness_mm > 0:
        yield Size("Clear coats together", skin.clear.thickness_mm)


def layer_name(layer: AnyLayer) -> str:
    """What a layer is called before a customer, with a capital."""
    name = layer_title(layer)
    return name[:1].upper() + name[1:]


def _lip_caution(blank: Blank) -> tuple[str, ...]:
    if blank.rim_gap_mm >= LIP_ZONE_MM:
        return ()
    return (
        f"The decoration ends {blank.rim_gap_mm:.1f} mm below the rim. Standards for food ware "
        f"(ISO 6486, ASTM C927) count the outer {LIP_ZONE_MM:.0f} mm as the lip zone: there, only "
        "products approved for food contact, cured as their data sheets state.",
    )
