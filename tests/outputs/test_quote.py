"""The price on a proof is the plan's, told without the inner sum."""

from dataclasses import replace

import pytest

from mockup.blank.wall import build_blank
from mockup.design.read import read_design
from mockup.design.shelf import Rates, read_shelf
from mockup.files import shipped
from mockup.outputs.plan.making import making
from mockup.outputs.quote import quote_of


@pytest.fixture(scope="module")
def price():
    design = read_design(shipped("textures", "regatta"))
    blank = build_blank(design.document.blank, where="blank")
    shelf = read_shelf(None)
    return making(design, blank, shelf, cups=8).price


def rates(**changes):
    return Rates(hourly_rate_minor=2000, **changes)


def test_tax_that_is_in_the_price_is_told(price):
    some = replace(price, cups=8, each_minor=5800, total_minor=46400, tax_minor=7408)

    quote = quote_of(some, rates(round_with_tax=True))

    assert quote.rows == (("Each", "58.00 EUR"), ("8 cups together", "464.00 EUR"))
    assert quote.note == "Tax of 74.08 EUR is in it."


def test_tax_that_comes_on_top_is_a_row(price):
    some = replace(
        price, cups=8, each_minor=5800, net_minor=46400, total_minor=55216, tax_minor=8816
    )

    quote = quote_of(some, rates(round_with_tax=False))

    assert quote.rows == (
        ("Each", "58.00 EUR"),
        ("Before tax", "464.00 EUR"),
        ("Tax", "88.16 EUR"),
        ("8 cups together", "552.16 EUR"),
    )


def test_a_single_cup_needs_no_row_for_each(price):
    some = replace(price, cups=1, each_minor=5800, total_minor=5800, tax_minor=0)

    quote = quote_of(some, rates(currency="JPY", minor_digits=0))

    assert quote.rows == (("1 cup", "5,800 JPY"),)
    assert quote.note == "No tax is added."


def test_nothing_of_the_inner_sum_is_shown(price):
    """Neither margin nor wages nor what materials cost."""
    quote = quote_of(price, rates())
    told = " ".join(f"{what} {total}" for what, total in quote.rows) + quote.note

    for line in (price.margin, price.overhead, price.waste, *price.labour, *price.materials):
        assert line.what not in told.lower()
