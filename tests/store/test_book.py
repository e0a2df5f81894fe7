"""Customers and orders come back as they were put in; nobody's change is lost in silence."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mockup.errors import StoreError
from mockup.store import StaleRecord

any_text = st.text(st.characters(exclude_categories=[]), max_size=40)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(name=any_text, note=any_text)
def test_any_text_is_kept_or_refused_in_one_sentence(store, name, note):
    if not name.replace("\x00", "?").strip():
        with pytest.raises(StoreError, match="the name is empty"):
            store.book.add_customer(name, note=note)
        return
    made = store.book.add_customer(name, note=note)
    kept = next(c for c in store.book.customers() if c.id == made.id)

    assert kept == made
    if note.isprintable():
        assert kept.note == note.strip()


def test_an_order_comes_back_as_it_was_put_in(store):
    customer = store.book.add_customer("Wen Harbour", mail="wen@example.org")
    made = store.book.add_order(
        "Regatta cups", customer=customer, cups=8, due=date(2026, 6, 12), note="by post"
    )

    found = store.book.order(made.id)

    assert found == made
    assert (found.title, found.customer, found.cups) == ("Regatta cups", customer, 8)
    assert (found.due, found.note) == (date(2026, 6, 12), "by post")
    assert abs(datetime.now(UTC) - found.made_at) < timedelta(minutes=5)


def test_a_change_of_what_another_window_changed_is_told(store):
    order = store.book.add_order("Regatta cups")
    rest = {"customer": None, "cups": 4, "due": None, "note": ""}
    theirs = store.book.change_order(order, title="Theirs", **rest)

    with pytest.raises(StaleRecord, match="order 1: it was changed meanwhile"):
        store.book.change_order(order, title="Mine", **rest)
    with pytest.raises(StaleRecord):
        store.book.close_order(order, "called off")

    assert store.book.order(order.id) == theirs


@pytest.mark.parametrize("cups", [0, -3, 10**9])
def test_an_order_of_no_cups_is_refused(store, cups):
    with pytest.raises(StoreError, match="cups cannot be ordered"):
        store.book.add_order("Regatta", cups=cups)


def test_the_book_lists_the_earliest_due_first_and_closed_orders_only_if_asked(store):
    late = store.book.add_order("Late", due=date(2026, 7, 1))
    someday = store.book.add_order("Some day")
    soon = store.book.add_order("Soon", due=date(2026, 6, 1))
    gone = store.book.close_order(store.book.add_order("Gone"), "called off")

    assert [line.order.id for line in store.book.lines()] == [soon.id, late.id, someday.id]
    assert gone.id in {line.order.id for line in store.book.lines(closed=True)}
    assert store.book.line(gone.id).standing.state == "called off"
    assert store.book.close_order(gone, None).closed_at is None


def test_an_order_stands_where_its_records_say(store, regatta):
    def standing():
        found = store.book.line(order.id).standing
        return found.state, found.waits_for

    order = store.book.add_order("Regatta")
    assert standing() == ("enquiry", "maker")

    draft = store.drafts.begin(order.id, regatta)
    proof = store.proofs.add(store.revisions.freeze(draft))
    assert standing() == ("designing", "maker")

    proof = store.proofs.note_sent(proof, how="mail", sent_to="wen@example.org")
    assert standing() == ("with the customer", "customer")
    assert store.book.line(order.id).standing.since == proof.sendings[0].sent_at
    assert store.book.line(order.id).revision == 1
