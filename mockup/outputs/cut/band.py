"""What stands under every sheet: measuring squares, the legend of lines, the revision, cautions."""

import textwrap
from collections.abc import Sequence

from mockup.outputs.cut.drawing import KINDS, Drawing, Kind
from mockup.outputs.revision import Revision
from mockup.units import MM_PER_INCH

__all__ = ["BAND_MM", "BLADES", "band", "squares"]

BAND_MM = 56.0
SQUARE_MM = 50.0
SQUARE_IN = 2.0
_WORDS_X_MM = 56.0

BLADES = (
    "Blades: cut away from yourself on a mat, hold the sheet with a steel rule and not with a "
    "fingertip, wear eye protection, sheathe or retract the knife, and keep used blades in a box. "
    "Let nobody reach into a cutter that runs. Data sheets, the cutter's manual and local rules "
    "stand above this sheet."
)


def band(revision: Revision, width_mm: float, what: Sequence[str], *, page: str = "") -> Drawing:
    """The band, `BAND_MM` high.

    Parameters
    ----------
    what
        What the sheet holds, a few short lines.
    page
        Such as ``page 2 of 5``.
    """
    drawing = Drawing(width_mm, BAND_MM)
    drawing.lay(squares(), (1, 0, 0, 1, 0.0, 0.0))
    _words(drawing, revision, what, page)
    return drawing


def squares() -> Drawing:
    """The measuring squares, with what they are for and what each kind of line means."""
    inches_mm = SQUARE_IN * MM_PER_INCH
    foot = 1.0 + inches_mm
    drawing = Drawing(inches_mm + 2.0, inches_mm + 2.0)
    drawing.box("measure", 1.0, foot - inches_mm, inches_mm, inches_mm)
    drawing.box("measure", 1.0, foot - SQUARE_MM, SQUARE_MM, SQUARE_MM)
    drawing.note(3.0, foot - SQUARE_MM + 3.4, "inner square: 50 mm", 2.4, strong=True)
    drawing.note(3.0, foot - SQUARE_MM + 6.6, "outer square: 2 in", 2.4, strong=True)
    drawing.note(3.0, foot - SQUARE_MM + 10.2, "Measure both before you cut.", 2.2)
    drawing.note(3.0, foot - SQUARE_MM + 13.2, "Print at 100 %, not fitted.", 2.2)
    for i, kind in enumerate(KINDS):
        _legend(drawing, kind, 3.0, foot - 27.0 + 5.4 * i)
    return drawing


def _legend(drawing: Drawing, kind: Kind, x: float, y: float) -> None:
    if kind == "register":
        drawing.cross(x + 6.0, y)
    else:
        drawing.line(kind, [(x, y), (x + 12.0, y)])
    drawing.note(x + 14.5, y + 0.8, KINDS[kind].words, 2.2)


def _words(drawing: Drawing, revision: Revision, what: Sequence[str], page: str) -> None:
    x, room = _WORDS_X_MM, drawing.width_mm - _WORDS_X_MM - 1.0
    letters = int(room / 4.2 * 2)
    drawing.note(x, 5.0, revision.standing.upper(), 4.4, strong=True)
    revision_line = f"{revision.title} · {revision.short}"
    y = 10.6
    for text in _wrapped(revision_line, letters):
        drawing.note(x, y, text, 3.2, strong=True)
        y += 4.2
    y += 0.6
    for text in what:
        for line in _wrapped(text, int(room * 0.82)):
            drawing.note(x, y, line, 2.5)
            y += 3.4
    if page:
        drawing.note(drawing.width_mm - 1.0, 5.0, page, 2.5, "right")
    cautions = _wrapped(BLADES, int(room * 0.95))
    y = BAND_MM - 4.0 - 2.9 * (len(cautions) - 1)
    for line in cautions:
        drawing.note(x, y, line, 2.2)
        y += 2.9


def _wrapped(text: str, letters: int) -> list[str]:
    return textwrap.wrap(text, max(letters, 16))
