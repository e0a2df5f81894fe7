import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colorimetry.spectra import (
    illuminant_power,
    linear_srgb_weights,
    observer_2deg,
    wavelengths_nm,
)
from mockup.colorimetry.srgb import linear_from_hex
from mockup.colorimetry.upsampling import reflectance_from_linear_srgb
from mockup.design.palette import MetalSwatch, PigmentSwatch, SpectrumSwatch
from mockup.errors import UnknownName
from mockup.material.metamers import EVERYDAY, are_metamers, closest_pair, metamerism

NM = tuple(float(w) for w in wavelengths_nm())
GREY = PigmentSwatch(srgb="#808080")


def black():
    """A metameric black: invisible under D65, for it is orthogonal to each weight there.

    Wyszecki's decomposition (Wyszecki & Stiles 1982, sec. 3.8): any spectrum less its projection on
    to the weights. Here of a wave with three crests, which lamp light does not leave unseen.
    """
    weights = linear_srgb_weights("D65")
    wave = np.sin(2 * np.pi * (wavelengths_nm() - 400) / 100)
    wave = wave - weights @ np.linalg.lstsq(weights, wave, rcond=None)[0]
    return wave / np.abs(wave).max()


def twin(swatch, share):
    """The same colour in daylight by another spectrum."""
    spectrum = reflectance_from_linear_srgb(linear_from_hex(swatch.srgb)) + share * black()
    assert 0 <= spectrum.min() < spectrum.max() <= 1
    return SpectrumSwatch(nm=NM, reflectance=tuple(map(float, spectrum)), source="worked out")


def test_a_metameric_black_is_unseen_in_daylight_and_seen_by_lamp_light():
    """The law: equal X, Y, Z under D65, and unequal under A."""
    xyz = {
        light: black() @ (observer_2deg() * illuminant_power(light)[:, None]) / 100
        for light in ("D65", "A")
    }

    np.testing.assert_allclose(xyz["D65"], 0.0, atol=1e-10)
    assert np.abs(xyz["A"]).max() > 0.1


def test_two_paints_alike_in_daylight_and_apart_by_lamp_light_are_told():
    other = twin(GREY, 0.2)

    differences = metamerism(GREY, other)

    assert tuple(differences) == EVERYDAY
    assert differences["D65"] < 0.01
    assert max(differences.values()) > 3
    assert are_metamers(GREY, other)


@settings(max_examples=20)
@given(st.integers(0, 0xFFFFFF), st.sampled_from(["D65", "A", "LED-B3", "FL11"]))
def test_a_swatch_is_no_metamer_of_itself(code, light):
    swatch = PigmentSwatch(srgb=f"#{code:06x}")

    assert metamerism(swatch, swatch, [light]) == {light: 0.0}
    assert not are_metamers(swatch, swatch)


def test_greys_of_flat_spectra_agree_under_every_light():
    """A flat spectrum looks the same under every light to an eye adapted to it."""
    flat = SpectrumSwatch(nm=(380, 500, 780), reflectance=(0.2159,) * 3, source="worked out")

    assert max(metamerism(GREY, flat).values()) < 0.05


def test_two_colours_apart_everywhere_are_no_metamers():
    assert not are_metamers(PigmentSwatch(srgb="#c02020"), PigmentSwatch(srgb="#2030b0"))


def test_differences_do_not_depend_on_the_order():
    foil, paint = MetalSwatch(metal="gold"), PigmentSwatch(srgb="#d4b060")

    there, back = metamerism(foil, paint), metamerism(paint, foil)

    assert there == pytest.approx(back)


def test_an_unknown_light_is_refused():
    with pytest.raises(UnknownName, match="'LED-B3'"):
        metamerism(GREY, GREY, ["LED-B33"])


def test_metamers_come_before_a_pair_that_is_nearer():
    """Two greys that part under lamps, and two that are nearly one in every light."""
    nearly = PigmentSwatch(srgb="#808081")
    swatches = {"grey": GREY, "nearly": nearly, "twin": twin(nearly, 0.2)}

    pair = closest_pair(swatches)

    differences = metamerism(swatches[pair.role_a], swatches["twin"])
    assert pair.role_b == "twin"
    assert pair.metamers
    assert pair.least == pytest.approx(min(differences.values()))
    assert pair.most == pytest.approx(max(differences.values()))
    assert differences[pair.least_under] == pytest.approx(pair.least)
    assert differences[pair.most_under] == pytest.approx(pair.most)


def test_without_metamers_the_nearest_pair_is_told():
    swatches = {
        "navy": PigmentSwatch(srgb="#0d2348"),
        "copper": MetalSwatch(metal="copper"),
        "red": PigmentSwatch(srgb="#c02010"),
    }
    least = {
        (a, b): min(metamerism(swatches[a], swatches[b]).values())
        for a, b in (("navy", "copper"), ("navy", "red"), ("copper", "red"))
    }

    pair = closest_pair(swatches)

    assert not pair.metamers
    assert (pair.role_a, pair.role_b) == min(least, key=least.get)
    assert pair.least == pytest.approx(min(least.values()))


def test_one_swatch_alone_has_no_pair():
    assert closest_pair({"grey": GREY}) is None
