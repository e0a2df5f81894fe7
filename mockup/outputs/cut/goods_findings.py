"""What the maker should know about pieces that are larger than the sheets on the shelf."""

from collections.abc import Iterator, Sequence

import numpy as np

from mockup.checks.finding import Finding
from mockup.design.document import Design
from mockup.outputs.cut.drawing import angle_text
from mockup.outputs.cut.goods import Goods

__all__ = ["check_goods"]


def check_goods(design: Design, lots: Sequence[Goods]) -> list[Finding]:
    """Pieces that no sheet holds, and wraps that go round in panels."""
    return [finding for lot in lots for finding in (*_oversize(design, lot), *_panels(design, lot))]


def _oversize(design: Design, lot: Goods) -> Iterator[Finding]:
    for cut in lot.oversize():
        piece = cut.piece
        width, height = cut.width_mm, cut.height_mm
        yield Finding(
            severity="warn",
            rule="larger than the sheet",
            where=f"{design.where}: layers[{piece.layer}]",
            measured=max(width, height),
            limit=max(lot.size.width_mm, lot.size.length_mm or 0.0),
            unit="mm",
            advice=f"{piece.name!r} in {piece.role} ({piece.material}) takes {width:.0f} × "
            f"{height:.0f} mm, more than a {lot.size} holds. Take a larger sheet or a roll, make "
            "it smaller, or part it in two decals.",
        )


def _panels(design: Design, lot: Goods) -> Iterator[Finding]:
    panels = [cut.panel for cut in lot.cuts if cut.panel is not None and cut.panel.letter]
    if not panels:
        return
    piece = lot.cuts[0].piece
    seams = " and ".join(angle_text(piece.turn_deg + np.degrees(p.last_rad)) for p in panels)
    yield Finding(
        severity="warn",
        rule="more than one seam",
        where=f"{design.where}: layers[{piece.layer}]",
        measured=float(len(panels)),
        limit=1.0,
        unit="panels",
        advice=f"{piece.name!r} ({piece.material}) is larger than a {lot.size} and goes round in "
        f"{len(panels)} panels, with seams at {seams} instead of one; the picture shows one. Take "
        "a larger sheet if you have it, and tell the customer if you have not.",
    )
