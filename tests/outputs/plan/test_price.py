"""The price adds up to the minor unit, and a change of one figure stays where it belongs."""

from dataclasses import fields, replace
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from mockup.design.products import Paint, Sundry
from mockup.design.shelf import Rates
from mockup.outputs.plan.amounts import Amount
from mockup.outputs.plan.labour import Work
from mockup.outputs.plan.money import exact
from mockup.outputs.plan.price import Line, price
from tests.outputs.plan.orders import typical

shares = st.integers(0, 1000).map(lambda thousandths: thousandths / 1000)


PAINT = typical().product(Paint)


def _product(name, price_minor, pack_ml):
    keys = {"name": name, "pack_price_minor": price_minor, "pack_ml": pack_ml}
    return PAINT.model_copy(update=keys)


def _amount(product, amount):
    return Amount("layer", 0, product, product.name, amount, amount, "mL", "", "", "")


@st.composite
def amounts(draw):
    """Some materials, each perhaps used in more than one layer."""
    found = []
    for i in range(draw(st.integers(1, 5))):
        pack_ml = draw(st.integers(1, 40_000)) / 10
        product = _product(f"paint {i}", draw(st.integers(0, 20_000)), pack_ml)
        for _ in range(draw(st.integers(1, 3))):
            found.append(_amount(product, draw(st.integers(0, 5_000_000)) / 10_000))
    return found


work = st.lists(
    st.tuples(st.sampled_from(["mask", "coat", "sand"]), st.integers(0, 50_000)),
    max_size=3,
    unique_by=lambda step: step[0],
).map(lambda steps: [Work(step, 1, Fraction(tenths, 10), "") for step, tenths in steps])


@st.composite
def rates(draw):
    """What a maker may ask; fees and margin leave something."""
    given_rates = {
        "hourly_rate_minor": draw(st.integers(0, 20_000)),
        "waste_share": draw(shares),
        "overhead_per_cup_minor": draw(st.integers(0, 5_000)),
        "overhead_share": draw(shares),
        "fees_share": draw(shares.map(lambda share: share / 4)),
        "margin_share": draw(shares.map(lambda share: share / 2)),
        "tax_share": draw(shares.map(lambda share: share / 2)),
        "rounding_step_minor": draw(st.sampled_from([1, 5, 50, 99, 100, 500])),
        "round_with_tax": draw(st.booleans()),
    }
    return Rates(**given_rates)


@given(amounts(), work, rates(), st.integers(1, 200))
@settings(max_examples=300)
def test_every_sum_is_exact(found, steps, asked, cups):
    """What the customer pays goes to tax, materials, waste, labour, overhead, fees and margin."""
    made = price(found, steps, asked, cups)
    parts = (made.waste, made.overhead, made.fees, made.margin, made.rounding)
    sums = [line.minor for line in (*made.materials, *made.labour, *parts)]

    assert all(type(minor) is int for minor in (*sums, made.net_minor, made.tax_minor))
    assert made.net_minor + made.tax_minor == made.total_minor
    assert sum(sums) == made.net_minor
    assert made.rounding.minor >= 0
    shown = made.total_minor if asked.round_with_tax else made.net_minor
    assert made.each_minor * cups == shown
    assert made.each_minor % asked.rounding_step_minor == 0


@given(amounts(), work, rates(), st.integers(1, 200))
@settings(max_examples=300)
def test_every_line_is_its_share_to_half_a_minor_unit(found, steps, asked, cups):
    """Each line worked out again by its own definition in exact fractions."""
    made = price(found, steps, asked, cups)
    half = Fraction(1, 2)
    costs = dict.fromkeys((amount.material for amount in found), Fraction(0))
    for amount in found:
        product = amount.product
        each = Fraction(product.pack_price_minor) / Fraction(str(product.pack_ml))
        costs[amount.material] += Fraction(str(amount.amount)) * each
    worked = {step.step: step.minutes / 60 * asked.hourly_rate_minor for step in steps}
    spent = made.materials_minor + made.waste.minor + made.labour_minor
    overhead = cups * asked.overhead_per_cup_minor + Fraction(str(asked.overhead_share)) * spent

    for line in made.materials:
        assert abs(line.minor - costs[line.what]) <= half
    for line in made.labour:
        assert abs(line.minor - worked[line.what]) <= half
    assert abs(made.waste.minor - made.materials_minor * Fraction(str(asked.waste_share))) <= half
    assert abs(made.overhead.minor - overhead) <= half
    assert abs(made.fees.minor - made.total_minor * Fraction(str(asked.fees_share))) <= half
    assert abs(made.margin.minor - made.net_minor * Fraction(str(asked.margin_share))) <= half
    assert abs(made.tax_minor - made.net_minor * Fraction(str(asked.tax_share))) <= 1


@given(amounts(), work, rates(), st.integers(1, 50))
@settings(max_examples=200)
def test_no_lower_price_would_leave_the_margin(found, steps, asked, cups):
    """One step less a piece, and by exact shares the costs eat into the margin."""
    made = price(found, steps, asked, cups)
    assume(made.each_minor > asked.rounding_step_minor)
    tax, fees, margin = (
        exact(share) for share in (asked.tax_share, asked.fees_share, asked.margin_share)
    )
    lower = Fraction((made.each_minor - asked.rounding_step_minor) * cups)
    net = lower / (1 + tax) if asked.round_with_tax else lower
    left = net * (1 - margin) - fees * net * (1 + tax) - made.cost_minor

    # the rounding of tax, fees and margin to minor units may have cost up to two of them
    assert left < 2


