import pytest

from mockup.design.palette import Palette
from mockup.design.strict import validate
from mockup.errors import DesignError

MEASURED = {
    "kind": "spectrum",
    "nm": [400, 550, 700],
    "reflectance": [0.1, 0.5, 0.3],
    "source": "spectrophotometer, 45/0, dry film",
}


def _palette(**swatch):
    raw = {"format": 1, "name": "bench", "roles": {"base": MEASURED | swatch}}
    return validate(Palette, raw, where="bench.toml")


def test_a_stack_of_films_too_thick_to_show_is_told_in_one_sentence():
    film = {"kind": "film", "layers": [{"n": 1.38, "thickness_nm": 400}] * 2}

    with pytest.raises(DesignError) as told:
        validate(Palette, {"format": 1, "name": "b", "roles": {"foil": film}}, where="bench.toml")

    assert str(told.value) == (
        "bench.toml: roles.foil: the layers are 800 nm thick together, too much for clear colours. "
        "Keep them within 700 nm."
    )


def test_a_measured_spectrum_is_a_swatch():
    base = _palette().roles["base"]

    assert (base.nm, base.reflectance) == ((400, 550, 700), (0.1, 0.5, 0.3))
    assert not base.metallic


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (
            {"reflectance": [0.1, 0.5, 0.3, 0.2]},
            "3 wavelengths do not fit 4 reflectances. Give one reflectance for each wavelength.",
        ),
        ({"nm": [400, 700, 550]}, "the wavelengths do not grow. Sort them and leave out doubles."),
        ({"nm": [400, 400, 700]}, "the wavelengths do not grow. Sort them and leave out doubles."),
        (
            {"nm": [450, 550, 650]},
            "a spectrum from 450 to 650 nm leaves out light that the eye sees. "
            "Measure from 430 to 670 nm at least.",
        ),
        (
            {"nm": [400, 700], "reflectance": [0.1, 0.5]},
            "nm: it is too short (2 entries). Give at least 3 entries.",
        ),
        ({"reflectance": [10, 50, 30]}, "reflectance[0]: 10 is too large. Give at most 1."),
        ({"source": ""}, "source: it is empty. Give at least 1 character."),
    ],
)
def test_a_spectrum_that_cannot_be_is_told_in_one_sentence(wrong, sentence):
    with pytest.raises(DesignError) as told:
        _palette(**wrong)

    assert str(told.value).endswith(sentence)
    assert str(told.value).startswith("bench.toml: roles.base")
