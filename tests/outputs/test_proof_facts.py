"""What the proof states is what the document and the cup say."""

import numpy as np
import pytest

from mockup.blank.wall import build_blank
from mockup.design.read import read_design
from mockup.files import shipped
from mockup.outputs.facts import Elevation, View
from mockup.outputs.proof_facts import Pictures, chip_colours, light_fact, proof_facts
from mockup.outputs.proof_words import LIGHTS, OWN_LIGHT
from mockup.render.lights import light_names
from mockup.skin.skin import Clear

GREY = np.full((8, 6, 3), 127, np.uint8)
PICTURES = Pictures(
    View("Front", GREY), (View("Front", GREY),), View("Close up", GREY), Elevation(GREY, 6, 8, 5)
)


@pytest.fixture(scope="module")
def regatta():
    return read_design(shipped("textures", "regatta", "design.toml"))


@pytest.fixture
def make(regatta, make_skin):
    def make(rim_gap_mm=9.0, **words):
        spec = regatta.document.blank.model_copy(update={"rim_gap_mm": rim_gap_mm})
        blank = build_blank(spec, where="blank")
        skin = make_skin(blank.wall, clear=Clear(1.2, "gloss"))
        return proof_facts(
            regatta, blank, skin, {}, PICTURES, light="softbox", flat_px_per_mm=1.0, **words
        )

    return make


def test_every_material_of_the_design_is_named_once(make, regatta):
    facts = make()

    assert {s.role for s in facts.swatches} == {role for role, _ in regatta.roles()}
    assert len({s.role for s in facts.swatches}) == len(facts.swatches)
    [ink] = [s for s in facts.swatches if s.role == "backing"]
    assert ink.material == "ink vinyl"
    assert ink.chip_rgb8_srgb == (8, 20, 40)
    assert ink.hex_srgb == "#081428"


def test_a_material_says_what_it_is_used_as(make):
    """Flakes with every cut of theirs, foil as foil, paint as paint; where its colour is from."""
    told = {s.role: (s.finish, s.numbers, s.source) for s in make().swatches}

    assert told["base"] == (
        "Base coat of paint, satin", "paint or print of this colour", "chosen on screen"
    )  # fmt: skip
    assert told["backing"][0] == "Vinyl, matt"
    assert told["glitter-mid"][0] == "Glitter, metallic, 0.2 and 0.38 mm"
    assert told["glitter-bright"][0] == "Glitter, metallic, 1 mm"
    assert told["lettering"][:2] == ("Foil, bright", "copper under lacquer #fff4ea")


def test_every_light_of_ours_is_told_in_plain_words():
    assert set(LIGHTS) == set(light_names())
    assert light_fact("my-kitchen").words == OWN_LIGHT


def test_what_may_differ_is_of_what_the_design_has(regatta, make):
    """The demo has glitter, foil, a wrap and coats; a skin without flakes does not tell."""
    told = " ".join(make().differences)

    assert "Foil" not in told  # this skin has no sheets
    assert "Flakes" not in told
    for words in ("two ends meet", "Screens and printers", "clear coat"):
        assert words in told


def test_sizes_are_those_of_the_document(make):
    sizes = dict(make().sizes)

    assert sizes["Diameter"] == pytest.approx(73.0)
    assert sizes["Once round"] == pytest.approx(np.pi * 73.0)
    assert sizes["Pennant bunting, height"] == pytest.approx(37.5)
    assert sizes["Crew name, letter height"] == 18
    assert sizes["Oars, width"] == 42
    assert sizes["Clear coats together"] == pytest.approx(1.2)


def test_a_pigment_shows_its_own_colour_and_copper_is_redder_than_silver(regatta):
    chips = chip_colours(regatta)
    silver = chip_colours(regatta.with_palette("storm-silver"))["lettering"]

    assert chips["base"] == (13, 35, 72)
    assert chips["lettering"][0] > chips["lettering"][2] + 40
    assert max(silver) - min(silver) < 20


def test_a_metal_chip_is_darker_than_white_paint_of_its_lacquer(regatta):
    """Silver mirrors .6 of white at .9 and more: between sRGB codes 190 and 205."""
    silver = chip_colours(regatta.with_palette("storm-silver"))["lettering"]

    assert 190 <= min(silver) <= max(silver) <= 205


@pytest.mark.parametrize(("rim_gap_mm", "cautions"), [(9.0, 1), (19.9, 1), (20.0, 0)])
def test_decoration_in_the_lip_zone_is_cautioned(make, rim_gap_mm, cautions):
    """ISO 6486 and ASTM C927 count the outer 20 mm below the rim as the lip."""
    facts = make(rim_gap_mm)

    assert len([c for c in facts.cautions if "lip zone" in c]) == cautions


def test_the_checks_sentences_are_kept(make):
    facts = make(findings=("a",), cautions=("b",))

    assert facts.findings == ("a",)
    assert facts.cautions[0] == "b"
