"""From a design that has been compiled and drawn to the facts of its proof."""

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from mockup.blank.wall import Blank
from mockup.design.document import Design
from mockup.design.layers import DecalLayer, WrapLayer
from mockup.design.palette import Swatch
from mockup.material.chip import chip_rgb8_srgb
from mockup.material.optics import Optics, compile_swatch
from mockup.outputs.facts import ProofFacts, Size, SwatchFact, View
from mockup.outputs.flat_picture import draw_flat
from mockup.skin.skin import Skin

__all__ = ["chip_colours", "proof_facts"]

LIP_ZONE_MM = 20.0  # outside, below the rim: ISO 6486 and ASTM C927


def proof_facts(
    design: Design,
    blank: Blank,
    skin: Skin,
    optics: Mapping[str, Optics],
    views: Mapping[str, NDArray[np.uint8]],
    *,
    light: str,
    flat_px_per_mm: float = 6.0,
    findings: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
) -> ProofFacts:
    """Gather what the proof states.

    Parameters
    ----------
    optics
        Compiled swatches; a role that is not among them is compiled here.
    views
        Label → picture, (rows, columns, 3 or 4) uint8, sRGB, opaque; the first is the large one.
    findings, cautions
        Sentences of the checks; what the cup's own sizes ask for is added.
    """
    chips = chip_colours(design, optics)
    return ProofFacts(
        title=design.document.title,
        palette=design.palette.name,
        fingerprint=design.fingerprint,
        light=light,
        views=tuple(View(label, picture[..., :3]) for label, picture in views.items()),
        flat=draw_flat(skin, blank.wall, chips, px_per_mm=flat_px_per_mm),
        swatches=tuple(_swatches(design, chips)),
        sizes=(*_cup_sizes(blank), *_piece_sizes(design, skin)),
        findings=findings,
        cautions=(*cautions, *_lip_caution(blank)),
    )


def chip_colours(
    design: Design, optics: Mapping[str, Optics] | None = None
) -> dict[str, tuple[int, int, int]]:
    """Colour of each role that the design uses: (r, g, b), sRGB codes, in its layers' order."""
    known = optics or {}
    chips = {}
    for role, where in design.roles():
        compiled = known.get(role) or compile_swatch(design.swatch(role, where=where))
        chips[role] = chip_rgb8_srgb(compiled)
    return chips


def _swatches(design: Design, chips: Mapping[str, tuple[int, int, int]]) -> Iterator[SwatchFact]:
    for role, chip in chips.items():
        swatch = design.swatch(role, where="palette")
        yield SwatchFact(role, swatch.label or role, _numbers(swatch), chip)


def _numbers(swatch: Swatch) -> str:
    if swatch.kind == "pigment":
        return swatch.srgb
    if swatch.kind == "spectrum":
        return f"spectrum, {swatch.nm[0]:g} to {swatch.nm[-1]:g} nm"
    if swatch.kind == "film":
        return f"{len(swatch.layers)} thin films on {swatch.metal}"
    clear = swatch.tint_srgb == "#ffffff"
    return f"{swatch.metal}, {'clear lacquer' if clear else f'lacquer {swatch.tint_srgb}'}"


def _cup_sizes(blank: Blank) -> Iterator[Size]:
    wall = blank.wall
    foot, rim = (2 * float(wall.radius_at(height)) for height in (0.0, wall.length_mm))
    if wall.kind == "cylinder":
        yield Size("Diameter", foot)
    else:
        yield Size("Diameter, foot of the wall", foot)
        yield Size("Diameter, rim of the wall", rim)
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
            yield Size(f"{_called(layer)}, height", layer.to_mm - layer.from_mm)
        if isinstance(layer, DecalLayer):
            for length_mm, what in (
                (layer.width_mm, "width"),
                (layer.height_mm, "height"),
                (layer.letter_height_mm, "letter height"),
            ):
                if length_mm is not None:
                    yield Size(f"{_called(layer)}, {what}", length_mm)
    if skin.clear.thickness_mm > 0:
        yield Size("Clear coats together", skin.clear.thickness_mm)


def _called(layer: WrapLayer | DecalLayer) -> str:
    name = layer.name or layer.kind
    return name[:1].upper() + name[1:]


def _lip_caution(blank: Blank) -> tuple[str, ...]:
    if blank.rim_gap_mm >= LIP_ZONE_MM:
        return ()
    return (
        f"The decoration ends {blank.rim_gap_mm:.1f} mm below the rim. Standards for food ware "
        f"(ISO 6486, ASTM C927) count the outer {LIP_ZONE_MM:.0f} mm as the lip zone: there, only "
        "products approved for food contact, cured as their data sheets state.",
    )
