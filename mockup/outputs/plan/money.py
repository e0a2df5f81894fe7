"""Money: whole minor units, and fractions until the moment of rounding; never floating point.

A float of the shelf stands for the decimal that the maker wrote: 0.1 is one tenth, not the binary
number next to it. That is what `exact` takes it for.
"""

from fractions import Fraction

__all__ = ["exact", "rounded", "rounded_up", "shown"]


def exact(value: float | int | Fraction) -> Fraction:
    """The number as it is written in decimals, as a fraction."""
    return Fraction(value) if isinstance(value, int | Fraction) else Fraction(repr(value))


def rounded(amount_minor: Fraction) -> int:
    """To the nearest minor unit, halves away from zero, as bills are rounded."""
    whole = (2 * abs(amount_minor) + 1) // 2
    return int(whole if amount_minor >= 0 else -whole)


def rounded_up(amount_minor: Fraction, step_minor: int) -> int:
    """The least multiple of `step_minor` that is not below."""
    return int(-(-amount_minor // step_minor) * step_minor)


def shown(amount_minor: int, *, currency: str, minor_digits: int) -> str:
    """The sum in words of a bill, such as ``1,234.50 EUR``."""
    sign, units = ("-" if amount_minor < 0 else ""), abs(amount_minor)
    if minor_digits == 0:
        return f"{sign}{units:,} {currency}"
    major, minor = divmod(units, 10**minor_digits)
    return f"{sign}{major:,}.{minor:0{minor_digits}d} {currency}"
