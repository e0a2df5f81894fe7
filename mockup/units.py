"""The only place that converts units. Files and code hold mm, mL, g, h and degrees or radians."""

from fractions import Fraction

__all__ = ["ML_PER_US_FL_OZ", "MM_PER_INCH", "inches_from_mm", "ml_from_fl_oz", "mm_from_inches"]

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
        try:
            inches = float(sum(Fraction(part) for part in inches.split()))
        except (ValueError, ZeroDivisionError):
            raise ValueError(f"{inches!r} is not a number of inches") from None
    return inches * MM_PER_INCH


def inches_from_mm(length_mm: float) -> float:
    """Millimetres to inches."""
    return length_mm / MM_PER_INCH


def ml_from_fl_oz(volume_fl_oz: float) -> float:
    """US fluid ounces to millilitres."""
    return volume_fl_oz * ML_PER_US_FL_OZ
