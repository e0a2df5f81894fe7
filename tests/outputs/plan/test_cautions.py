"""Where the work can hurt, the plan says so, and defers to the data sheet."""

import re

import pytest

from mockup.blank.wall import build_blank
from mockup.design.shelf import Handling
from mockup.outputs.plan.cautions import DEFERENCE, STEP_CAUTIONS
from mockup.outputs.plan.making import making
from tests.outputs.plan.orders import BASE, COAT, STRAIGHT, changed, design_of, glitter, typical

EVERYTHING = [
    BASE,
    {"kind": "wrap", "artwork": "assets/square.svg", "sheet": "fabric"},
    glitter({"shape": "scatter", "coverage": 0.3}),
    COAT,
    {
        "kind": "decal",
        "swatch": "foil",
        "svg": "assets/square.svg",
        "width_mm": 10,
        "place": {"height_mm": 70},
    },
    COAT,
    {"kind": "coat", "thickness_mm": 0.03},
]


def told(layers, *, shelf=None, **blank):
    design = design_of(layers, STRAIGHT | blank)
    built = build_blank(design.document.blank, where="blank")
    return making(design, built, shelf or typical()).cautions


def test_the_whole_stack_is_covered():
    """Of each step of a stack with every kind of layer, all cautions are there, once."""
    shown = told(EVERYTHING)

    assert set(STEP_CAUTIONS) == {*Handling.model_fields, "cure"} - {"mask", "hand_over", "source"}
    assert {c for step in STEP_CAUTIONS.values() for c in step} <= set(shown)
    assert len(set(shown)) == len(shown)
    assert shown[0] == DEFERENCE


@pytest.mark.parametrize(
    ("words", "layers"),
    [
        (r"nitrile gloves.*ventilation.*respirator", [BASE, COAT]),
        (r"no flame.*aerosol", [BASE]),
        (r"[Ss]anding.*wet or with extraction.*dust mask", [COAT, COAT]),
        (r"Blades", EVERYTHING),
        (r"do not breathe it.*children", [glitter({"shape": "scatter", "coverage": 0.3})]),
        (r"lip bare.*approved for food contact", [BASE]),
        (r"before it is fully cured", [BASE]),
        (r"data sheet, local rules and licensed practice", [BASE]),
    ],
)
def test_what_hurts_is_named(words, layers):
    assert any(re.search(words, sentence) for sentence in told(layers))


def test_without_resin_there_is_no_word_of_it():
    assert not any("resin" in sentence.lower() for sentence in told([BASE]))


def test_the_lip_zone_is_told_where_the_decoration_comes_near():
    near, far = (told([BASE], rim_gap_mm=gap) for gap in (9.0, 25.0))

    assert any("9.0 mm below the rim" in sentence for sentence in near)
    assert not any("lip zone" in sentence for sentence in far)


def test_a_room_out_of_a_products_range_is_told():
    """The typical resin is for 15 to 30 °C."""
    cold = told([BASE, COAT], shelf=changed(typical(), "workshop", room_c=12.0))

    assert any(re.search(r"clear epoxy is not for a room of 12 °C", sentence) for sentence in cold)
    assert not any("is not for a room" in sentence for sentence in told([BASE, COAT]))
