"""From a design file, or an order, to the proof that the customer approves."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from mockup.design.document import Design
from mockup.errors import DesignError, OutputError
from mockup.files import write_whole
from mockup.outputs.mail_server import read_mail_server
from mockup.outputs.page.page import Seal
from mockup.outputs.page_pictures import page_pictures
from mockup.outputs.pictures import write_picture
from mockup.outputs.proof import lay_out_proof
from mockup.pipeline.cup import Quiet, build_cup, opened, part
from mockup.pipeline.materials import shelf_of
from mockup.pipeline.orders import proof_for
from mockup.pipeline.proof_draw import Terms, draw_facts
from mockup.pipeline.proof_page import fresh_seal, proof_page
from mockup.progress import Progress
from mockup.render.process import RenderProcess
from mockup.store import Store

__all__ = ["Written", "order_proof", "proof"]

UNKNOWN_TO_THE_BOOK = (
    "The order book does not know this proof, so it cannot check the answer: enter the design "
    "there and make the proof of the order."
)


@dataclass(frozen=True, slots=True)
class Written:
    """The files of a proof, and what the maker should be told of them."""

    files: tuple[Path, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Shown:
    """A design with all that a proof of it says besides; `seal` None is not in an order book."""

    design: Design
    palettes: tuple[str, ...]
    light: str
    terms: Terms
    seal: Seal | None = None
    revision: str = ""


def proof(
    path: Path,
    output: Path,
    *,
    paper: Literal["a4", "letter"] = "a4",
    palettes: Sequence[str] = (),
    light: str | None = None,
    terms: Terms | None = None,
    progress: Progress = Quiet,
) -> Written:
    """Read a design and write its proof.

    Parameters
    ----------
    output
        Its ending says what it becomes: .pdf the sheet; .png its pages as pictures, the first
        under this name, the others as NAME-2.png and so on; .html the page on which the customer
        turns the cup and answers.
    palettes
        The page's options, the first at the head; a sheet shows one. None is the one in use.

    Raises
    ------
    OutputError
        Several palettes are asked for on a sheet, or the file cannot be written.
    """
    design = opened(path, palettes[0] if palettes else None, light)
    named = tuple(palettes) or (design.document.palette,)
    shown = _Shown(design, named, light or design.document.light, terms or Terms())
    if len(named) > 1 and output.suffix.lower() != ".html":
        raise OutputError(
            f"a sheet shows one palette, not {len(named)}",
            where=str(output),
            remedy="End the name in .html for a page with options, or name one palette",
        )
    return _write(shown, output, paper, progress)


def order_proof(
    store: Store,
    order: int,
    output: Path,
    *,
    paper: Literal["a4", "letter"] = "a4",
    palettes: Sequence[str] = (),
    light: str | None = None,
    terms: Terms | None = None,
    progress: Progress = Quiet,
) -> Written:
    """Write the proof of an order's design as it is now, by its number and key in the order book.

    Parameters are those of `proof`; a price is for as many cups as the order has.

    Raises
    ------
    StoreError
        There is no such order, or it has no design.
    """
    known = proof_for(store, order, palettes=palettes, light=light or "")
    named = tuple(option.palette for option in known.options)
    design = store.revisions.find(order, known.revision).design().with_palette(named[0])
    terms = terms or Terms()
    if terms.cups is not None:
        terms = replace(terms, cups=store.book.order(order).cups)
    seal = Seal(known.id, known.key, known.title, known.revision, _maker_address())
    shown = _Shown(design, named, known.light, terms, seal, f"revision {known.revision}")
    return _write(shown, output, paper, progress)


def _write(
    shown: _Shown, output: Path, paper: Literal["a4", "letter"], progress: Progress
) -> Written:
    if output.suffix.lower() == ".html":
        return _write_page(shown, output, progress)
    with RenderProcess() as renderer:
        renderer.start()
        cup = build_cup(shown.design, progress=part(progress, 0.0, 0.2))
        facts = draw_facts(
            cup,
            renderer,
            light=shown.light,
            terms=shown.terms,
            revision=shown.revision,
            progress=part(progress, 0.2, 0.9),
        )
    progress(0.92, "laying out the sheet")
    sheet = lay_out_proof(facts, paper=paper)
    if output.suffix.lower() == ".png":
        files = _write_pages(sheet.pdf, output)
    else:
        write_whole(output, sheet.pdf)
        files = (output,)
    progress(1.0, "done")
    letters = " ".join(sheet.missing_letters)
    missing = (f"The sheet's type has no {letters}; boxes stand for it.",) if letters else ()
    return Written(files, (*missing, *_price_note(shown.terms)))


def _write_page(shown: _Shown, output: Path, progress: Progress) -> Written:
    page = proof_page(
        shown.design,
        shown.seal or fresh_seal(shown.design.document.title),
        palettes=shown.palettes,
        light=shown.light,
        revision=shown.revision,
        terms=shown.terms,
        progress=progress,
    )
    write_whole(output, page.html)
    unknown = () if shown.seal else (UNKNOWN_TO_THE_BOOK,)
    return Written((output,), (*page.notes, *unknown, *_price_note(shown.terms)))


def _write_pages(pdf: bytes, output: Path) -> tuple[Path, ...]:
    written = []
    for nth, picture in enumerate(page_pictures(pdf), start=1):
        path = output if nth == 1 else output.with_stem(f"{output.stem}-{nth}")
        write_picture(picture, path)
        written.append(path)
    return tuple(written)


def _price_note(terms: Terms) -> tuple[str, ...]:
    """By which shelf the price is, so that nobody quotes the typical one's by mistake."""
    if terms.cups is None:
        return ()
    return (f"The price is by the {shelf_of(terms.shelf).name}.",)


def _maker_address() -> str:
    """Where answers go, if the maker has told it for letters."""
    try:
        return read_mail_server().sender
    except (OutputError, DesignError):
        return ""
