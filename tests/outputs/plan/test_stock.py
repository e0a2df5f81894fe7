"""Nothing is lost or made up between shelf, orders and shopping, and nothing goes below zero."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.design.products import Sundry
from mockup.errors import DesignError
from mockup.outputs.plan.amounts import Amount
from mockup.outputs.plan.stock import (
    OnHand,
    Order,
    Stock,
    Taking,
    after_orders,
    order_from,
    read_stock,
    to_buy,
)
from tests.outputs.plan.orders import typical

ITEMS = ("gloves", "sticks", "cups", "pads")
PACKS = {
    item: Sundry(name=item, pack_price_minor=100 * (i + 1), pack_count=3 * i + 1)
    for i, item in enumerate(ITEMS)
}
DAY = date(2030, 5, 1)
SHELF = typical()
amounts = st.integers(0, 100_000).map(lambda ten_thousandths: ten_thousandths / 10_000)


def taking(item, amount):
    return Taking(item, "piece", Fraction(str(amount)), PACKS[item])


@st.composite
def stocks(draw):
    """Some of the items, some of them to be kept."""
    items = draw(st.lists(st.sampled_from(ITEMS), unique=True))
    keep = st.just(0.0) | amounts
    return Stock(
        format=1,
        on_hand=tuple(
            OnHand(item=item, amount=draw(amounts), unit="piece", keep=draw(keep)) for item in items
        ),
    )


@st.composite
def orders(draw):
    """Orders of the next weeks; the first takes every item, which tells how it is packed."""
    made = [Order("all", DAY, tuple(taking(item, draw(amounts)) for item in ITEMS))]
    for i in range(draw(st.integers(0, 4))):
        items = draw(st.lists(st.sampled_from(ITEMS), unique=True))
        due = DAY + timedelta(days=draw(st.integers(0, 40)))
        made.append(Order(f"order {i}", due, tuple(taking(item, draw(amounts)) for item in items)))
    return made


@given(stocks(), orders())
def test_what_is_there_and_what_is_missing_is_what_is_taken_and_what_is_left(stock, coming):
    balances = after_orders(stock, coming)

    assert {b.item for b in balances} == set(ITEMS)
    for b in balances:
        assert b.on_hand + b.missing == b.taken + b.left
        assert min(b.left, b.missing) == 0
        assert max(b.left, b.missing) >= 0
        assert b.taken == sum(
            (t.amount for o in coming for t in o.takes if t.item == b.item), Fraction(0)
        )


@given(stocks(), orders(), st.randoms())
def test_it_does_not_matter_in_which_order_the_orders_are_told(stock, coming, random):
    mixed = list(coming)
    random.shuffle(mixed)

    assert after_orders(stock, mixed) == after_orders(stock, coming)


def _stocked_up(stock, purchases, fewer=()):
    """The stock with all packs bought, but one less of each item in `fewer`."""
    there = {entry.item: entry for entry in stock.on_hand}
    for purchase in purchases:
        packs = purchase.packs - (purchase.item in fewer)
        more = packs * PACKS[purchase.item].pack_count
        before = there.get(purchase.item, OnHand(item=purchase.item, amount=0.0, unit="piece"))
        exactly = Fraction(str(before.amount)) + more
        there[purchase.item] = before.model_copy(update={"amount": float(exactly)})
    return stock.model_copy(update={"on_hand": tuple(there.values())})


@given(stocks(), orders())
@settings(max_examples=100)
def test_what_is_bought_is_just_enough(stock, coming):
    """With all packs nothing is short; with one pack less of a thing, that thing is."""
    bought = to_buy(stock, coming, SHELF)

    assert not to_buy(_stocked_up(stock, bought), coming, SHELF)
    for purchase in bought:
        assert purchase.price_minor == purchase.packs * PACKS[purchase.item].pack_price_minor
        again = to_buy(_stocked_up(stock, bought, fewer={purchase.item}), coming, SHELF)
        assert [p.item for p in again] == [purchase.item]


@given(stocks(), orders())
def test_the_order_that_goes_short_first_is_named(stock, coming):
    """Found again one order after another, by due date."""
    for purchase in to_buy(stock, coming, SHELF):
        there = next(
            (Fraction(str(e.amount)) for e in stock.on_hand if e.item == purchase.item), Fraction(0)
        )
        first = None
        for order in sorted(coming, key=lambda order: order.due):
            there -= sum((t.amount for t in order.takes if t.item == purchase.item), Fraction(0))
            if there < 0:
                first = order
                break
        assert purchase.first_short == first


def test_only_the_coming_weeks_count():
    later = Order("later", DAY + timedelta(weeks=9), (taking("gloves", 5.0),))
    stock = Stock(format=1, on_hand=())

    assert to_buy(stock, [later], SHELF, until=DAY + timedelta(weeks=4)) == []
    (purchase,) = to_buy(stock, [later], SHELF)
    assert (purchase.short, purchase.packs, purchase.first_short) == (5, 5, later)


def test_what_is_to_be_kept_is_bought_without_any_order():
    jar = OnHand(item="polyester glitter, teal flake", amount=4.0, unit="g", keep=10.0)
    (purchase,) = to_buy(Stock(format=1, on_hand=(jar,)), [], SHELF)

    assert (purchase.short, purchase.packs, purchase.price_minor) == (6, 1, 450)
    assert purchase.first_short is None


def test_an_order_adds_up_the_layers_of_one_material():
    glue = PACKS["sticks"]
    found = [
        Amount(layer, 0, glue, "sticks", much, much, "piece", "", "", "")
        for layer, much in (("a", 0.1), ("b", 0.2))
    ]

    (taken,) = order_from("seat 3", DAY, found).takes
    assert taken.amount == Fraction(3, 10)


def test_a_material_counted_in_two_units_is_refused():
    stock = Stock(format=1, on_hand=(OnHand(item="gloves", amount=5.0, unit="mL"),))

    with pytest.raises(DesignError, match="'gloves' is counted in mL and taken in piece"):
        after_orders(stock, [Order("seat 3", DAY, (taking("gloves", 1.0),))])


def test_what_is_short_and_on_no_shelf_is_told():
    stock = Stock(format=1, on_hand=(OnHand(item="moon dust", amount=0.0, unit="g", keep=1.0),))

    with pytest.raises(DesignError, match="'moon dust' is short and no product"):
        to_buy(stock, [], SHELF)


STOCK = """\
format = 1

[[on_hand]]
item = "clear epoxy"
amount = 850
unit = "mL"
keep = 100

[[on_hand]]
item = "transfer foil, copper foil"
amount = 400.5
unit = "cm2"
"""


def test_a_stock_is_read(tmp_path):
    path = tmp_path / "stock.toml"
    path.write_text(STOCK)
    resin, foil = read_stock(path).on_hand

    assert (resin.amount, resin.keep) == (850, 100)
    assert foil.counted_in == "cm²"


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("format = 1", "", "Write format = 1"),
        ("amount = 850", "amount = -1", "too small"),
        ("amount = 850", "amuont = 850", "Use amount"),
        ('unit = "mL"', 'unit = "ml"', "Use 'mL'"),
        ('"transfer foil, copper foil"', '"clear epoxy"', "listed twice"),
        ("amount = 850", "amount = nan", "finite number|not a number"),
    ],
)
def test_a_fault_of_the_stock_is_told_in_one_sentence(tmp_path, old, new, told):
    path = tmp_path / "stock.toml"
    path.write_text(STOCK.replace(old, new, 1))

    with pytest.raises(DesignError, match=told) as caught:
        read_stock(path)
    assert "stock.toml" in str(caught.value)
