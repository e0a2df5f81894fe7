"""From a design and a list of names to a cup for each: its picture, its pack, its cut sheets."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from mockup.blank.wall import build_blank
from mockup.checks.finding import Finding
from mockup.design.names import Named, named_designs, read_names
from mockup.design.pack import write_pack
from mockup.design.shelf import Shelf
from mockup.errors import DesignError, MockupError
from mockup.files import make_folder, write_whole
from mockup.outputs.cut.make import cut_files
from mockup.outputs.cut.pages import CutPaper
from mockup.outputs.pictures import write_picture
from mockup.outputs.pieces import pieces
from mockup.pipeline.cup import Quiet, Shot, build_cup, opened, part, render_cup
from mockup.pipeline.materials import shelf_of
from mockup.pipeline.orders import standing_of
from mockup.progress import Progress
from mockup.render.process import RenderProcess

__all__ = ["Made", "batch"]

_MOST_NAME = 60


@dataclass(frozen=True, slots=True)
class Made:
    """One cup of the list: the row that it comes from, its folder, and what was found."""

    row: int
    title: str
    folder: Path
    findings: tuple[Finding, ...] = ()


def batch(
    path: Path,
    names: Path,
    folder: Path,
    *,
    shot: Shot,
    palette: str | None = None,
    light: str | None = None,
    sheets: bool = True,
    paper: CutPaper = "a4",
    shelf: Path | None = None,
    progress: Progress = Quiet,
) -> tuple[Made, ...]:
    """Read a design and a list of names, and write a folder for each row into `folder`.

    Every row is looked at before the first is made, so that a name that does not fit is told at
    once. What is finished stays, should the work be stopped.

    Parameters
    ----------
    sheets
        Whether cut sheets are written too, on `paper`, for the sheets of `shelf`.
    """
    progress(0.0, "reading the names")
    rows = named_designs(opened(path, palette, light), read_names(names))
    known = shelf_of(shelf) if sheets else None
    _check(rows, names.name)
    made = []
    with RenderProcess() as renderer:
        renderer.start()
        for nth, row in enumerate(rows):
            own = part(progress, nth / len(rows), (nth + 1) / len(rows))
            target = folder / _folder_name(nth, len(rows), row)
            make_folder(target)
            own(0.0, f"{nth + 1} of {len(rows)}: {row.design.document.title}")
            cup = build_cup(row.design)
            picture = render_cup(cup, shot, renderer, light=light)
            write_picture(picture.rgba8_srgb, target / "cup.png")
            write_pack(row.design, target / "design.tumbler")
            findings: tuple[Finding, ...] = ()
            if known is not None:
                findings = _cut(row, target, known, paper)
            made.append(Made(row.row, row.design.document.title, target, findings))
    progress(1.0, "done")
    return tuple(made)


def _check(rows: Sequence[Named], where: str) -> None:
    for row in rows:
        design = row.design
        try:
            blank = build_blank(design.document.blank, where=f"{design.where}: blank")
            pieces(design, blank)
        except MockupError as error:
            raise DesignError(
                error.problem, where=f"{where}: row {row.row}", remedy=error.remedy
            ) from error


def _cut(row: Named, target: Path, shelf: Shelf, paper: CutPaper) -> tuple[Finding, ...]:
    blank = build_blank(row.design.document.blank, where=f"{row.design.where}: blank")
    standing = standing_of(row.design)
    made = cut_files(row.design, blank, shelf, paper=paper, standing=standing)
    for name, data in made.files.items():
        write_whole(target / name, data)
    return made.findings


def _folder_name(nth: int, count: int, row: Named) -> str:
    """A number, so that two of one name stay apart, and the words: letters of any script."""
    words = re.sub(r"[^\w]+", "-", " ".join(row.words).lower()).strip("-")[:_MOST_NAME]
    number = f"{nth + 1:0{len(str(count))}d}"
    return f"{number}-{words}" if words else number
