import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from mockup.colorimetry.companions import TURNS_DEG, companions, tints
from mockup.colorimetry.oklab import hue_chroma, in_gamut, oklab_from_linear_srgb
from mockup.errors import DesignError

colours = arrays(np.float64, 3, elements=st.floats(0.0, 1.0))


def _turn(hue_deg, from_deg):
    return (hue_deg - from_deg) % 360.0


@given(colours)
@example(np.ones(3))
def test_companions_stand_at_their_turn_and_weigh_alike(rgb_linear):
    """Hue differences are those of the table; lightness stays; chroma is never more."""
    oklab = oklab_from_linear_srgb(rgb_linear)
    hue_deg, chroma = hue_chroma(oklab)

    found = companions(rgb_linear)

    assert set(found) == set(TURNS_DEG)
    for name, turns in TURNS_DEG.items():
        assert in_gamut(found[name]).all()
        np.testing.assert_allclose(found[name][:, 0], np.clip(oklab[0], 0, 1))
        hues, chromas = hue_chroma(found[name])
        assert (chromas <= chroma + 1e-12).all()
        for hue, strength, turn in zip(hues, chromas, turns, strict=True):
            if strength > 1e-5:
                assert abs((_turn(hue, hue_deg) - turn + 180) % 360 - 180) < 1e-4


@given(colours)
def test_the_opposite_of_the_opposite_is_the_hue_again(rgb_linear):
    hue_deg, chroma = hue_chroma(oklab_from_linear_srgb(rgb_linear))
    (there,) = companions(rgb_linear)["opposite"]
    hue_there, strength = hue_chroma(there)

    if min(chroma, strength) > 1e-5:
        assert abs((_turn(hue_there, hue_deg)) - 180) < 1e-4


@given(colours, st.integers(2, 24))
def test_tints_rise_in_even_steps_at_one_hue(rgb_linear, count):
    found = tints(rgb_linear, count)
    hue_deg, chroma = hue_chroma(oklab_from_linear_srgb(rgb_linear))
    hues, chromas = hue_chroma(found)

    assert found.shape == (count, 3)
    assert in_gamut(found).all()
    steps = np.diff(found[:, 0])
    assert (steps > 0).all()
    np.testing.assert_allclose(steps, steps[0])
    assert (chromas <= chroma + 1e-12).all()
    strong = chromas > 1e-5
    assert (np.abs((hues[strong] - hue_deg + 180) % 360 - 180) < 1e-4).all()


@pytest.mark.parametrize("count", [-1, 0, 1, 25])
def test_a_count_of_tints_that_makes_no_sense_is_refused(count):
    with pytest.raises(DesignError, match="Ask for 2 to 24"):
        tints([0.1, 0.2, 0.4], count)
