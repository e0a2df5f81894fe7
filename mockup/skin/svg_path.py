"""SVG's shapes as drawing commands: recorded pen calls with lines, quadratics and cubics only."""

import math
import re
from collections.abc import Callable, Mapping
from typing import Any

from fontTools.misc.transform import Transform
from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path

from mockup.skin.svg_length import length_px, numbers

__all__ = ["SHAPES", "Commands", "commands_of"]

Commands = list[tuple[str, tuple[Any, ...]]]
_Length = Callable[..., float]
_NOT_PATH = re.compile(r"[^MmZzLlHhVvCcSsQqTtAaEe0-9+\-.,\s]")
_PADDED = re.compile(r"(?<![\d.eE])0\d")


class _ArcPen(RecordingPen):  # type: ignore[misc]  # fontTools is untyped here
    """Records a path's commands and turns its arcs into cubics of at most 30°.

    A cubic leaves such an arc by less than 1e-7 of its radius (Goldapp 1991,
    doi:10.1016/0167-8396(91)90007-X, sec. 2).
    """

    def arcTo(  # noqa: N802  the name that the parser looks for
        self,
        rx: float,
        ry: float,
        rotation_deg: float,
        large: bool,
        sweep: bool,
        end: tuple[float, float],
    ) -> None:
        start = self.value[-1][1][-1]
        if start == end:
            return
        rx, ry = abs(rx), abs(ry)
        if rx == 0 or ry == 0:
            self.lineTo(end)
            return
        cubics = _arc(start, end, rx, ry, math.radians(rotation_deg), bool(large), bool(sweep))
        for cubic in cubics:
            self.curveTo(*cubic)


def _arc(
    start: tuple[float, float],
    end: tuple[float, float],
    rx: float,
    ry: float,
    rotation_rad: float,
    large: bool,
    sweep: bool,
) -> list[tuple[tuple[float, float], ...]]:
    """Endpoint to centre form, then cubics; SVG 2, appendix B.2.4 and B.2.5."""
    cos, sin = math.cos(rotation_rad), math.sin(rotation_rad)
    dx, dy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    x1, y1 = cos * dx + sin * dy, -sin * dx + cos * dy
    too_small = (x1 / rx) ** 2 + (y1 / ry) ** 2
    if too_small > 1:
        rx, ry = rx * math.sqrt(too_small), ry * math.sqrt(too_small)
    below = (rx * y1) ** 2 + (ry * x1) ** 2
    root = math.sqrt(max(0.0, (rx * ry) ** 2 - below) / below)
    root = -root if large == sweep else root
    cx, cy = root * rx * y1 / ry, -root * ry * x1 / rx
    first = math.atan2((y1 - cy) / ry, (x1 - cx) / rx)
    turn = math.atan2((-y1 - cy) / ry, (-x1 - cx) / rx) - first
    if sweep and turn < 0:
        turn += 2 * math.pi
    if not sweep and turn > 0:
        turn -= 2 * math.pi
    mid = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    centre = cos * cx - sin * cy + mid[0], sin * cx + cos * cy + mid[1]
    frame = Transform(cos * rx, sin * rx, -sin * ry, cos * ry, *centre)
    cubics = _turned(frame, first, turn)
    cubics[-1] = (*cubics[-1][:2], end)
    return cubics


def _turned(
    parent_from_unit: Transform, first_rad: float, turn_rad: float
) -> list[tuple[tuple[float, float], ...]]:
    """Cubics along the unit circle, in the parent's space."""
    steps = max(1, math.ceil(abs(turn_rad) / (math.pi / 6) - 1e-9))
    step = turn_rad / steps
    reach = 4 / 3 * math.tan(step / 4)
    cubics = []
    for i in range(steps):
        a, b = first_rad + i * step, first_rad + (i + 1) * step
        cos_a, sin_a, cos_b, sin_b = math.cos(a), math.sin(a), math.cos(b), math.sin(b)
        unit = [
            (cos_a - reach * sin_a, sin_a + reach * cos_a),
            (cos_b + reach * sin_b, sin_b - reach * cos_b),
            (cos_b, sin_b),
        ]
        cubics.append(tuple(parent_from_unit.transformPoints(unit)))
    return cubics


