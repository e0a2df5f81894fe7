"""From a design file to what the maker cuts, mixes, plans and charges."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Literal

import numpy as np

from mockup.blank.wall import build_blank
from mockup.checks.finding import Finding
from mockup.design.shelf import Shelf, typical_shelf_text
from mockup.errors import DesignError
from mockup.files import make_folder, write_whole
from mockup.outputs.cut.make import cut_files
from mockup.outputs.cut.nest import SheetSize
from mockup.outputs.cut.pages import CutPaper
from mockup.outputs.pictures import write_picture
from mockup.outputs.plan.calendar_file import calendar_file
from mockup.outputs.plan.chart import draw_chart
from mockup.outputs.plan.coming import Coming, coming, order_of, stock_text
from mockup.outputs.plan.days import batches, schedule
from mockup.outputs.plan.making import Making, making
from mockup.outputs.plan.stock import Order, read_stock
from mockup.outputs.worksheet import lay_out_worksheet
from mockup.outputs.worksheet_facts import worksheet_facts
from mockup.pipeline.cup import Quiet, Shot, build_cup, opened, part, render_cup
from mockup.pipeline.materials import Own, read_own, shelf_of, stock_of, what_use_taught
from mockup.pipeline.orders import standing_of
from mockup.progress import Progress
from mockup.render.process import RenderProcess

__all__ = ["cut", "plan", "shopping", "worksheet", "write_shelf", "write_stock"]


def cut(
    path: Path,
    folder: Path,
    *,
    cups: int = 1,
    shelf: Path | None = None,
    paper: CutPaper = "a4",
    sheet_size: SheetSize | None = None,
    foil_mirrored: bool = True,
    palette: str | None = None,
    standing: str | None = None,
    progress: Progress = Quiet,
) -> tuple[tuple[Path, ...], tuple[Finding, ...]]:
    """Read a design and write its cut sheets into `folder`; gives the files and what was found."""
    progress(0.0, "measuring the pieces")
    design = opened(path, palette, None)
    blank = build_blank(design.document.blank, where=f"{design.where}: blank")
    made = cut_files(
        design,
        blank,
        shelf_of(shelf),
        cups=cups,
        paper=paper,
        sheet_size=sheet_size,
        foil_mirrored=foil_mirrored,
        standing=standing or standing_of(design),
    )
    make_folder(folder)
    for nth, (name, data) in enumerate(made.files.items()):
        progress(0.8 + 0.2 * nth / len(made.files), f"writing {name}")
        write_whole(folder / name, data)
    progress(1.0, "done")
    return tuple(folder / name for name in made.files), made.findings


def plan(
    path: Path,
    *,
    cups: int = 1,
    shelf: Path | None = None,
    stock: Path | None = None,
    room_c: float | None = None,
    palette: str | None = None,
    start: datetime | None = None,
    due: datetime | None = None,
    calendar: Path | None = None,
    chart: Path | None = None,
    standing: str | None = None,
    order: int | None = None,
) -> Making:
    """Read a design and work out its amounts, days and price from the maker's shelf.

    Parameters
    ----------
    shelf, stock
        Files; without a shelf the maker's own is taken, or else the typical one, with the maker's
        materials on it; what is free of these is the stock.
    room_c
        Room temperature in place of the shelf's.
    start, due
        Local time. Without a start there are no days.
    calendar, chart
        Files to write the days to: .ics and .png.
    standing
        Whether this revision is approved, told in plain sight; None asks the maker's store.
    order
        Its number in the maker's store: what it has reserved is free for it.
    """
    design = opened(path, palette, None)
    own = read_own(order=order) if shelf is None else Own()
    known = own.shelf(room_c=room_c) if shelf is None else shelf_of(shelf, room_c=room_c)
    there = stock_of(own) if own.materials else None
    if stock is not None:
        there = read_stock(stock)
    blank = build_blank(design.document.blank, where=f"{design.where}: blank")
    told = standing or standing_of(design)
    made = making(
        design,
        blank,
        known,
        cups=cups,
        stock=there,
        only_listed=stock is None,
        standing=told,
    )
    made = replace(made, proposals=what_use_taught(own, made.amounts))
    if start is None:
        return made
    try:
        days = schedule(batches(design, known, cups=cups), known, start=start, due=due)
    except DesignError as error:
        if due or calendar or chart:
            raise
        told = f"{error.problem}. {error.remedy}."
        return replace(made, no_days=told)  # amounts and price stand without them
    title = design.document.title
    if calendar is not None:
        file = calendar_file(days, title=title, fingerprint=design.fingerprint)
        write_whole(calendar, file)
    if chart is not None:
        write_picture(np.asarray(draw_chart(days, title=f"{title} · {told}")), chart)
    return replace(made, days=days)


def worksheet(
    path: Path,
    output: Path,
    *,
    start: datetime,
    due: datetime | None = None,
    cups: int = 1,
    shelf: Path | None = None,
    room_c: float | None = None,
    paper: Literal["a4", "letter"] = "a4",
    palette: str | None = None,
    light: str | None = None,
    standing: str | None = None,
    progress: Progress = Quiet,
) -> None:
    """Read a design, plan its days and write the work sheet for the bench."""
    design = opened(path, palette, light)
    known = shelf_of(shelf, room_c=room_c)
    days = schedule(batches(design, known, cups=cups), known, start=start, due=due)
    with RenderProcess() as renderer:
        renderer.start()
        cup = build_cup(design, progress=part(progress, 0.0, 0.5))
        progress(0.5, "drawing the front")
        front = render_cup(cup, Shot(600, 800), renderer, light=light).rgba8_srgb
    progress(0.92, "laying out the sheet")
    told = standing or standing_of(design)
    facts = worksheet_facts(design, cup.blank, known, days, front[..., :3], standing=told)
    write_whole(output, lay_out_worksheet(facts, paper=paper))
    progress(1.0, "done")


def shopping(
    paths: Sequence[Path],
    *,
    cups: Sequence[int],
    due: Sequence[date | None],
    shelf: Path | None = None,
    stock: Path | None = None,
    until: date | None = None,
) -> Coming:
    """Read the designs of some orders and work out what they take together and what to buy.

    Parameters
    ----------
    cups, due
        Of each order.
    stock
        A file; without one what is free of the maker's materials, and nothing else, is on hand.
    until
        What is due later is left out.
    """
    own = read_own() if shelf is None else Own()
    known = own.shelf() if shelf is None else shelf_of(shelf)
    there = read_stock(stock) if stock is not None else stock_of(own)
    return coming(_orders(paths, known, cups, due), there, known, until=until)


def write_stock(paths: Sequence[Path], output: Path, *, shelf: Path | None = None) -> None:
    """Write a stock file to fill in, or put what these designs need into one that is there."""
    before = ""
    if output.exists():
        read_stock(output)  # a fault of it is told before the work
        before = output.read_text(encoding="utf-8-sig")
    undated = [None] * len(paths)
    orders = _orders(paths, shelf_of(shelf), [1] * len(paths), undated)
    write_whole(output, stock_text(orders, before, where=str(output)).encode())


def _orders(
    paths: Sequence[Path], shelf: Shelf, cups: Sequence[int], due: Sequence[date | None]
) -> list[Order]:
    made = []
    for path, count, day in zip(paths, cups, due, strict=True):
        design = opened(path, None, None)
        blank = build_blank(design.document.blank, where=f"{design.where}: blank")
        made.append(order_of(design, blank, shelf, cups=count, due=day))
    return made


def write_shelf(output: Path) -> None:
    """Write the typical shelf, for the maker to put the own figures in."""
    write_whole(output, typical_shelf_text().encode())
