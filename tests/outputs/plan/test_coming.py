"""Several orders against one stock: sums of plans, and a stock file that keeps what it has."""

import json
from datetime import date
from fractions import Fraction

import pytest
from click.testing import CliRunner

from mockup.errors import DesignError
from mockup.faces.cli import cli
from mockup.outputs.plan.coming import coming, coming_in_words, stock_text
from mockup.outputs.plan.stock import Order, Stock, Taking, read_stock
from tests.design.sample import PALETTE, write_sample
from tests.outputs.plan.orders import typical

SHELF = typical()
RESIN = next(p for p in SHELF.products if p.kind == "epoxy")
GLOVES = next(p for p in SHELF.products if p.name == "nitrile gloves")


@pytest.fixture(autouse=True)
def _no_shelf_of_this_machine(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "none"))


@pytest.fixture
def designs(tmp_path):
    """Two design folders: the sample, and the sample on a smaller cup."""
    first = write_sample(tmp_path / "first", palette=PALETTE)
    second = write_sample(tmp_path / "second", palette=PALETTE)
    return first, second


def run(*words):
    return CliRunner().invoke(cli, [str(word) for word in words])


def order(name, due, resin_ml, gloves):
    takes = (
        Taking("clear epoxy", "mL", Fraction(str(resin_ml)), RESIN),
        Taking("nitrile gloves", "piece", Fraction(gloves), GLOVES),
    )
    return Order(name, due, takes)


def test_orders_are_taken_by_due_date_and_later_ones_left_out():
    first = order("seat 3", date(2030, 5, 1), 600, 10)
    second = order("cox", date(2030, 6, 1), 700, 10)
    someday = order("spare", date.max, 900, 10)
    stock = Stock.model_validate(
        {"format": 1, "on_hand": ({"item": "clear epoxy", "amount": 500.0, "unit": "mL"},)}
    )

    plan = coming([someday, second, first], stock, SHELF, until=date(2030, 5, 31))
    assert (plan.orders, plan.later) == ((first,), (second, someday))
    bought = {p.item: (float(p.short), p.packs) for p in plan.purchases}
    assert bought == {"clear epoxy": (100.0, 1), "nitrile gloves": (10.0, 1)}
    assert plan.total_minor == 3600 + 1200

    whole = coming([someday, second, first], stock, SHELF)
    assert whole.orders == (first, second, someday)
    bought = {p.item: (float(p.short), p.packs) for p in whole.purchases}
    assert bought["clear epoxy"] == (1700.0, 2)
    assert "order 1, by Wed 1 May" in coming_in_words(whole)


def test_shopping_is_the_sum_of_the_plans(designs):
    """Eight of one and three of the other, by `plan --json` apart and by `shopping --json`."""
    expected: dict[str, float] = {}
    for path, cups in zip(designs, (8, 3), strict=True):
        plan = json.loads(run("plan", path, "--json", "--cups", cups).stdout)
        for amount in plan["amounts"]:
            item = amount["material"]
            expected[item] = expected.get(item, 0.0) + amount["amount"]

    result = run("shopping", *designs, "--json", "--cups", 8, "--cups", 3, "--due", "2030-05-01")
    told = json.loads(result.stdout)

    assert result.exit_code == 0
    assert {b["item"]: b["taken"] for b in told["after"]} == pytest.approx(expected)
    assert {b["item"]: b["missing"] for b in told["after"]} == pytest.approx(expected)
    assert {o["due"] for o in told["orders"]} == {"2030-05-01"}
    assert sum(p["price_minor"] for p in told["to_buy"]) == told["total_minor"]


def test_a_stock_file_is_filled_in_and_then_nothing_is_missing(designs, tmp_path):
    stock = tmp_path / "stock.toml"
    assert run("stock", *designs, "-o", stock).exit_code == 0
    empty = read_stock(stock)
    assert {entry.amount for entry in empty.on_hand} == {0.0}
    stock.write_text(stock.read_text().replace("amount = 0", "amount = 99999"))

    told = run("shopping", *designs, "--stock", stock)

    assert "nothing: all of it is on hand" in told.stdout
    plan = run("plan", designs[0], "--stock", stock)
    assert "all of it is on hand" in plan.stdout


def test_a_stock_file_keeps_what_stands_in_it():
    before = (
        '# counted on Monday\nformat = 1\n\n[[on_hand]]\nitem = "clear epoxy" # the blue can\n'
        'amount = 850.5\nunit = "mL"\nkeep = 100\n'
    )

    after = stock_text([order("seat 3", date.max, 1, 1)], before, where="stock.toml")

    assert after.startswith(before)
    assert after.count("[[on_hand]]") == 2
    assert 'item = "nitrile gloves"\namount = 0\nunit = "piece"' in after
    assert stock_text([order("seat 3", date.max, 1, 1)], after, where="stock.toml") == after


def test_entries_that_none_can_follow_are_told():
    before = 'format = 1\non_hand = [{ item = "clear epoxy", amount = 1.0, unit = "mL" }]\n'

    with pytest.raises(DesignError, match=r"no entries .* Write each of them under a heading"):
        stock_text([order("seat 3", date.max, 1, 1)], before, where="stock.toml")


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("--cups", "2", "--cups", "3", "--cups", "4"), 2, "--cups is given 3 times for 2 designs"),
        (("--due", "soon"), 2, "'soon' is not a date"),
        (("--stock", "none.toml"), 1, "the stock cannot be read"),
    ],
)
def test_wrong_words_are_told(designs, words, code, told):
    result = run("shopping", *designs, *words)

    assert result.exit_code == code
    assert told in result.output
