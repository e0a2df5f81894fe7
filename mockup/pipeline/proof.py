"""From a design file to the proof that the customer approves."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from mockup.design.document import Design
from mockup.design.shelf import read_shelf
from mockup.files import write_whole
from mockup.outputs.facts import ProofFacts, Quote
from mockup.outputs.page_pictures import page_pictures
from mockup.outputs.pictures import write_picture
from mockup.outputs.plan.making import making
from mockup.outputs.proof import lay_out_proof
from mockup.outputs.proof_facts import proof_facts
from mockup.outputs.quote import quote_of
from mockup.pipeline.cup import Cup, Quiet, build_cup, opened, part
from mockup.pipeline.proof_views import proof_pictures
from mockup.progress import Progress
from mockup.render.lights import light_label
from mockup.render.process import RenderProcess

__all__ = ["Terms", "Written", "proof", "proof_facts_of"]


@dataclass(frozen=True, slots=True)
class Terms:
    """What goes on a proof beside the design: the price of so many cups, by this shelf.

    `cups` None shows no price; `shelf` None takes the maker's own, or the typical one.
    """

    cups: int | None = None
    shelf: Path | None = None


@dataclass(frozen=True, slots=True)
class Written:
    """The files of a proof, and what the maker should be told of them."""

    files: tuple[Path, ...]
    notes: tuple[str, ...]


def proof(
    path: Path,
    output: Path,
    *,
    paper: Literal["a4", "letter"] = "a4",
    palette: str | None = None,
    light: str | None = None,
    terms: Terms | None = None,
    progress: Progress = Quiet,
) -> Written:
    """Read a design and write the proof for the customer.

    Parameters
    ----------
    output
        Its ending says what it becomes: .pdf the sheet; .png its pages as pictures, the first
        under this name, the others as NAME-2.png and so on.
    """
    terms = terms or Terms()
    design = opened(path, palette, light)
    with RenderProcess() as renderer:
        renderer.start()
        cup = build_cup(design, progress=part(progress, 0.0, 0.2))
        facts = proof_facts_of(
            cup,
            renderer,
            light=light or design.document.light,
            quote=_quote(design, cup, terms),
            progress=part(progress, 0.2, 0.9),
        )
    progress(0.92, "laying out the sheet")
    sheet = lay_out_proof(facts, paper=paper)
    files = _write_pages(sheet.pdf, output) if output.suffix.lower() == ".png" else (output,)
    if files == (output,):
        write_whole(output, sheet.pdf)
    progress(1.0, "done")
    notes = [f"The sheet's type has no {' '.join(sheet.missing_letters)}; boxes stand for it."]
    return Written(files, tuple(notes if sheet.missing_letters else ()))


def proof_facts_of(
    cup: Cup,
    renderer: RenderProcess,
    *,
    light: str,
    quote: Quote | None = None,
    revision: str = "",
    progress: Progress = Quiet,
) -> ProofFacts:
    """Draw what a proof shows of a cup, and gather what it states.

    Parameters
    ----------
    revision
        What the order book calls it, such as ``revision 3``.
    """
    pictures = proof_pictures(cup, renderer, light=light, progress=part(progress, 0.0, 0.9))
    progress(0.9, "drawing the flat")
    return proof_facts(
        cup.design,
        cup.blank,
        cup.model.skin,
        cup.optics(),
        pictures,
        light=light_label(light),
        quote=quote,
        revision=revision,
    )


def _quote(design: Design, cup: Cup, terms: Terms) -> Quote | None:
    if terms.cups is None:
        return None
    shelf = read_shelf(terms.shelf)
    return quote_of(making(design, cup.blank, shelf, cups=terms.cups).price, shelf.rates)


def _write_pages(pdf: bytes, output: Path) -> tuple[Path, ...]:
    written = []
    for nth, picture in enumerate(page_pictures(pdf), start=1):
        path = output if nth == 1 else output.with_stem(f"{output.stem}-{nth}")
        write_picture(picture, path)
        written.append(path)
    return tuple(written)
