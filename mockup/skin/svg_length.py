"""Numbers, lengths and transforms as SVG writes them."""

import math
import re

from fontTools.misc.transform import Transform

from mockup.units import MM_PER_INCH

__all__ = ["PX_PER_INCH", "length_px", "numbers", "transform_from", "view_transform"]

PX_PER_INCH = 96.0  # CSS Values and Units 3, sec. 5.2
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_NUMBERS = re.compile(_NUMBER)
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z%]*)\s*")
_CALL = re.compile(r"\s*([a-zA-Z]+)\s*\(([^()]*)\)\s*,?")
_PX = {
    "": 1.0,
    "px": 1.0,
    "in": PX_PER_INCH,
    "mm": PX_PER_INCH / MM_PER_INCH,
    "cm": PX_PER_INCH / MM_PER_INCH * 10,
    "q": PX_PER_INCH / MM_PER_INCH / 4,
    "pt": PX_PER_INCH / 72,
    "pc": PX_PER_INCH / 6,
}


def numbers(text: str) -> list[float]:
    """Every number in `text`, whatever separates them."""
    return [float(n) for n in _NUMBERS.findall(text)]


def length_px(text: str, relative_px: float | None) -> float | None:
    """A length in user units; percentages are of `relative_px`.

    Returns None where there is no length: empty, ``auto``, or a percentage of nothing.

    Raises
    ------
    ValueError
        The text is no length, or has a unit that depends on a font or a window.
    """
    if text.strip() in ("", "auto"):
        return None
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise ValueError(f"{text!r} is not a length")
    value, unit = float(match[1]), match[2].lower()
    if unit == "%":
        return None if relative_px is None else value / 100 * relative_px
    if unit not in _PX:
        raise ValueError(f"{text!r} is not a length in px, mm, cm, in, pt or %")
    if not math.isfinite(value):
        raise ValueError(f"{text!r} is too large")
    return value * _PX[unit]


def transform_from(text: str) -> Transform:
    """A transform list, such as ``translate(3 4) rotate(30)``, as parent-from-child.

    Raises
    ------
    ValueError
        The list is not of SVG's transforms.
    """
    text = text.strip()
    if text in ("", "none"):
        return Transform()
    whole, at = Transform(), 0
    while at < len(text):
        match = _CALL.match(text, at)
        if match is None:
            raise ValueError(f"{text!r} is not a transform")
        whole = whole.transform(_one_transform(match[1], match[2]))
        at = match.end()
    return whole


def _one_transform(name: str, arguments: str) -> Transform:
    """One call of the list; CSS Transforms 1, sec. 14."""
    left = _NUMBERS.sub("", arguments)
    if not re.fullmatch(r"[\s,]*(?:(?:deg|px)[\s,]*)*", left):
        raise ValueError(f"{name}({arguments}) is not a transform")
    match name, numbers(arguments):
        case "matrix", [a, b, c, d, e, f]:
            return Transform(a, b, c, d, e, f)
        case "translate", [x]:
            return Transform(1, 0, 0, 1, x, 0)
        case "translate", [x, y]:
            return Transform(1, 0, 0, 1, x, y)
        case "scale", [s]:
            return Transform(s, 0, 0, s, 0, 0)
        case "scale", [x, y]:
            return Transform(x, 0, 0, y, 0, 0)
        case "rotate", [angle]:
            return _rotation(angle)
        case "rotate", [angle, x, y]:
            return Transform(1, 0, 0, 1, x, y).transform(_rotation(angle)).translate(-x, -y)
        case "skewX", [angle]:
            return Transform(1, 0, math.tan(math.radians(angle)), 1, 0, 0)
        case "skewY", [angle]:
            return Transform(1, math.tan(math.radians(angle)), 0, 1, 0, 0)
    raise ValueError(f"{name}({arguments}) is not a transform")


def _rotation(angle_deg: float) -> Transform:
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return Transform(cos, sin, -sin, cos, 0, 0)


def view_transform(
    box: tuple[float, float, float, float], fit: str, width: float, height: float
) -> Transform:
    """Viewport-from-user transform of a viewBox; SVG 2, sec. 8.2.

    `fit` is the text of ``preserveAspectRatio``; ``xMidYMid meet`` where it is empty.
    """
    x, y, box_width, box_height = box
    sx, sy = width / box_width, height / box_height
    words = fit.split() or ["xMidYMid"]
    if words[0] == "none":
        return Transform(sx, 0, 0, sy, -x * sx, -y * sy)
    match = re.fullmatch(r"x(Min|Mid|Max)Y(Min|Mid|Max)", words[0])
    if match is None:
        raise ValueError(f"{fit!r} is not a preserveAspectRatio")
    scale = max(sx, sy) if words[1:] == ["slice"] else min(sx, sy)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    left = (width - box_width * scale) * share[match[1]]
    top = (height - box_height * scale) * share[match[2]]
    return Transform(scale, 0, 0, scale, left - x * scale, top - y * scale)
