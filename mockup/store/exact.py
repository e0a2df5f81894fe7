"""Amounts as the store keeps them: whole ten-thousandths of a unit, so that sums are exact."""

from fractions import Fraction

from mockup.errors import StoreError

__all__ = ["amount_of", "kept"]

PARTS = 10_000  # as finely as the plan states amounts
MOST = 10**9


def amount_of(parts: int) -> Fraction:
    """The amount, in the material's unit."""
    return Fraction(parts, PARTS)


def kept(amount: float | Fraction, *, where: str, least: int = 1) -> int:
    """An amount in the material's unit as ten-thousandths, rounded to the nearest.

    Raises
    ------
    StoreError
        It is less than `least` of them, huge, or no number.
    """
    told = f"{float(amount):g}"
    if not -MOST <= amount <= MOST:  # not a number lies nowhere
        raise StoreError(f"{told} is no amount", where=where, remedy="Give a plain number")
    parts = round(Fraction(amount) * PARTS)
    if parts < least:
        remedy = "Give more than 0" if least else "Give 0 or more"
        raise StoreError(f"{told} is too little", where=where, remedy=remedy)
    return parts
