"""Money is exact: decimals as they are written, and one rounding at the end."""

from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.outputs.plan.money import exact, rounded, rounded_up, shown


def test_a_tenth_is_a_tenth():
    assert exact(0.1) + exact(0.2) == exact(0.3) == Fraction(3, 10)
    assert exact(7) == 7


@given(thousandths=st.integers(-(10**9), 10**9))
def test_rounding_is_that_of_a_bill(thousandths):
    """Against the decimal library's half-up, which is away from zero."""
    expected = Decimal(thousandths).scaleb(-3).quantize(Decimal(1), ROUND_HALF_UP)

    assert rounded(Fraction(thousandths, 1000)) == int(expected)


@given(thousandths=st.integers(0, 10**9), step=st.integers(1, 1000))
def test_rounding_up_reaches_the_next_step(thousandths, step):
    steps = (Decimal(thousandths) / 1000 / step).quantize(Decimal(1), ROUND_CEILING)

    assert rounded_up(Fraction(thousandths, 1000), step) == int(steps) * step


@pytest.mark.parametrize(
    ("minor", "digits", "words"),
    [
        (123450, 2, "1,234.50 EUR"),
        (-5, 2, "-0.05 EUR"),
        (1200, 0, "1,200 EUR"),
        (1234567, 3, "1,234.567 EUR"),
    ],
)
def test_sums_are_shown_as_on_a_bill(minor, digits, words):
    assert shown(minor, currency="EUR", minor_digits=digits) == words
