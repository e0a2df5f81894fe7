"""What is made from an order's design beside the page: each a function for a job."""

import io
import zipfile
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

from mockup import pipeline
from mockup.checks.finding import Finding
from mockup.design.document import Design
from mockup.design.pack import write_pack
from mockup.faces.desk.session import shared_store
from mockup.outputs.check_facts import CheckFacts
from mockup.outputs.options_facts import OptionsFacts
from mockup.outputs.plan.making import Making
from mockup.pipeline.check import check
from mockup.pipeline.finished import Told, keep_photo
from mockup.pipeline.options import options
from mockup.pipeline.orders import Changes, picture_changes
from mockup.pipeline.proof import order_proof
from mockup.pipeline.proof_draw import Terms
from mockup.progress import Progress

__all__ = [
    "Cut",
    "Paper",
    "changes_picture",
    "check_of",
    "cut_zip",
    "held_photo",
    "options_sheet",
    "plan_of",
    "proof_of",
    "worksheet_pdf",
]

Paper = Literal["a4", "letter"]
Cut = tuple[bytes, tuple[Finding, ...]]


def proof_of(
    order: int, ending: str, *, paper: str, palettes: Sequence[str], priced: bool
) -> Callable[[Progress], tuple[bytes, tuple[str, ...]]]:
    """The proof of an order as pdf or html, and what the maker should be told of it."""
    store = shared_store()

    def work(progress: Progress) -> tuple[bytes, tuple[str, ...]]:
        with TemporaryDirectory() as folder:
            output = Path(folder) / f"proof.{ending}"
            written = order_proof(
                store,
                order,
                output,
                paper="letter" if paper == "letter" else "a4",
                palettes=palettes,
                terms=Terms(cups=1) if priced else None,
                progress=progress,
            )
            return output.read_bytes(), written.notes

    return work


def changes_picture(changes: Changes) -> Callable[[Progress], bytes]:
    """A design as it was and as it is, side by side, as PNG."""

    def work(progress: Progress) -> bytes:
        with TemporaryDirectory() as folder:
            output = Path(folder) / "changes.png"
            picture_changes(changes, output, progress=progress)
            return output.read_bytes()

    return work


def held_photo(
    order: int, name: str, data: bytes, told: Told
) -> Callable[[Progress], tuple[str, ...]]:
    """A photo of the finished cup held against the order's design and kept; gives the notes."""
    store = shared_store()

    def work(progress: Progress) -> tuple[str, ...]:
        with TemporaryDirectory() as folder:
            photo, picture = Path(folder) / "photo" / name, Path(folder) / "held.png"
            photo.parent.mkdir()
            photo.write_bytes(data)
            return keep_photo(
                store, order, photo, picture, told, None, progress=progress
            ).facts.notes

    return work


def cut_zip(
    design: Design, cups: int, paper: Literal["a4", "letter", "whole"], *, foil_mirrored: bool
) -> Callable[[Progress], Cut]:
    """The cut sheets of all cups in one archive, and what was found."""

    def work(progress: Progress) -> Cut:
        with _Folder(design) as (path, folder):
            sheets = folder / "sheets"
            files, findings = pipeline.cut(
                path,
                sheets,
                paper=paper,
                cups=cups,
                foil_mirrored=foil_mirrored,
                progress=progress,
            )
            archive = io.BytesIO()
            with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as held:
                for file in files:
                    held.write(file, file.name)
            return archive.getvalue(), findings

    return work


def check_of(design: Design) -> Callable[[Progress], CheckFacts]:
    """What the checks say of the design, and what would mend it."""

    def work(progress: Progress) -> CheckFacts:
        with _Folder(design) as (path, _):
            return check(path, progress=progress)

    return work


def options_sheet(
    design: Design, palettes: Sequence[str], *, with_cost: bool
) -> Callable[[Progress], tuple[OptionsFacts, bytes]]:
    """The options as facts with pictures, and as a PDF."""

    def work(progress: Progress) -> tuple[OptionsFacts, bytes]:
        with _Folder(design) as (path, folder):
            sheet = folder / "options.pdf"
            made = options(path, sheet, palettes=palettes, with_cost=with_cost, progress=progress)
            return made.facts, sheet.read_bytes()

    return work


def plan_of(
    design: Design, cups: int, start: datetime, due: datetime | None, order: int
) -> Callable[[Progress], tuple[Making, bytes | None]]:
    """Amounts, days and price; the days as a calendar file too, if there are days."""

    def work(progress: Progress) -> tuple[Making, bytes | None]:
        progress(0.1, "working out amounts, days and price")
        with _Folder(design) as (path, folder):
            made = pipeline.plan(path, cups=cups, start=start, order=order)
            if made.days is None:
                return made, None
            calendar = folder / "days.ics"
            progress(0.6, "writing the calendar")
            made = pipeline.plan(
                path, cups=cups, start=start, due=due, calendar=calendar, order=order
            )
            return made, calendar.read_bytes()

    return work


def worksheet_pdf(
    design: Design, cups: int, start: datetime, paper: Paper
) -> Callable[[Progress], bytes]:
    """The work sheet for the bench as PDF."""

    def work(progress: Progress) -> bytes:
        with _Folder(design) as (path, folder):
            sheet = folder / "worksheet.pdf"
            pipeline.worksheet(path, sheet, start=start, cups=cups, paper=paper, progress=progress)
            return sheet.read_bytes()

    return work


class _Folder:
    """A folder of its own with the design as a pack in it, for as long as the block lasts."""

    def __init__(self, design: Design) -> None:
        self._design = design
        self._folder = TemporaryDirectory()

    def __enter__(self) -> tuple[Path, Path]:
        folder = Path(self._folder.name)
        path = folder / "design.tumbler"
        write_pack(self._design, path)
        return path, folder

    def __exit__(self, *_: object) -> None:
        self._folder.cleanup()
