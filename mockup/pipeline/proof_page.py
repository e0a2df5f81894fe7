"""From a design to the page on which the customer turns the cup and answers."""

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees

import numpy as np
from numpy.typing import NDArray

from mockup.design.document import Design
from mockup.errors import OutputError
from mockup.outputs.facts import LightFact, ProofFacts
from mockup.outputs.page.hold import Hold
from mockup.outputs.page.page import CloserView, PageOption, Seal, lay_out_page
from mockup.outputs.proof_facts import chip_colours, light_fact
from mockup.outputs.proof_swatches import swatch_facts
from mockup.pipeline.cup import Cup, Quiet, Shot, build_cup, part, render_cup
from mockup.pipeline.proof_draw import Terms, draw_facts, findings_of
from mockup.pipeline.proof_views import close_up_of
from mockup.progress import Progress
from mockup.render.lights import illuminant_of, light_label
from mockup.render.process import RenderProcess
from mockup.render.web.parcel import Packer
from mockup.shading.table import foil_quality

__all__ = ["Page", "fresh_seal", "proof_page"]

TEXEL_MM = 0.18  # of the page's maps: a phone shows .14 mm a pixel, edges are kept as distances
STILL_PX = (540, 720)
LIGHTS = ("window", "kitchen", "softbox")  # beside the design's own: by day, lamp-lit, a studio
MOST_LIGHTS = 3
WHOLE = 1.2  # the height that a whole view shows, in heights of the cup


@dataclass(frozen=True, slots=True)
class Page:
    """The page, what it states of its first option, and what the maker should be told."""

    html: bytes
    facts: ProofFacts
    notes: tuple[str, ...]


def fresh_seal(title: str) -> Seal:
    """A seal for a proof that no order book knows of: a number and key of its own."""
    return Seal(secrets.token_hex(6), secrets.token_bytes(32), title, 1)


def proof_page(
    design: Design,
    seal: Seal,
    *,
    palettes: Sequence[str] = (),
    light: str | None = None,
    revision: str = "",
    terms: Terms | None = None,
    progress: Progress = Quiet,
) -> Page:
    """Draw a design and lay out its page.

    Parameters
    ----------
    seal
        What answers are signed with: of a proof in the order book, or a `fresh_seal`.
    palettes
        The options that the customer may choose from, the one shown first at the head; none is
        the palette in use alone.
    light
        What it is shown in at first; else the design's own.
    revision
        What the order book calls it, such as ``revision 3``.

    Raises
    ------
    UnknownName, DesignError
        A palette is not at hand or does not suit the layers.
    OutputError
        The page would be larger than mail takes well, even in one light.
    """
    named = tuple(dict.fromkeys(palettes or [design.document.palette]))
    options = [design.with_palette(name) for name in named]
    own = light or design.document.light
    lights = list(dict.fromkeys((own, *LIGHTS)))[:MOST_LIGHTS]
    cup = build_cup(options[0], progress=part(progress, 0.0, 0.1))
    with RenderProcess() as renderer:
        facts = draw_facts(
            cup,
            renderer,
            light=own,
            terms=terms or Terms(),
            revision=revision,
            hero_px=STILL_PX,  # the page shows it until the cup is there to turn
            progress=part(progress, 0.1, 0.6),
        )
        shown = [_option(cup, facts.findings, facts.hero.rgb8_srgb)]
        for nth, name in enumerate(named[1:], start=1):
            progress(0.6 + 0.1 * nth / len(named), f"drawing {name}")
            other = cup.with_palette(name)
            found = findings_of(other, renderer, light=own)
            still = render_cup(other, Shot(*STILL_PX), renderer, light=own).rgba8_srgb[..., :3]
            shown.append(_option(other, found, still))
    hold, told = _packed(options, lights, progress=part(progress, 0.7, 0.97))
    page = _small_enough(facts, shown, told, hold, _closer(cup), seal)
    progress(1.0, "done")
    return page


def _small_enough(
    facts: ProofFacts,
    options: Sequence[PageOption],
    lights: Sequence[LightFact],
    hold: Hold,
    closer: CloserView,
    seal: Seal,
) -> Page:
    """The page in as many of the lights as it has room for, the first of all."""
    kept = list(lights)
    notes: list[str] = []
    while True:
        try:
            return Page(lay_out_page(facts, options, kept, hold, closer, seal), facts, tuple(notes))
        except OutputError:
            if len(kept) == 1:
                raise
        left_out = kept.pop()
        hold.drop(left_out)
        notes.append(f"Left out {left_out.name} light, so that the page stays small.")


def _option(cup: Cup, findings: tuple[str, ...], still: NDArray[np.uint8]) -> PageOption:
    design = cup.design
    swatches = tuple(swatch_facts(design, chip_colours(design, cup.optics())))
    return PageOption(design.palette.name, design.fingerprint, swatches, findings, still)


def _packed(
    options: Sequence[Design], lights: Sequence[str], *, progress: Progress
) -> tuple[Hold, list[LightFact]]:
    """The cup for every option in every light."""
    first = build_cup(options[0], texel_mm=TEXEL_MM, progress=part(progress, 0.0, 0.4))
    packer, hold = Packer(), Hold()
    told = [light_fact(light_label(light)) for light in lights]
    foil = foil_quality(first.model.skin, first.optics())
    for nth, (light, fact) in enumerate(zip(lights, told, strict=True)):
        progress(0.4 + 0.6 * nth / len(lights), f"packing {fact.name} light")
        for index, option in enumerate(options):
            cup = first.with_palette(option.document.palette)
            table = cup.table(illuminant_of(light))
            parcel = packer.pack(cup.model, cup.blank.wall, table, light, foil)
            hold.add(index, fact, parcel)
    return hold, told


def _closer(cup: Cup) -> CloserView:
    aim = close_up_of(cup)
    zoom = max(WHOLE * cup.model.height_mm / aim.field_mm, 1.0)
    return CloserView(degrees(aim.turn_rad), aim.height_mm, zoom)
