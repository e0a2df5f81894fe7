"""A stroke as the area it covers: width, caps, joins, mitre limit and dashes."""

import math
from collections.abc import Mapping

import numpy as np
import pathops
from fontTools.pens.recordingPen import RecordingPen
from fontTools.pens.transformPen import TransformPen

from mockup.skin.outline_fill import FlatteningPen
from mockup.skin.svg_length import length_px, numbers
from mockup.skin.svg_path import Commands
from mockup.skin.svg_style import amount

__all__ = ["stroked"]

MOST_DASHES = 20_000
_CAPS = {
    "butt": pathops.LineCap.BUTT_CAP,
    "round": pathops.LineCap.ROUND_CAP,
    "square": pathops.LineCap.SQUARE_CAP,
}
_JOINS = {
    "miter": pathops.LineJoin.MITER_JOIN,
    "round": pathops.LineJoin.ROUND_JOIN,
    "bevel": pathops.LineJoin.BEVEL_JOIN,
}
_STROKER_TOLERANCE = 0.25  # units; what Skia's stroker allows at a resolution scale of 1


def stroked(
    commands: Commands,
    style: Mapping[str, str],
    *,
    view: tuple[float, float],
    tolerance: float,
    path_length: str = "",
) -> tuple[Commands, float]:
    """Outline of a stroke, to be filled under the non-zero rule, and the scale it is drawn at.

    Skia strokes in single precision with a fixed tolerance, so the path is enlarged by the
    returned factor first, until that tolerance is small enough.

    Raises
    ------
    ValueError
        A stroke property is not what SVG allows, or the dashes are too many.
    """
    relative = math.hypot(*view) / math.sqrt(2)
    width = length_px(style["stroke-width"], relative)
    if width is None or width < 0:
        raise ValueError(f"a stroke is {style['stroke-width']!r} wide")
    if width == 0:
        return [], 1.0
    k = _STROKER_TOLERANCE / tolerance
    recording = RecordingPen()
    recording.value = commands
    path = pathops.Path()
    recording.replay(TransformPen(path.getPen(glyphSet=None), (k, 0, 0, k, 0, 0)))
    dashes, offset = _dashes(commands, style, relative, tolerance, path_length)
    path.stroke(
        width * k,
        _CAPS.get(style["stroke-linecap"], _CAPS["butt"]),
        _JOINS.get(style["stroke-linejoin"], _JOINS["miter"]),
        amount(style["stroke-miterlimit"], "mitre limit"),
        [d * k for d in dashes],
        offset * k,
    )
    path.convertConicsToQuads(_STROKER_TOLERANCE)
    outline = RecordingPen()
    path.draw(outline)
    return list(outline.value), k


def _dashes(
    commands: Commands,
    style: Mapping[str, str],
    relative: float,
    tolerance: float,
    path_length: str,
) -> tuple[list[float], float]:
    """Dash and gap lengths, an even number of them, and where in them the path begins."""
    text = style["stroke-dasharray"].strip()
    if text in ("", "none"):
        return [], 0.0
    dashes = [length_px(part, relative) or 0.0 for part in text.replace(",", " ").split()]
    if min(dashes) < 0 or sum(dashes) <= 0:
        return [], 0.0
    dashes *= 1 + len(dashes) % 2
    offset = length_px(style["stroke-dashoffset"], relative) or 0.0
    drawn = _length(commands, tolerance)
    stated = numbers(path_length)
    unit = drawn / stated[0] if stated and stated[0] > 0 else 1.0
    if drawn / (unit * sum(dashes)) * len(dashes) > MOST_DASHES:
        raise ValueError(f"a stroke has more than {MOST_DASHES} dashes")
    return [d * unit for d in dashes], offset * unit


def _length(commands: Commands, tolerance: float) -> float:
    pen = FlatteningPen(tolerance)
    recording = RecordingPen()
    recording.value = commands
    recording.replay(pen)
    return sum(float(np.hypot(*np.diff(c, axis=0).T).sum()) for c in pen.contours)
