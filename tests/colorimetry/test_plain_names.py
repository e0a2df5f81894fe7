import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colorimetry.oklab import oklab_from_rgb8
from mockup.colorimetry.plain_names import plain_name


@pytest.mark.parametrize(
    ("srgb", "name"),
    [
        ("#000000", "black"),
        ("#808080", "grey"),
        ("#ffffff", "white"),
        ("#ff0000", "red"),
        ("#ffff00", "yellow"),
        ("#00a000", "green"),
        ("#0000ff", "blue"),
        ("#0d2348", "very dark blue"),
        ("#ffc0cb", "pale pink"),
        ("#6b4423", "brown"),
        ("#f2e8d5", "cream"),
        ("#d8c5a0", "beige"),
        ("#ff8800", "orange"),
        ("#6a3fc0", "violet"),
        ("#800080", "dark purple"),
        ("#2fa294", "sea green"),
    ],
)
def test_a_colour_is_called_what_people_call_it(srgb, name):
    assert plain_name(oklab_from_rgb8(np.frombuffer(bytes.fromhex(srgb[1:]), np.uint8))) == name


@given(st.integers(0, 0xFFFFFF))
def test_every_colour_has_a_name_in_plain_words(code):
    rgb8 = np.frombuffer(code.to_bytes(3, "big"), np.uint8)

    assert re.fullmatch(r"[a-z]+([ -][a-z]+)*", plain_name(oklab_from_rgb8(rgb8)))
