"""Amounts as they are read off a scale: one way for tables, formulas and every face."""

__all__ = ["counted", "figure", "unit_of"]


def figure(amount: float) -> str:
    """An amount to a thousandth, from 100 on to a tenth; whole ones as they are."""
    if amount == int(amount):
        return f"{amount:,.0f}"
    return f"{amount:.3f}" if abs(amount) < 100 else f"{amount:,.1f}"


def unit_of(amount: float, unit: str) -> str:
    """The unit as it stands behind that amount: 1 piece, 2 pieces."""
    return "pieces" if unit == "piece" and amount != 1 else unit


def counted(amount: float, unit: str) -> str:
    """The amount with its unit."""
    return f"{figure(amount)} {unit_of(amount, unit)}"