PARTS = ("materials", "labour", "waste", "overhead", "fees", "margin")
DEPENDS = {  # an input of the price → what may change with it, besides the price itself
    "hourly_rate_minor": {"labour", "overhead", "fees", "margin"},
    "waste_share": {"waste", "overhead", "fees", "margin"},
    "overhead_per_cup_minor": {"overhead", "fees", "margin"},
    "overhead_share": {"overhead", "fees", "margin"},
    "fees_share": {"fees", "margin"},
    "margin_share": {"fees", "margin"},
    "tax_share": {"fees", "margin"},
    "rounding_step_minor": {"fees", "margin"},
    "round_with_tax": {"fees", "margin"},
    "currency": set(),
    "minor_digits": set(),
    "quantities": set(),
}


def test_every_rate_is_listed():
    assert set(DEPENDS) | {"source"} == set(Rates.model_fields)


def without_formulas(made):
    def bare(value):
        if isinstance(value, tuple):
            return tuple(map(bare, value))
        return replace(value, formula="") if isinstance(value, Line) else value

    return replace(made, **{field.name: bare(getattr(made, field.name)) for field in fields(made)})


@pytest.mark.parametrize("name", DEPENDS)
@given(found=amounts(), steps=work, first=rates(), second=rates(), cups=st.integers(1, 50))
@settings(max_examples=30)
def test_a_rate_changes_only_what_depends_on_it(name, found, steps, first, second, cups):
    values = {"currency": "SEK", "minor_digits": 3, "quantities": (1, 3)}
    new = values.get(name, getattr(second, name))
    before = price(found, steps, first, cups)
    after = price(found, steps, first.model_copy(update={name: new}), cups)

    if name in ("currency", "minor_digits"):  # formulas tell sums in them; the sums stay
        before, after = without_formulas(before), without_formulas(after)
    for part in set(PARTS) - DEPENDS[name]:
        assert getattr(after, part) == getattr(before, part), part
    if not DEPENDS[name]:
        assert after == before


@given(found=amounts(), steps=work, asked=rates(), more=st.integers(1, 5000))
@settings(max_examples=60)
def test_a_dearer_pack_changes_its_own_line_alone(found, steps, asked, more):
    """And what is a share of materials; no other material, no labour."""
    first = found[0].product
    dearer = first.model_copy(update={"pack_price_minor": first.pack_price_minor + more})
    swapped = [
        _amount(dearer, amount.amount) if amount.product is first else amount for amount in found
    ]
    before, after = (price(some, steps, asked, 3) for some in (found, swapped))

    assert after.materials[1:] == before.materials[1:]
    assert after.labour == before.labour
    assert after.materials[0].minor >= before.materials[0].minor
    assert after.total_minor >= before.total_minor


@given(found=amounts(), steps=work, asked=rates())
@settings(max_examples=60)
def test_a_higher_margin_is_never_cheaper(found, steps, asked):
    higher = asked.model_copy(update={"margin_share": asked.margin_share + 0.1})

    assert price(found, steps, higher, 2).each_minor >= price(found, steps, asked, 2).each_minor


def test_a_sum_worked_out_by_hand():
    """12.00 materials, 10 % waste, 1 h at 20.00, 3.00 overhead: 36.20 cost.

    Fees 5 % of the whole with 20 % tax are 6 % of the price before tax, margin 24 %: the price
    before tax is 36.20 / 0.70 = 51.714, with tax 62.06, up to 62.50. Tax 10.42, fees 3.13, margin
    12.50 of the 52.08 before tax, 25 cents left by rounding up.
    """
    glue = Sundry(name="kit", pack_price_minor=600)
    amount = Amount("layer", 0, glue, "kit", 2.0, 2.0, "piece", "", "", "")
    asked = Rates(
        hourly_rate_minor=2000,
        waste_share=0.1,
        overhead_per_cup_minor=300,
        fees_share=0.05,
        margin_share=0.24,
        tax_share=0.2,
        rounding_step_minor=50,
    )
    made = price([amount], [Work("coat", 1, Fraction(60), "")], asked, 1)

    assert made.cost_minor == 3620
    assert (made.total_minor, made.tax_minor, made.net_minor) == (6250, 1042, 5208)
    assert (made.fees.minor, made.margin.minor, made.rounding.minor) == (313, 1250, 25)


def test_formulas_tell_sums_in_money_and_count_pieces():
    """An hour at 2000 cents reads 20.00 EUR; nobody pays 2000 an hour."""
    asked = Rates(
        source="books", hourly_rate_minor=2000, overhead_per_cup_minor=250, waste_share=0.05,
        fees_share=0.029, rounding_step_minor=50,
    )  # fmt: skip
    cups = typical().product(Sundry)
    eight = Amount("sundries", -1, cups, cups.name, 8, 8, "piece", "", "", "")
    made = price([eight], [Work("paint", 1, Fraction(24), "24 min")], asked, 8)

    assert made.materials[0].formula.startswith("8 pieces × 12.00 EUR ÷ 100 pieces")
    assert made.labour[0].formula == "24 min at 20.00 EUR an hour"
    assert made.overhead.formula.startswith("2.50 EUR × 8")
    assert made.waste.formula == "5\u00a0% of materials"
    assert made.fees.formula.startswith("2.9\u00a0% of")
    assert made.rounding.formula == "up to steps of 0.50 EUR"
