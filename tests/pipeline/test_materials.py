"""The maker's own materials are what plans go by, and what orders reserve."""

from datetime import datetime
from fractions import Fraction

import numpy as np
import pytest

from mockup.blank.wall import build_blank
from mockup.design.material import fresh_product
from mockup.design.read import read_design
from mockup.errors import StoreError
from mockup.outputs.plan.days import batches, schedule
from mockup.outputs.plan.making import making_as_json
from mockup.outputs.plan.words import making_in_words
from mockup.outputs.worksheet_facts import worksheet_facts
from mockup.pipeline import plan, write_shelf
from mockup.pipeline.materials import read_own, reserve_for, reserved_by
from mockup.store import open_store
from tests.store.small import small_design


@pytest.fixture
def store(tmp_path, monkeypatch):
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{tmp_path}/orders.sqlite")
    with open_store() as opened:
        yield opened


@pytest.fixture
def cup(tmp_path):
    """A cup with nothing but a base coat."""
    for name, data in small_design("Seat 3").items():
        path = tmp_path / "cup" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return tmp_path / "cup"


@pytest.fixture
def paint(store):
    given = {"spread_m2_per_l": 4.0, "pack_ml": 300.0, "pack_price_minor": 1100}
    return store.materials.enter(
        fresh_product("paint", "deep navy, own can", given, source="data sheet", suits=("base",))
    )


@pytest.fixture
def order(store):
    made = store.book.add_order("Regatta cups", cups=8)
    store.drafts.begin(made.id, small_design("Seat 3"))
    return made


def test_an_own_material_takes_the_place_of_the_typical_one(cup, paint):
    made = plan(cup, cups=8)
    told = making_as_json(made)

    (amount,) = [a for a in told["amounts"] if a["kind"] == "paint"]
    assert amount["material"] == "deep navy, own can"
    assert amount["source"] == "data sheet: spread_m2_per_l; typical: coats, loss_share"
    # 4 m² a litre, two coats, 0.6 lost on the way, as the typical can has it
    assert amount["amount"] == pytest.approx(
        8 * told["flat"]["area_mm2"] / 4 / 1000 * 2 * 1.6, abs=1e-4
    )
    (line,) = [m for m in made.price.materials if m.what == "deep navy, own can"]
    assert line.minor == round(amount["amount"] * 1100 / 300)
    assert line.formula.endswith("price data sheet")
    assert told["shelf"] == "typical shelf, with 1 material of your own"
    (hours,) = told["hours"]
    assert hours["source"].startswith("typical")


def test_what_was_not_given_says_typical_wherever_it_is_used(cup, paint):
    words = making_in_words(plan(cup))

    assert "data sheet: spread_m2_per_l; typical: coats, loss_share" in words
    assert "deep navy, own can: typical" in words.split("Where hours are from")[1]


def test_a_shelf_that_is_named_stands_alone(cup, paint, tmp_path):
    write_shelf(tmp_path / "shelf.toml")

    made = plan(cup, shelf=tmp_path / "shelf.toml")

    assert made.shelf.name == "typical shelf"
    assert made.balances is None
    assert "deep navy, own can" not in {a.material for a in made.amounts}


def test_without_materials_plans_are_as_they_were_and_no_store_is_made(cup, tmp_path, monkeypatch):
    nowhere = tmp_path / "none" / "orders.sqlite"
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{nowhere}")

    made = plan(cup)

    assert (made.shelf.name, made.balances) == ("typical shelf", None)
    assert not nowhere.parent.exists()


def test_a_store_that_cannot_be_read_is_told_in_the_shelf_s_name(cup, tmp_path, monkeypatch):
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"postgresql://desk@/orders?host={tmp_path}")

    assert "without your materials: they cannot be read" in plan(cup).shelf.name


def test_an_order_reserves_what_its_plan_takes_and_called_off_gives_it_back(
    store, paint, order, cup
):
    store.stock.buy(paint, 1000)

    held = reserve_for(store, order.id)

    (amount,) = [a for a in plan(cup, cups=8).amounts if a.material == paint.name]
    ((material, claim),) = held.claims
    assert claim.reserved == material.reserved == Fraction(repr(amount.amount))
    assert claim.planned_net == pytest.approx(amount.amount_before_loss, abs=1e-4)
    assert held.short == {}
    assert "steel blank, straight" in held.others[0]
    store.book.close_order(order, "called off")
    assert store.materials.get(paint.id).free == 1000


def test_what_is_short_is_told_and_what_the_order_itself_reserved_is_free_for_it(
    store, paint, order, cup
):
    need = reserve_for(store, order.id).claims[0][1].reserved
    store.stock.buy(paint, need - 10)

    assert reserved_by(store, order.id).short == {paint.id: 10}
    (own,) = plan(cup, cups=8, order=order.id).balances
    (other,) = plan(cup, cups=8).balances
    assert (own.missing, other.missing) == (pytest.approx(10), need)
    (bought,) = plan(cup, cups=8, order=order.id).purchases
    assert (bought.packs, bought.price_minor) == (1, 1100)


def test_what_is_no_material_of_the_maker_is_not_counted_and_says_so(cup, store, paint):
    store.stock.buy(paint, 1000)

    words = making_in_words(plan(cup))

    assert "what is counted is on hand" in words
    rest = words.split("no materials of yours, so not counted:\n")[1]
    assert "    nitrile gloves\n" in rest
    assert "deep navy, own can" not in rest.split("\n\n")[0]


def test_what_use_taught_is_proposed_and_taken_by_nobody(store, paint, order, cup):
    store.stock.buy(paint, 1000)
    claim = reserve_for(store, order.id).claims[0][1]
    store.stock.use(paint, float(claim.planned_net) * 1.9, order=order.id)
    store.book.close_order(store.book.order(order.id), "handed over")

    made = plan(cup, cups=8)

    (told,) = made.proposals
    assert "1.9 times what is planned before loss was used, of 1 order" in told
    assert told.endswith("planned with loss_share = 0.6, proposed 0.9")
    (amount,) = [a for a in made.amounts if a.material == paint.name]
    assert amount.amount == pytest.approx(float(claim.planned), abs=1e-4)
    assert "What use taught (a proposal)" in making_in_words(made)
    assert read_own(store).factors[paint.id].count == 1


def test_an_order_without_a_design_reserves_nothing(store, paint):
    enquiry = store.book.add_order("Enquiry")

    with pytest.raises(StoreError, match="has no design yet"):
        reserve_for(store, enquiry.id)


def test_the_work_sheet_names_what_goes_by_typical_figures(store, cup):
    figures = ("spread_m2_per_l", "coats", "loss_share", "pack_ml", "pack_price_minor")
    given = dict(zip(figures, (4.0, 2, 0.5, 300.0, 900), strict=True))
    known = fresh_product("paint", "weighed can", given, source="measured", suits=("base",))
    store.materials.enter(known)
    design, shelf = read_design(cup), read_own(store).shelf()
    blank = build_blank(design.document.blank, where="")
    days = schedule(batches(design, shelf, cups=1), shelf, start=datetime(2026, 6, 1))

    *_, last = worksheet_facts(design, blank, shelf, days, np.zeros((4, 3, 3), np.uint8)).cautions

    assert last.startswith("Amounts of these go by typical figures, not measured ones: steel blank")
    assert "weighed can" not in last
