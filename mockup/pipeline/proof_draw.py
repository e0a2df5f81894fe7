"""What a proof states of a cup: pictures, findings, sizes, the price if it is wanted."""

from dataclasses import dataclass
from pathlib import Path

from mockup.outputs.facts import ProofFacts, Quote
from mockup.outputs.plan.making import making
from mockup.outputs.proof_facts import proof_facts
from mockup.outputs.proof_findings import customer_words
from mockup.outputs.quote import quote_of
from mockup.pipeline.checking import Views, judge
from mockup.pipeline.cup import Cup, Quiet, part
from mockup.pipeline.materials import shelf_of
from mockup.pipeline.proof_views import HERO_PX, proof_pictures
from mockup.progress import Progress
from mockup.render.lights import light_label
from mockup.render.process import RenderProcess

__all__ = ["Terms", "draw_facts", "findings_of", "quote_for"]

TURNS, ELEVATION_DEG = 8, 10.0  # from where it is seen whether lettering fades out


@dataclass(frozen=True, slots=True)
class Terms:
    """What a proof says of the price: of so many cups, by this shelf.

    `cups` None shows no price; `shelf` None takes the maker's own, or the typical one.
    """

    cups: int | None = None
    shelf: Path | None = None


def draw_facts(
    cup: Cup,
    renderer: RenderProcess,
    *,
    light: str,
    terms: Terms,
    revision: str = "",
    hero_px: tuple[int, int] = HERO_PX,
    progress: Progress = Quiet,
) -> ProofFacts:
    """Draw what a proof shows of a cup, and gather what it states.

    Parameters
    ----------
    revision
        What the order book calls it, such as ``revision 3``.
    hero_px
        Width and height of the large picture.
    """
    pictures = proof_pictures(
        cup, renderer, light=light, hero_px=hero_px, progress=part(progress, 0.0, 0.7)
    )
    findings = findings_of(cup, renderer, light=light, progress=part(progress, 0.7, 0.9))
    progress(0.9, "drawing the flat")
    return proof_facts(
        cup.design,
        cup.blank,
        cup.model.skin,
        cup.optics(),
        pictures,
        light=light_label(light),
        findings=findings,
        quote=quote_for(cup, terms),
        revision=revision,
    )


def findings_of(
    cup: Cup, renderer: RenderProcess, *, light: str, progress: Progress = Quiet
) -> tuple[str, ...]:
    """What the checks say of its lettering under its palette, in a customer's words."""
    views = Views(turns=TURNS, elevations_deg=(ELEVATION_DEG,), lights=(light,))
    judged = judge(cup, renderer, views=views, progress=progress)
    return customer_words(cup.design, judged.findings)


def quote_for(cup: Cup, terms: Terms) -> Quote | None:
    """The price that the terms ask for."""
    if terms.cups is None:
        return None
    shelf = shelf_of(terms.shelf)
    return quote_of(making(cup.design, cup.blank, shelf, cups=terms.cups).price, shelf.rates)
