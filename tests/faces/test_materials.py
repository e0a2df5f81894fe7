"""The maker's materials by command: from the jar on the table to what use taught."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from mockup.faces.cli import cli
from tests.store.small import small_design

JPEG = b"\xff\xd8\xff\xe0 a photo"


@pytest.fixture(autouse=True)
def desk(tmp_path, monkeypatch):
    """A store of its own, and a cup with a base coat in the folder at hand."""
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{tmp_path}/orders.sqlite")
    monkeypatch.chdir(tmp_path)
    for name, data in small_design("Seat 3").items():
        path = Path("cup", name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)


def run(*words, code=0):
    """What a command prints; on standard error where it ends with a fault."""
    done = CliRunner().invoke(cli, [str(word) for word in words])
    assert done.exit_code == code, done.output
    return done.stderr if code else done.stdout


def told(*words):
    return json.loads(run("materials", *words, "--json"))


def enter_paint(*more):
    return told(
        "enter", "navy can", "--kind", "paint", "--for", "base", "--pack", 300, "--price", "11.00",
        "--by", "invoice", "--on-hand", 450, *more,
    )  # fmt: skip


def test_a_material_is_entered_and_tells_where_each_figure_is_from():
    assert "No materials" in run("materials", "list")
    enter_paint("--batch", "B 7", "--note", "from the market", "--set", "drying.cure_h=48")

    shown = told("show", "Navy Can")
    words = run("materials", "show", "navy can")

    assert (shown["on_hand"], shown["unit"], shown["suits"]) == (450, "mL", ["base"])
    assert shown["figures"]["pack_price_minor"] == {"value": 1100, "source": "invoice"}
    assert shown["figures"]["drying.cure_h"] == {"value": 48, "source": "invoice"}
    assert shown["figures"]["loss_share"]["source"].startswith("typical")
    assert re.search(r"loss_share +0\.6  typical\n", words)
    assert "batch B 7\n  from the market" in words
    assert "navy can  paint      450         0   450  mL" in run("materials", "list")


def test_stock_moves_by_command():
    enter_paint()

    run("materials", "bought", "navy can", 300, "--paid", "11.50")
    run("materials", "used", "navy can", 20.5, "--note", "a trial")
    assert told("counted", "navy can", 700)["on_hand"] == 700

    moves = [(m["kind"], m["on_hand"], m["price_minor"]) for m in told("show", "navy can")["moves"]]
    assert moves == [
        ("counted", -29.5, None), ("used", -20.5, None), ("bought", 300, 1150),
        ("counted", 450, None),
    ]  # fmt: skip


def test_amounts_are_also_told_in_packs_and_sheets():
    """A sheet of 305 × 305 mm has 930.25 cm², a pack five of them."""
    enter_paint()
    run("materials", "enter", "copper foil", "--kind", "foil", "--on-hand", "2.5 sheets")

    assert told("bought", "navy can", "2packs")["on_hand"] == 450 + 2 * 300
    assert told("bought", "copper foil", "1pack")["on_hand"] == pytest.approx(7.5 * 930.25)


def test_an_order_reserves_uses_teaches_and_what_is_learned_is_taken_when_asked():
    enter_paint()
    run("enter", "cup", "--cups", 4)

    held = told("reserve", 1)
    (line,) = held["reserved"]
    assert line["short"] == 0
    assert "nitrile gloves" in held["not_yours"]
    net = line["reserved"] / 1.6
    run("materials", "used", "navy can", f"{2 * net:.4f}", "--order", 1)
    run("close", 1)

    learned = told("show", "navy can")["learned"]
    assert (learned["factor"], learned["orders"]) == (pytest.approx(2, abs=1e-3), 1)
    assert told("show", "navy can")["figures"]["loss_share"]["value"] == 0.6
    assert "planned with loss_share = 0.6, proposed 1;" in run("materials", "show", "navy can")
    changed = told("change", "navy can", "--learned")["figures"]["loss_share"]
    assert changed == {"value": 1.0, "source": "measured over 1 order"}


def test_an_order_that_is_called_off_gives_back_what_it_reserved():
    enter_paint()
    run("enter", "cup", "--cups", 40)
    assert told("reserve", 1)["reserved"][0]["short"] > 0
    assert "short" in run("materials", "list")

    run("close", 1, "--as", "called-off")

    assert told("show", "navy can")["free"] == 450
    assert "order 1 was called off" in run("materials", "reserve", 1, code=1)


def test_the_plan_goes_by_what_is_on_the_shelf():
    enter_paint()
    plan = json.loads(run("plan", "cup", "--json"))

    (paint,) = [a for a in plan["amounts"] if a["kind"] == "paint"]
    assert paint["material"] == "navy can"
    assert paint["source"] == "typical"
    (after,) = plan["stock"]["after"]
    assert (after["item"], after["on_hand"]) == ("navy can", 450)


def test_names_uses_and_places_change_and_what_is_put_away_comes_back():
    enter_paint()

    run("materials", "change", "navy can", "--rename", "deep navy", "--for", "hull", "--away")
    assert "No materials" in run("materials", "list")
    assert "put away" in run("materials", "list", "--away")
    shown = told("change", "deep navy", "--back")

    assert (shown["name"], shown["suits"], shown["away"]) == ("deep navy", ["hull"], False)


@pytest.mark.parametrize("file", ["shelf.csv", "shelf.zip"])
def test_a_shelf_goes_out_and_comes_in_the_same(file, monkeypatch, tmp_path):
    Path("can.jpg").write_bytes(JPEG)
    enter_paint("--photo", "can.jpg")
    assert run("materials", "export", "-o", file) == f"Wrote {file}, 1 material\n"

    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{tmp_path}/other.sqlite")
    assert run("materials", "import", file) == "New: navy can\nAs it was: 0\n"
    run("materials", "export", "-o", f"again-{file}")

    assert Path(f"again-{file}").read_bytes() == Path(file).read_bytes()
    assert told("show", "navy can")["photo"] is (file == "shelf.zip")
    assert run("materials", "import", file) == "As it was: 1\n"


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["show", "nay can"], 1, "no material is named 'nay can'. Use 'navy can'"),
        (["enter", "navy can", "--kind", "paint"], 1, "there is a material named 'navy can'"),
        (["enter", "x", "--kind", "pant"], 1, "no kind is named 'pant'. Use 'paint'"),
        (["used", "navy can", 451], 1, "451 mL cannot be taken of the 450 mL on hand"),
        (["used", "navy can", 1, "--order", 9], 1, "there is no order 9"),
        (["bought", "navy can", "lots"], 1, "'lots' is no amount of it. Give it in mL"),
        (["bought", "navy can", "2sheets"], 1, "'2sheets' is no amount of it"),
        (["bought", "navy can", "0"], 1, "0 is too little"),
        (["bought", "navy can", "3", "--paid", "1.234"], 2, "at most 2 decimals"),
        (["change", "navy can", "--set", "coats"], 2, "FIGURE=VALUE"),
        (["change", "navy can", "--set", "coats=many"], 1, "'many' is not a number"),
        (["change", "navy can", "--set", "coats=99"], 1, "coats"),
        (["change", "navy can", "--rename", "x" * 90], 1, "name"),
        (["change", "navy can", "--learned"], 1, "no order that was handed over"),
        (["change", "navy can", "--photo", "cup/design.toml"], 1, "this is no photo"),
        (["change", "navy can", "--photo", "none.jpg"], 1, "cannot be read"),
        (["import", "none.csv"], 1, "cannot be read"),
        (["import", "cup/design.toml"], 1, "this is not a pack"),
    ],
)
def test_what_is_wrong_is_told_in_one_sentence_and_changes_nothing(words, code, said):
    enter_paint()
    before = run("materials", "list"), told("show", "navy can")

    assert said in run("materials", *words, code=code)

    assert (run("materials", "list"), told("show", "navy can")) == before
