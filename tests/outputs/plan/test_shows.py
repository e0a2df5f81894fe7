"""The figures of the plan against values worked out apart, on design files, by the command line."""

import json
import math
from decimal import Decimal

import numpy as np
import pytest
from click.testing import CliRunner

from mockup.design.shelf import typical_shelf_text
from mockup.faces.cli import cli
from mockup.files import shipped
from tests.design.sample import PALETTE, write_sample

STRAIGHT = """\
shape = "straight"
diameter_mm = 73.0
wall_height_mm = 150.0
"""
TAPERED = """\
shape = "tapered"
foot_diameter_mm = 58.0
rim_diameter_mm = 74.0
wall_height_mm = 170.0
"""
DESIGN = """\
format = 1
title = "Seat 3"
palette = "neap"

[blank]
{blank}
[[layers]]
kind = "base"
swatch = "base"

[[layers]]
kind = "glitter"
name = "veil"
cut_mm = 0.4
mix = [{{ swatch = "flake" }}]
coverage = [{{ shape = "scatter", coverage = 0.6 }}]

[[layers]]
kind = "coat"
name = "levelling coat"
thickness_mm = 0.40
"""


def run(*words):
    return CliRunner().invoke(cli, ["plan", *(str(word) for word in words)])


@pytest.fixture(autouse=True)
def _no_shelf_of_this_machine(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "none"))


@pytest.fixture
def planned(tmp_path):
    """The plan of the trial design on a blank, by ``--json``."""

    def plan(blank, *words):
        path = write_sample(tmp_path / "cup", design=DESIGN.format(blank=blank), palette=PALETTE)
        result = run(path, "--json", *words)
        assert result.exit_code == 0, result.output
        return json.loads(result.stdout)

    return plan


@pytest.fixture
def thin_film(tmp_path):
    """A shelf of its own, whose glitter is 0.05 mm thick and weighs 1.38 g/cm³, come what may."""
    path = tmp_path / "shelf.toml"
    text = typical_shelf_text()
    assert "film_thickness_mm = 0.05\ndensity_g_per_cm3 = 1.38" in text
    path.write_text(text)
    return path


def row(plan, layer, kind):
    (found,) = (a for a in plan["amounts"] if a["layer"] == layer and a["kind"] == kind)
    return found


def test_the_straight_cup(planned, thin_film):
    """Ø 73.0 × 150 mm: π · 73 = 229.336 mm, times 150 is 34,400.4 mm²."""
    plan = planned(STRAIGHT, "--shelf", thin_film)

    assert plan["flat"] == {
        "width_foot_mm": pytest.approx(229.336, abs=5e-4),
        "width_rim_mm": pytest.approx(229.336, abs=5e-4),
        "slant_mm": 150.0,
        "area_mm2": pytest.approx(34_400.4, abs=0.05),
        "sector_deg": 0.0,
        "sector_outer_radius_mm": None,
    }
    coat = row(plan, "levelling coat", "epoxy")
    assert coat["amount_before_loss"] == pytest.approx(13.760, abs=5e-4)
    assert coat["unit"] == "mL"
    assert coat["amount"] > coat["amount_before_loss"]


def test_the_tapered_cup(planned):
    """Radii 29 and 37 mm over 170 mm upright, worked out with compass and Pythagoras.

    Slant √(170² + 8²) = 170.188; the cone's apex lies 37 / 8 slants from the rim: 787.12 mm; the
    rim's 2π · 37 mm on that radius are 16.922°; π (29 + 37) slants are 35,287.7 mm².
    """
    flat = planned(TAPERED)["flat"]
    slant = math.hypot(170, 8)
    outer, inner = 37 / 8 * slant, 29 / 8 * slant
    angle = 2 * math.pi * 37 / outer
    turns = np.linspace(0, angle, 20_001)
    x = np.concatenate([outer * np.cos(turns), inner * np.cos(turns[::-1])])
    y = np.concatenate([outer * np.sin(turns), inner * np.sin(turns[::-1])])
    shoelace = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2

    assert flat["slant_mm"] == pytest.approx(170.188, abs=5e-4)
    assert flat["sector_outer_radius_mm"] == pytest.approx(787.12, abs=5e-3)
    assert flat["sector_deg"] == pytest.approx(16.922, abs=5e-4)
    assert flat["area_mm2"] == pytest.approx(35_287.7, abs=0.05)
    assert flat["area_mm2"] == pytest.approx(shoelace, rel=1e-6)
    assert flat["width_foot_mm"] == pytest.approx(182.212, abs=5e-4)
    assert flat["width_rim_mm"] == pytest.approx(232.478, abs=5e-4)


