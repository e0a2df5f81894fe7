"""From pieces to files: what is drawn on which sheet, SVG for the cutter, PDF for the bench."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from mockup.blank.wall import Blank
from mockup.checks.cutting import check_cutting
from mockup.checks.finding import Finding
from mockup.design.document import Design
from mockup.design.layers import WrapLayer
from mockup.outputs.cut.band import BAND_MM, Revision, band
from mockup.outputs.cut.drawing import Drawing
from mockup.outputs.cut.framed import framed
from mockup.outputs.cut.nest import ROLL, Packed, SheetSize, pack_within
from mockup.outputs.cut.overview import Overview, lay_out_overview
from mockup.outputs.cut.pages import CutPaper, Figure, lay_on_pages, rooms
from mockup.outputs.cut.path import at, quarter_turn
from mockup.outputs.cut.strip import placement_strip
from mockup.outputs.cut.svg import svg_from
from mockup.outputs.cut.template import wrap_template
from mockup.outputs.pieces import Piece, pieces
from mockup.outputs.sheet import Sheet

__all__ = ["SHEET", "CutFiles", "cut_files"]

SHEET = SheetSize(305.0, 305.0)  # 12 in: a common sheet of foil, adhesive or vinyl
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
    *,
    paper: CutPaper = "a4",
    sheet_size: SheetSize = SHEET,
    foil_mirrored: bool = True,
) -> CutFiles:
    """Everything that is cut for one cup. The same design gives the same bytes.

    Parameters
    ----------
    paper
        Of the PDF.
    sheet_size
        Of foil and vinyl at the maker's; what is larger goes on a roll of 610 mm.
    foil_mirrored
        Foil's adhesive is cut from behind and laid with its cut face to the cup; else face up.

    Raises
    ------
    GeometryError, DesignError
        As `pieces` does.
    """
    found = pieces(design, blank)
    fingerprint = design.fingerprint
    short = f"{fingerprint[:4]} {fingerprint[4:8]}".upper()
    revision = Revision(design.document.title, short)
    figures = _templates(design, blank, found)
    room = [] if paper == "whole" else rooms(paper)
    packed = _sheets(found, blank, sheet_size, foil_mirrored, room)
    figures += [figure for figure, _ in packed]
    figures.append(_strip(found, blank))
    findings = [*check_cutting(design, blank.wall, found)]
    findings += [f for _, sheet in packed for f in _oversize(design, sheet, sheet_size)]
    files = {f"{_slug(f.name)}.svg": _svg(f, revision) for f in figures}
    pdf = Sheet("letter" if paper == "letter" else "a4", f"{revision.title}: cut sheets {short}")
    overview = Overview(revision, found, tuple(findings), tuple(f.name for f in figures))
    before = lay_out_overview(pdf, overview, foil_mirrored=foil_mirrored)
    lay_on_pages(pdf, figures, paper, revision, first=before + 1)
    return CutFiles({PDF_NAME: pdf.finished()} | files, tuple(findings))


def _templates(design: Design, blank: Blank, found: Sequence[Piece]) -> list[Figure]:
    figures = []
    for piece in found:
        layer = design.document.layers[piece.layer]
        if isinstance(layer, WrapLayer):
            about = (
                f"{piece.material}, face up; the artwork is printed on it to this outline.",
                "Cut on the solid line; trim at the dashed lines once it is stuck down.",
            )
            name = f"Template {piece.order + 1} {piece.name}"
            figures.append(Figure(wrap_template(piece, layer, blank), name, about))
    return figures


def _sheets(
    found: Sequence[Piece],
    blank: Blank,
    size: SheetSize,
    foil_mirrored: bool,
    rooms_mm: Sequence[tuple[float, float]],
) -> list[tuple[Figure, Packed]]:
    """Decals by material: a drawing for each sheet."""
    groups: dict[tuple[str, str], list[Piece]] = {}
    for piece in found:
        if piece.kind == "decal":
            groups.setdefault((piece.material, piece.role), []).append(piece)
    made = []
    for (material, role), some in groups.items():
        mirrored = foil_mirrored and some[0].mirrored
        kin = [[p for p in found if p.layer == piece.layer] for piece in some]
        frames = [
            framed(piece, alike, blank.wall, mirrored=mirrored)
            for piece, alike in zip(some, kin, strict=True)
        ]
        sheets = pack_within([(f.width_mm, f.height_mm) for f in frames], size, rooms_mm)
        for nth, sheet in enumerate(sheets):
            count = f" {nth + 1} of {len(sheets)}" if len(sheets) > 1 else ""
            name = f"{material.capitalize()} {role}{count}"
            face = "mirrored: cut from behind, laid cut face down" if mirrored else "face up"
            about = (
                f"{sheet.size}, {sheet.used_mm:.0f} mm of its length used; {face}.",
                "Pieces " + ", ".join(str(some[p.index].order + 1) for p in sheet.laid) + ".",
            )
            made.append((Figure(_packed(sheet, frames), name, about), sheet))
    return made


def _packed(sheet: Packed, frames: Sequence[Drawing]) -> Drawing:
    """The used part of a sheet with its edge dashed."""
    right = max(
        laid.x_mm + (frames[laid.index].height_mm if laid.turned else frames[laid.index].width_mm)
        for laid in sheet.laid
    )
    width = min(right + 5.0, sheet.width_mm)
    drawing = Drawing(width, sheet.used_mm)
    edge = [(0.0, sheet.used_mm), (0.0, 0.0), (width, 0.0)]
    drawing.line("guide", edge)
    drawing.note(6.0, 3.6, f"{sheet.size}: this corner is the sheet's corner", 2.2)
    for laid in sheet.laid:
        frame = frames[laid.index]
        turned = quarter_turn(laid.x_mm, laid.y_mm, frame.height_mm)
        drawing.lay(frame, turned if laid.turned else at(laid.x_mm, laid.y_mm))
    return drawing


def _strip(found: Sequence[Piece], blank: Blank) -> Figure:
    about = (
        "Paper. Wrap the strip round the cup with its lower edge on the wall's foot, lap it to the "
        "dashed line and tape it; its front line is the cup's front.",
        "Stand the rule on the foot at the angle that you need.",
    )
    return Figure(placement_strip(found, blank.wall), "Placement strip and rule", about)


def _oversize(design: Design, sheet: Packed, size: SheetSize) -> list[Finding]:
    if sheet.size in (size, ROLL):
        return []
    return [
        Finding(
            severity="warn",
            rule="larger than the roll",
            where=design.where,
            measured=min(sheet.width_mm, sheet.length_mm),
            limit=ROLL.width_mm,
            unit="mm",
            advice=f"A piece needs a sheet of {sheet.width_mm:.0f} × {sheet.length_mm:.0f} mm, "
            "more than a sheet or a roll holds. Cut it in parts, or make it smaller.",
        )
    ]


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
