"""The maker's materials: what is told of them stays told, where it is from with it."""

import pytest

from mockup.design.material import fresh_product, with_figures
from mockup.design.products import Epoxy, Glitter
from mockup.errors import DesignError, StoreError, UnknownName
from mockup.store import StaleRecord
from tests.store.small import COPPER, glitter, shelve


def test_a_material_comes_back_as_it_was_entered(store):
    resin = fresh_product(
        "epoxy", "clear epoxy, slow", {"pack_ml": 750.0, "drying.cure_h": 96.0}, source="data sheet"
    )

    entered = store.materials.enter(resin, batch="B 77", note="opened in May", photo=b"bottle")

    (found,) = store.materials.all()
    assert found == entered == store.materials.find("Clear Epoxy, SLOW")
    assert (found.product, found.batch, found.note) == (resin, "B 77", "opened in May")
    assert (found.unit, found.on_hand, found.reserved) == ("mL", 0, 0)
    assert store.materials.photo_of(found) == b"bottle"


def test_every_figure_that_was_not_given_says_that_it_is_typical():
    product = glitter(film_thickness_mm=0.03)

    assert product.source_of("pack_g", "pack_price_minor") == "invoice"
    assert product.source_of("density_g_per_cm3") == "typical"
    assert (
        product.source_of("film_thickness_mm", "density_g_per_cm3", "loss_share")
        == "invoice: film_thickness_mm; typical: density_g_per_cm3, loss_share"
    )


def test_a_figure_that_was_measured_later_says_so_and_leaves_the_others(store):
    jar = store.materials.enter(glitter())
    weighed = with_figures(jar.product, {"loss_share": 0.4}, source="measured over 5 orders")

    jar = store.materials.change(jar, product=weighed)

    assert jar.product.loss_share == 0.4
    assert jar.product.sources == {
        "pack_g": "invoice",
        "pack_price_minor": "invoice",
        "loss_share": "measured over 5 orders",
    }


def test_a_coloured_material_is_for_its_own_swatch_and_resin_for_any():
    assert glitter().suits == ("copper flake",)
    assert fresh_product("epoxy", "clear epoxy", {}, source="").suits == ()
    assert isinstance(fresh_product("epoxy", "clear epoxy", {}, source=""), Epoxy)
    assert isinstance(glitter(), Glitter)


@pytest.mark.parametrize(
    ("kind", "given", "said"),
    [
        ("gliter", {}, "no kind is named 'gliter'. Use 'glitter'"),
        ("glitter", {"densty_g_per_cm3": 1.0}, "Use 'density_g_per_cm3'"),
        ("glitter", {"density_g_per_cm3": 99.0}, "density_g_per_cm3"),
        ("epoxy", {"drying.cure_h": 1.0}, "cure_h is before recoat_from_h"),
        ("epoxy", {"suits": ("a",)}, "no figure of epoxy is named 'suits'"),
    ],
)
def test_what_cannot_be_is_refused_by_its_name(kind, given, said):
    with pytest.raises(DesignError) as told:
        fresh_product(kind, "my own", given, source="data sheet")

    assert said in str(told.value)
    assert "my own" in str(told.value)


def test_a_source_names_a_figure_of_the_product():
    raw = glitter().model_dump() | {"sources": {"pack_ml": "invoice"}}

    with pytest.raises(ValueError, match="'pack_ml', which is no figure of it"):
        Glitter.model_validate(raw)


def test_the_newest_look_is_how_it_looks_and_the_earlier_one_is_kept(store):
    jar = store.materials.enter(glitter())
    assert jar.look is None

    jar = store.materials.show(jar, COPPER)
    measured = {"coverage": 0.41, "uncertainty": {"delta_e": 1.2}}
    tinted = COPPER.model_copy(update={"tint_srgb": "#eeccaa"})
    photos = {"black.jpg": b"on black", "white.jpg": b"on white"}
    jar = store.materials.show(jar, tinted, measured=measured, photos=photos)

    newest, first = store.materials.looks(jar)
    assert jar.look == newest
    assert (newest.swatch, newest.measured) == (tinted, measured)
    assert store.materials.photos_of(newest) == photos
    assert (first.swatch, first.measured) == (COPPER, {})


def test_no_two_materials_share_a_name(store):
    store.materials.enter(glitter())
    other = store.materials.enter(glitter("navy flake"))

    with pytest.raises(StoreError, match="there is a material named 'Copper Flake' already"):
        store.materials.enter(glitter("Copper Flake"))
    with pytest.raises(StoreError, match="already"):
        store.materials.change(other, product=glitter())
    with pytest.raises(UnknownName, match="Use 'navy flake'"):
        store.materials.find("navy flakes")


def test_what_was_put_away_leaves_the_shelf_and_keeps_its_history(store):
    order = store.book.add_order("Regatta cups").id
    jar = shelve(store, order)

    away = store.materials.change(jar, away=True)

    assert store.materials.all() == ()
    assert store.materials.all(away=True) == (away,)
    assert away.on_hand == 50
    assert store.materials.change(away, away=False) in store.materials.all()


def test_a_window_that_saw_an_older_state_changes_nothing(store):
    seen = store.materials.enter(glitter())
    store.materials.change(seen, note="half empty")

    with pytest.raises(StaleRecord, match="it was changed meanwhile"):
        store.materials.change(seen, note="full")

    assert store.materials.get(seen.id).note == "half empty"


def test_a_material_stays_of_its_kind(store):
    jar = store.materials.enter(glitter())

    with pytest.raises(StoreError, match="a glitter cannot become a epoxy"):
        store.materials.change(jar, product=fresh_product("epoxy", "resin", {}, source=""))


def test_facts_that_are_no_json_are_refused(store):
    jar = store.materials.enter(glitter())

    with pytest.raises(StoreError, match="facts of the measurement cannot be kept"):
        store.materials.show(jar, COPPER, measured={"delta_e": float("nan")})

    assert store.materials.get(jar.id).look is None


def test_a_finished_cup_is_kept_with_its_order(store):
    order = store.book.add_order("Regatta cups").id
    facts = {"roles": [{"role": "base", "delta_e": 1.4}], "sentence": "The base is as promised."}

    first = store.finished.add(
        order, fingerprint="a" * 64, revision=2, photo=b"cup", picture=b"both", facts=facts
    )
    second = store.finished.add(order, fingerprint="b" * 64, photo=b"cup", facts={})

    assert store.finished.of_order(order) == (second, first)
    assert (first.facts, first.revision) == (facts, 2)
    assert store.finished.photo_of(first) == b"cup"
    assert store.finished.picture_of(first) == b"both"
    assert store.finished.picture_of(second) is None
    with pytest.raises(StoreError, match="there is no order 99"):
        store.finished.add(99, fingerprint="a" * 64, photo=b"cup", facts={})
