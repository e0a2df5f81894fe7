"""From pieces to files: what is drawn on which sheet, SVG for the cutter, PDF for the bench."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from mockup.blank.wall import Blank
from mockup.checks.cutting import check_cutting
from mockup.checks.finding import Finding
from mockup.design.document import Design
from mockup.design.shelf import Shelf
from mockup.outputs.cut.band import BAND_MM, band
from mockup.outputs.cut.drawing import Drawing
from mockup.outputs.cut.framed import framed
from mockup.outputs.cut.goods import Cut, Goods, Run, goods
from mockup.outputs.cut.goods_findings import check_goods
from mockup.outputs.cut.nest import Packed, SheetSize
from mockup.outputs.cut.overview import Overview, lay_out_overview
from mockup.outputs.cut.pages import CutPaper, Figure, lay_on_pages
from mockup.outputs.cut.path import at, quarter_turn
from mockup.outputs.cut.strip import placement_strip
from mockup.outputs.cut.svg import svg_from
from mockup.outputs.cut.template import placed_template, round_template
from mockup.outputs.pieces import Piece, pieces
from mockup.outputs.revision import NOT_APPROVED, Revision
from mockup.outputs.sheet import Sheet

__all__ = ["CutFiles", "cut_files"]

PDF_NAME = "cut-sheets.pdf"
_BAND_GAP_MM = 4.0
_LEAST_SVG_MM = 200.0  # so that the band's words fit


@dataclass(frozen=True, slots=True)
class CutFiles:
    """Names and bytes of all files, and what was found while they were made."""

    files: dict[str, bytes]
    findings: tuple[Finding, ...]


def cut_files(
    design: Design,
    blank: Blank,
    shelf: Shelf,
    *,
    cups: int = 1,
    paper: CutPaper = "a4",
    sheet_size: SheetSize | None = None,
    foil_mirrored: bool = True,
    standing: str = NOT_APPROVED,
) -> CutFiles:
    """Everything that is cut for `cups` cups. The same design and shelf give the same bytes.

    Parameters
    ----------
    paper
        Of the PDF.
    sheet_size
        Of foil and vinyl, in place of the shelf's.
    foil_mirrored
        Foil's adhesive is cut from behind and laid with its cut face to the cup; else face up.
    standing
        Whether this revision is approved, printed in plain sight.

    Raises
    ------
    GeometryError, DesignError
        As `pieces` and `goods` do.
    """
    found = pieces(design, blank)
    revision = Revision.of(design, standing)
    lots = goods(design, blank, shelf, found, sheet_size=sheet_size)
    figures = [figure for lot in lots for figure in _figures(lot, blank, cups, foil_mirrored)]
    figures.append(_strip(found, blank))
    findings = [*check_cutting(design, blank.wall, found), *check_goods(design, lots)]
    files = {f"{_slug(f.name)}.svg": _svg(f, revision) for f in figures}
    title = f"{revision.title}: cut sheets {revision.short}"
    pdf = Sheet("letter" if paper == "letter" else "a4", title, lenient=True)
    overview = Overview(revision, cups, found, tuple(findings), tuple(f.name for f in figures))
    before = lay_out_overview(pdf, overview, foil_mirrored=foil_mirrored)
    lay_on_pages(pdf, figures, paper, revision, first=before + 1)
    return CutFiles({PDF_NAME: pdf.finished()} | files, tuple(findings))


def _figures(lot: Goods, blank: Blank, cups: int, foil_mirrored: bool) -> Iterator[Figure]:
    """The templates of a wrap, or the packed sheets of foil or vinyl."""
    if lot.cuts[0].frame is None:
        for cut in lot.cuts:
            yield _template(lot, cut, blank, cups)
        return
    mirrored = foil_mirrored and lot.cuts[0].piece.mirrored
    frames = [
        framed(cut.piece, cut.frame, blank.wall, mirrored=mirrored)
        for cut in lot.cuts
        if cut.frame is not None
    ]
    runs = lot.runs(cups)
    total, nth = sum(len(run.sheets) for run in runs), 0
    for run in runs:
        for sheet in run.sheets:
            nth += 1
            count = f" {nth} of {total}" if total > 1 else ""
            drawing = _packed(sheet, frames)
            about = tuple(_about(sheet, lot, run, mirrored))
            yield Figure(drawing, f"{lot.name}{count}", about)


def _then(cut: Cut) -> str:
    """What the dashed lines of a template are for, each only where there is one."""
    wrap, panel = cut.wrap, cut.panel
    if wrap is None or panel is None:
        return ""
    other = "the next panel's" if panel.letter else "the other end's"
    seam = f"; {other} edge comes to the dashed seam"
    ends = [
        end
        for end, over in (
            ("foot", wrap.cut_low_mm < wrap.low_mm),
            ("rim", wrap.cut_high_mm > wrap.high_mm),
        )
        if over
    ]
    trims = f", and what is over at the {' and the '.join(ends)} is trimmed at the dashed line"
    return f"{seam}{trims}{'s' if len(ends) > 1 else ''} once it is stuck down" if ends else seam


def _template(lot: Goods, cut: Cut, blank: Blank, cups: int) -> Figure:
    piece = cut.piece
    about = [
        f"{piece.material}, face up; the artwork is printed on it to this outline.",
        f"Cut on the solid line{_then(cut)}.",
    ]
    if cups > 1:
        runs = lot.runs(cups)
        held = f"; {runs[0].cups} lie on a {lot.size}" if len(lot.cuts) == 1 else ""
        about.append(f"Cut {cups}, one a cup{held}.")
    if cut.wrap is None or cut.panel is None:
        return Figure(placed_template(piece), lot.name, tuple(about))
    drawing = round_template(piece, cut.wrap, cut.panel, blank)
    name = lot.name
    if cut.panel.letter:
        name += f", panel {cut.panel.letter}"
        letters = " and ".join(other.panel.letter for other in lot.cuts if other.panel)
        about.append(f"The wrap is larger than a {lot.size}: it goes round in panels {letters}.")
    return Figure(drawing, name, tuple(about))


def _about(sheet: Packed, lot: Goods, run: Run, mirrored: bool) -> Iterator[str]:
    face = "mirrored: cut from behind, laid cut face down" if mirrored else "face up"
    used = f"{sheet.used_width_mm:.1f} × {sheet.used_mm:.1f} mm of it used"
    yield f"{sheet.size}, {used}; {face}."
    orders = sorted({lot.cuts[laid.index % len(lot.cuts)].piece.order + 1 for laid in sheet.laid})
    many = f", for {run.cups} cups" if run.cups > 1 else ""
    often = f" Cut this sheet {run.times} times." if run.times > 1 else ""
    yield f"Pieces {', '.join(map(str, orders))}{many}.{often}"


def _packed(sheet: Packed, frames: Sequence[Drawing]) -> Drawing:
    """The used part of a sheet with its edge dashed."""
    width = min(sheet.used_width_mm, sheet.size.width_mm)
    drawing = Drawing(width, sheet.used_mm)
    drawing.line("guide", [(0.0, sheet.used_mm), (0.0, 0.0), (width, 0.0)])
    drawing.note(6.0, 3.6, f"{sheet.size}: this corner is the sheet's corner", 2.2)
    for laid in sheet.laid:
        cup, nth = divmod(laid.index, len(frames))
        frame = frames[nth]
        turned = quarter_turn(laid.x_mm, laid.y_mm, frame.height_mm)
        place = turned if laid.turned else at(laid.x_mm, laid.y_mm)
        drawing.lay(frame, place, f"-{cup + 1}" if cup else "")
    return drawing


def _strip(found: Sequence[Piece], blank: Blank) -> Figure:
    about = (
        "Paper. Wrap the strip round the cup with its lower edge on the wall's foot, lap it to the "
        "dashed line and tape it; its front line is the cup's front.",
        "Stand the rule on the foot at the angle that you need.",
    )
    return Figure(placement_strip(found, blank.wall), "Placement strip and rule", about)


def _svg(figure: Figure, revision: Revision) -> bytes:
    drawing = figure.drawing
    width = max(drawing.width_mm, _LEAST_SVG_MM)
    whole = Drawing(width, drawing.height_mm + _BAND_GAP_MM + BAND_MM)
    whole.lay(drawing, at(0.0, 0.0))
    words = band(revision, width, (figure.name, *figure.about))
    whole.lay(words, at(0.0, drawing.height_mm + _BAND_GAP_MM))
    return svg_from(whole, f"{revision.title}: {figure.name}")


def _slug(name: str) -> str:
    """A file's name: lower case, plain letters of any script, hyphens."""
    return re.sub(r"[^\w]+", "-", name.lower()).strip("-") or "sheet"