def test_the_glitter(planned, thin_film):
    """60 %, 0.05 mm, 1.38 g/cm³: 1.424 g side by side, 2.175 g strewn at random."""
    plan = planned(STRAIGHT, "--shelf", thin_film)
    glitter = row(plan, "veil", "glitter")
    side_by_side_g = 0.6 * 34_400.44 * 0.05 * 1.38 / 1000

    assert side_by_side_g == pytest.approx(1.424, abs=5e-4)
    assert glitter["amount_before_loss"] == pytest.approx(2.175, abs=5e-4)
    assert glitter["amount_before_loss"] == pytest.approx(
        side_by_side_g / 0.6 * -math.log(0.4), rel=1e-4
    )
    assert glitter["unit"] == "g"


def test_amounts_have_what_is_promised(planned):
    for amount in planned(STRAIGHT)["amounts"]:
        assert {"layer", "material", "amount_before_loss", "amount", "unit"} <= set(amount)
        assert amount["amount"] >= amount["amount_before_loss"] - 1e-4
        assert (
            "data sheet" in amount["source"]
            or "your own" in amount["source"]
            or ("invoice" in amount["source"])
        )


def test_the_price_in_the_file_adds_up_and_can_be_worked_out_again(planned):
    """By the decimal library, from the amounts that the plan prints and the shelf's packs."""
    plan = planned(STRAIGHT, "--cups", "3")
    inner, quote = plan["price"]["inner"], plan["price"]["quote"]
    epoxy = row(plan, "levelling coat", "epoxy")
    (line,) = (m for m in inner["materials"] if m["what"] == "clear epoxy")

    expected = Decimal(str(epoxy["amount"])) * 3600 / 1000
    assert line["minor"] == int(expected.quantize(Decimal(1)))
    assert sum(m["minor"] for m in inner["materials"]) == inner["materials_minor"]
    parts = ("materials", "labour", "waste", "overhead", "fees", "margin", "rounding")
    assert sum(inner[f"{part}_minor"] for part in parts) == quote["net_minor"]
    assert quote["net_minor"] + quote["tax_minor"] == quote["total_minor"]
    assert quote["each_minor"] * 3 == quote["total_minor"]
    assert [step["cups"] for step in plan["price"]["quantities"]] == [1, 2, 3, 4, 8]


def test_a_set_is_cheaper_by_the_piece(planned):
    """Up to a full rack of four, setting up is shared."""
    steps = {s["cups"]: s["each_minor"] for s in planned(STRAIGHT)["price"]["quantities"]}

    assert steps[1] > steps[2] > steps[4]


def test_the_demo_is_planned_in_words():
    result = run(shipped("textures", "regatta"), "--cups", "4", "--room", "12")

    assert result.exit_code == 0
    for words in ("Flat", "Amounts for 4 cups", "quote for the customer", "inner sum", "Cautions"):
        assert words in result.stdout
    assert "nitrile gloves" in result.stdout
    assert "not for a room of 12 °C" in result.stdout


def test_what_is_missing_is_listed(planned, tmp_path):
    stock = tmp_path / "stock.toml"
    stock.write_text(
        'format = 1\n[[on_hand]]\nitem = "clear epoxy"\namount = 8.0\nunit = "mL"\n'
        '[[on_hand]]\nitem = "polyester glitter, flake"\namount = 30.0\nunit = "g"\n'
        '[[on_hand]]\nitem = "of another cup"\namount = 1.0\nunit = "g"\nkeep = 9.0\n'
    )
    plan = planned(STRAIGHT, "--stock", stock)
    short = {p["item"]: p for p in plan["stock"]["to_buy"]}

    assert short["clear epoxy"]["short"] == pytest.approx(1.5 * 13.7602 - 8, abs=1e-3)
    assert short["clear epoxy"]["packs"] == 1
    assert "polyester glitter, flake" not in short
    assert "of another cup" not in short


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("--shelf", "none.toml"), 1, "cannot be read"),
        (("--stock", "none.toml"), 1, "cannot be read"),
        (("--cups", "0"), 2, "range"),
        (("--room", "nan"), 2, "not a number"),
        (("--room", "90"), 2, "range"),
        (("--palette", "storm"), 1, "palette"),
    ],
)
def test_wrong_words_are_told(words, code, told):
    result = run(shipped("textures", "regatta"), *words)

    assert result.exit_code == code
    assert told in result.output
    assert "Traceback" not in result.output
