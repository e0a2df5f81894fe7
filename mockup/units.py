"""The only place that converts units. Files and code hold mm, mL, g, h and degrees or radians."""

import re
from fractions import Fraction

__all__ = ["ML_PER_US_FL_OZ", "MM_PER_INCH", "inches_from_mm", "ml_from_fl_oz", "mm_from_inches"]

_NUMBER = re.compile(r"\d{0,9}\.?\d{1,12}|\d{1,9}\.", re.ASCII)
_FRACTION = re.compile(r"(?:(\d{1,6})[ -])?(\d{1,6}) ?/ ?(\d{1,6})", re.ASCII)

MM_PER_INCH = 25.4  # mm, exact; international yard and pound agreement, 1959
ML_PER_US_FL_OZ = 29.5735295625  # mL, exact; US fluid ounce, 231/128 cubic inches


def mm_from_inches(inches: float | str) -> float:
    """Inches to millimetres; a text may be a fraction such as ``"1/64"`` or ``"1 1/2"``.

    Raises
    ------
    ValueError
        The text is neither a number nor a fraction.
    """
    if isinstance(inches, str):
        inches = _inches(inches)
    return inches * MM_PER_INCH


def inches_from_mm(length_mm: float) -> float:
    """Millimetres to inches."""
    return length_mm / MM_PER_INCH


def ml_from_fl_oz(volume_fl_oz: float) -> float:
    """US fluid ounces to millilitres."""
    return volume_fl_oz * ML_PER_US_FL_OZ


def _inches(text: str) -> float:
    size = text.strip().removeprefix("-")
    sign = -1 if text.strip().startswith("-") else 1
    if _NUMBER.fullmatch(size):
        return sign * float(size)
    fraction = _FRACTION.fullmatch(size)
    if fraction is None or int(fraction[3]) == 0:
        raise ValueError(f"{text!r} is not a number of inches; write it as 0.015 or as 1/64")
    whole, part = int(fraction[1] or 0), Fraction(int(fraction[2]), int(fraction[3]))
    return sign * float(whole + part)
