"""What the checks found is told to the customer by what they will see."""

import pytest

from mockup.checks.finding import Finding
from mockup.design.read import read_design
from mockup.files import shipped
from mockup.outputs.proof_findings import RULES_TOLD, customer_words


@pytest.fixture(scope="module")
def regatta():
    return read_design(shipped("textures", "regatta"))


def found(rule, layer):
    where = f"design.toml: layers[{layer}]"
    return Finding("warn", rule, where, 1.0, 3.0, ":1", "Outset the backing by 1 mm.")


def layer_of(design, name):
    return next(i for i, layer in enumerate(design.document.layers) if layer.name == name)


def test_lettering_is_hard_to_read_and_a_drawing_stands_out_little(regatta):
    name, border = layer_of(regatta, "crew name"), layer_of(regatta, "wave border")

    told = customer_words(regatta, [found("low contrast", name), found("low contrast", border)])

    assert told == (
        "Crew name: close in brightness to what lies behind it, and hard to read across a table.",
        "Wave border: close in brightness to what lies behind it, so that it stands out little.",
    )


def test_the_maker_s_own_business_is_not_told(regatta):
    """Neither how to mend it, nor what is about cutting alone."""
    told = customer_words(regatta, [found(rule, 6) for rule in (*RULES_TOLD, "island", "speck")])

    assert len(told) == len(RULES_TOLD)
    assert "Outset" not in " ".join(told)


def test_each_is_told_once(regatta):
    assert len(customer_words(regatta, [found("covered", 6)] * 3)) == 1
