"""Lengths and volumes convert by their definitions, and measures are read as they are spoken."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.units import inches_from_mm, ml_from_fl_oz, mm_from_inches


def test_an_inch_is_25_4_mm():
    """International yard and pound agreement, 1959."""
    assert mm_from_inches(1) == 25.4
    assert mm_from_inches(12) == pytest.approx(304.8)


def test_a_us_fluid_ounce_is_231_128ths_of_a_cubic_inch():
    """NIST Handbook 44, Appendix C: a US gallon is 231 cubic inches and 128 fluid ounces."""
    assert ml_from_fl_oz(1) == pytest.approx(231 / 128 * 2.54**3, rel=1e-12)
    assert ml_from_fl_oz(20) == pytest.approx(591.47, abs=0.005)


@given(st.floats(-1e6, 1e6))
def test_inches_and_millimetres_go_there_and_back(length_mm):
    assert mm_from_inches(inches_from_mm(length_mm)) == pytest.approx(length_mm, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ("1/64", 0.396875),
        (".015", 0.381),
        ("0.04", 1.016),
        ("3.", 76.2),
        ("2", 50.8),
        ("1 1/2", 38.1),
        ("1-1/2", 38.1),
        (" 3/4 ", 19.05),
        ("-1/8", -3.175),
    ],
)
def test_fractions_are_read_as_they_are_spoken(text, length_mm):
    assert mm_from_inches(text) == pytest.approx(length_mm, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    ["", ".", "1/0", "1/", "/2", "nan", "inf", "1e9", "1e999999999", "9" * 5000, "1 2", "½", "٣"],
)
def test_what_is_no_number_of_inches_is_refused(text):
    with pytest.raises(ValueError, match="is not a number of inches; write it as"):
        mm_from_inches(text)


@given(st.text(max_size=12))
def test_any_text_is_a_length_or_refused(text):
    try:
        assert isinstance(mm_from_inches(text), float)
    except ValueError as error:
        said = str(error)
    else:
        said = "write it"
    assert "write it" in said
