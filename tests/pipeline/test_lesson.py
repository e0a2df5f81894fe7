"""A material's colour follows how it came out on a cup, when it is told to."""

import numpy as np
import pytest

from mockup.colorimetry.srgb import linear_from_hex, rgb8_from_linear
from mockup.design.material import fresh_product
from mockup.design.palette import FilmLayer, FilmSwatch, MetalSwatch, PigmentSwatch
from mockup.errors import StoreError
from mockup.pipeline.lesson import find_lesson, take_lesson
from mockup.store import open_store

PROMISED = np.array([0.20, 0.30, 0.10])


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "orders.sqlite") as opened:
        yield opened


@pytest.fixture
def can(store):
    return store.materials.enter(fresh_product("paint", "sea glass", {}, source=""))


def finished(store, swatch, factor, *, seen=True, delta_e=6.0, label="sea glass"):
    """An order whose cup came out with these shares of what was promised."""
    order = store.book.add_order("Seat 7", cups=1)
    came = rgb8_from_linear(PROMISED * factor)
    role = {
        "role": "base",
        "label": label,
        "kind": "base",
        "swatch": swatch.model_dump(mode="json"),
        "seen": seen,
        "delta_e_2000": delta_e,
        "promised_rgb8_srgb": rgb8_from_linear(PROMISED).tolist(),
        "finished_rgb8_srgb": came.tolist(),
    }
    prints = {"role": "print", "label": "printed sheet", "kind": "print", "seen": True}
    store.finished.add(
        order.id, fingerprint="f", photo=b"\xff\xd8", facts={"roles": [prints, role]}
    )
    return order.id


@pytest.mark.parametrize(
    ("swatch", "field"),
    [
        (PigmentSwatch(srgb="#4a8a90"), "srgb"),
        (MetalSwatch(metal="copper", tint_srgb="#c0b0a0"), "tint_srgb"),
    ],
    ids=["paint", "foil"],
)
def test_a_colour_is_changed_by_the_factors_it_came_out_with(store, can, swatch, field):
    """To the step of an 8-bit code, in linear light; all else of the swatch stays."""
    factor = np.array([1.2, 0.8, 1.5])
    lesson = find_lesson(store, can, finished(store, swatch, factor))

    was, now = (linear_from_hex(getattr(one, field)) for one in (swatch, lesson.after))
    np.testing.assert_allclose(now / was, factor, rtol=0.03)
    same = {field: getattr(swatch, field), "source": swatch.source}
    assert lesson.after.model_copy(update=same) == swatch


def test_nothing_changes_until_it_is_taken_and_what_was_is_kept(store, can):
    before = PigmentSwatch(srgb="#4a8a90")
    can = store.materials.show(can, before)
    order = finished(store, before, 0.7)
    lesson = find_lesson(store, can, order)
    assert store.materials.get(can.id).look.swatch == before

    can = take_lesson(store, can, lesson)

    assert can.look.swatch == lesson.after
    assert can.look.measured["order"] == order
    assert [look.swatch for look in store.materials.looks(can)] == [lesson.after, before]


def test_the_role_may_be_named_where_its_label_is_another(store, can):
    order = finished(store, PigmentSwatch(srgb="#4a8a90"), 0.7, label="teal")

    with pytest.raises(StoreError, match="tells the colour of 'base', not of 'sea glass'"):
        find_lesson(store, can, order)
    assert find_lesson(store, can, order, "base").role == "base"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"seen": False}, "tells the colour of nothing, not of 'sea glass'"),
        ({"delta_e": 1.4}, "came out as promised"),
        ({"swatch": FilmSwatch(layers=(FilmLayer(n=1.4, thickness_nm=300),))}, "no single colour"),
    ],
    ids=["not seen", "as promised", "a film"],
)
def test_what_teaches_nothing_is_told(store, can, change, words):
    given = {"swatch": PigmentSwatch(srgb="#4a8a90"), "factor": 0.7} | change
    order = finished(store, given.pop("swatch"), given.pop("factor"), **given)

    with pytest.raises(StoreError, match=words):
        find_lesson(store, can, order)


def test_an_order_without_a_photo_is_told(store, can):
    order = store.book.add_order("Seat 8", cups=1)

    with pytest.raises(StoreError, match="no photo of its finished cup"):
        find_lesson(store, can, order.id)