def _path(geometry: Mapping[str, str], _length: _Length) -> Commands:
    text = geometry.get("d", "").strip()
    if text in ("", "none"):
        return []
    bad = _NOT_PATH.search(text) or (None if re.search("[aA]", text) else _PADDED.search(text))
    if bad is not None:
        raise ValueError(f"a path has {text[bad.start() : bad.start() + 12]!r} in it")
    pen = _ArcPen()
    parse_path(text, pen)
    return list(pen.value)


def _rect(geometry: Mapping[str, str], length: _Length) -> Commands:
    x, y = length("x", "x"), length("y", "y")
    width, height = length("width", "x"), length("height", "y")
    if width <= 0 or height <= 0:
        return []
    given_x, given_y = (geometry.get(k, "auto").strip() != "auto" for k in ("rx", "ry"))
    rx = length("rx", "x") if given_x else length("ry", "y") if given_y else 0.0
    ry = length("ry", "y") if given_y else rx
    rx, ry = min(max(rx, 0.0), width / 2), min(max(ry, 0.0), height / 2)
    right, foot = x + width, y + height
    if rx == 0 or ry == 0:
        return _polygon([(x, y), (right, y), (right, foot), (x, foot)], closed=True)
    pen = RecordingPen()
    pen.moveTo((x + rx, y))
    corners = [(right - rx, y + ry), (right - rx, foot - ry), (x + rx, foot - ry), (x + rx, y + ry)]
    for i, corner in enumerate(corners):
        frame = Transform(rx, 0, 0, ry, *corner)
        first = (i - 1) * math.pi / 2
        pen.lineTo(frame.transformPoint((math.cos(first), math.sin(first))))
        for cubic in _turned(frame, first, math.pi / 2):
            pen.curveTo(*cubic)
    pen.closePath()
    return list(pen.value)


def _round(cx: float, cy: float, rx: float, ry: float) -> Commands:
    if rx <= 0 or ry <= 0:
        return []
    pen = RecordingPen()
    pen.moveTo((cx + rx, cy))
    for cubic in _turned(Transform(rx, 0, 0, ry, cx, cy), 0.0, 2 * math.pi):
        pen.curveTo(*cubic)
    pen.closePath()
    return list(pen.value)


def _circle(_geometry: Mapping[str, str], length: _Length) -> Commands:
    radius = length("r", "diagonal")
    return _round(length("cx", "x"), length("cy", "y"), radius, radius)


def _ellipse(geometry: Mapping[str, str], length: _Length) -> Commands:
    given_x, given_y = (geometry.get(k, "auto").strip() != "auto" for k in ("rx", "ry"))
    rx = length("rx", "x") if given_x else length("ry", "y")
    ry = length("ry", "y") if given_y else rx
    return _round(length("cx", "x"), length("cy", "y"), rx, ry)


def _line(_geometry: Mapping[str, str], length: _Length) -> Commands:
    ends = [(length("x1", "x"), length("y1", "y")), (length("x2", "x"), length("y2", "y"))]
    return _polygon(ends, closed=False)


def _points(geometry: Mapping[str, str], *, closed: bool) -> Commands:
    flat = numbers(geometry.get("points", ""))
    return _polygon(list(zip(flat[::2], flat[1::2], strict=False)), closed=closed)


def _polygon(points: list[tuple[float, float]], *, closed: bool) -> Commands:
    if len(points) < 2:
        return []
    rest: Commands = [("lineTo", (p,)) for p in points[1:]]
    return [("moveTo", (points[0],)), *rest, ("closePath" if closed else "endPath", ())]


SHAPES: dict[str, Callable[[Mapping[str, str], _Length], Commands]] = {
    "path": _path,
    "rect": _rect,
    "circle": _circle,
    "ellipse": _ellipse,
    "line": _line,
    "polyline": lambda geometry, _length: _points(geometry, closed=False),
    "polygon": lambda geometry, _length: _points(geometry, closed=True),
}


def commands_of(tag: str, geometry: Mapping[str, str], view: tuple[float, float]) -> Commands:
    """The commands of one shape in its own user units.

    Parameters
    ----------
    tag
        One of `SHAPES`.
    geometry
        Its attributes, with those that CSS sets laid over.
    view
        Width and height of the nearest viewport, in user units, for percentages.

    Raises
    ------
    ValueError
        A length or the path data is not what SVG allows.
    """
    relative = {
        "x": view[0],
        "y": view[1],
        "diagonal": math.hypot(*view) / math.sqrt(2),
    }

    def length(key: str, axis: str) -> float:
        return length_px(geometry.get(key, ""), relative[axis]) or 0.0

    return SHAPES[tag](geometry, length)
