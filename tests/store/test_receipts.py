"""A receipt is taken once and only if it is whole, of a proof of ours, and fits it."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from mockup.errors import StoreError, UnknownName
from mockup.receipt import Receipt, write_receipt
from mockup.store.approvals import approval_words

NOW = datetime.now(UTC)


def answer(proof, /, *, of=0, key=None, **changes):
    """The text that a proof page would give."""
    option = proof.options[of]
    given = Receipt(
        proof=proof.id,
        order=proof.title,
        revision=proof.revision,
        palette=option.palette,
        fingerprint=option.fingerprint,
        answer="approved",
        comment="Just so — thank you!",
        customer="Wen Harbour",
        moment=NOW.isoformat(timespec="seconds"),
    )
    return write_receipt(replace(given, **changes), key or proof.key)


def asked(proof, /, **changes):
    return answer(proof, answer="change asked", comment="Larger letters, please", **changes)


@pytest.fixture
def draft(store, regatta):
    return store.drafts.begin(store.book.add_order("Regatta cups").id, regatta)


@pytest.fixture
def proof(store, draft):
    made = store.proofs.add(store.revisions.freeze(draft), palettes=["deep-water", "storm-silver"])
    return store.proofs.note_sent(made, how="mail")


def test_an_approval_is_recorded_with_its_revision_and_fingerprint(store, proof, regatta):
    (reading,) = store.receipts.read(answer(proof, of=1))

    silver = regatta.with_palette("storm-silver").fingerprint
    assert reading.taken
    assert store.approvals.of(silver) == reading.approval
    assert store.approvals.of(regatta.fingerprint) is None
    assert (reading.approval.revision, reading.approval.palette) == (1, "storm-silver")
    assert (reading.approval.customer, reading.approval.how) == ("Wen Harbour", "receipt")
    assert reading.approval.comment == "Just so — thank you!"
    assert reading.approval.stands


def test_a_mail_with_what_it_quotes_is_read_whole(store, proof):
    mail = "Hello!\r\n" + "\r\n".join(f"> {line}" for line in answer(proof).split("\n"))

    assert [reading.verdict for reading in store.receipts.read(mail)] == ["taken"]


def test_a_receipt_sent_twice_is_taken_once(store, proof):
    store.receipts.read(answer(proof))

    (again,) = store.receipts.read(answer(proof))

    assert again.verdict == "read before"
    assert f"read before, on {datetime.now():%Y-%m-%d}" in again.words
    assert len(store.approvals.of_order(proof.order_id)) == 1


def unwrapped(text):
    return text.replace("\n", "")


def changed_letter(text):
    """The customer's "Just" made "Must", as a hand on the way would."""
    return unwrapped(text).replace('"Just', '"Must')


@pytest.mark.parametrize(
    ("spoil", "verdict", "words"),
    [
        (lambda p, o: changed_letter(answer(p)), "changed", "changed after it was given"),
        (
            lambda p, o: unwrapped(answer(p)).replace('approved"', 'improved"'),
            "damaged",
            "damaged on its way",
        ),
        (lambda p, o: answer(p, key=bytes(32)), "changed", "signature no longer fits"),
        (lambda p, o: answer(p, proof="AAAA-AAAA-AAAA"), "unknown proof", "not in this store"),
        (
            lambda p, o: unwrapped(answer(o)).replace(o.id, p.id),
            "of another",
            "was given for proof",
        ),
        (lambda p, o: answer(p, fingerprint="0" * 64), "does not fit", "does not show"),
        (lambda p, o: answer(p, revision=7), "does not fit", "does not show"),
        (lambda p, o: answer(p, palette="abalone"), "does not fit", "does not show"),
        (lambda p, o: answer(p)[:-60], "no receipt", "no whole receipt"),
        (lambda p, o: "Looks great, go ahead!", "no receipt", "no whole receipt"),
        (lambda p, o: "", "no receipt", "no whole receipt"),
    ],
)
def test_each_fault_has_its_own_reason_and_approves_nothing(store, proof, spoil, verdict, words):
    other = store.proofs.add(store.revisions.find(proof.order_id))

    (reading,) = store.receipts.read(spoil(proof, other))

    assert (reading.verdict, reading.taken) == (verdict, False)
    assert words in reading.words
    assert store.approvals.of_order(proof.order_id) == ()


def test_a_receipt_of_another_order_than_the_one_at_hand_is_refused(store, proof, regatta):
    other = store.book.add_order("Another").id
    store.drafts.begin(other, regatta)

    (reading,) = store.receipts.read(answer(proof), order=other)

    assert reading.verdict == "of another"
    assert reading.words == "The receipt is of order 1, not of order 2."
    assert store.receipts.read(answer(proof), order=1)[0].taken


def test_every_text_that_was_read_is_kept_with_its_verdict(store, proof):
    for text in (answer(proof), answer(proof), "nothing \x00 \ud800"):
        store.receipts.read(text)
    with store.at.reading() as connection:
        kept = connection.exec_driver_sql("SELECT verdict, raw FROM receipts ORDER BY id").all()

    assert [row[0] for row in kept] == ["taken", "read before", "no receipt"]
    assert kept[0][1] == answer(proof)


def test_a_change_that_is_asked_for_later_recalls_the_approval(store, proof):
    store.receipts.read(answer(proof))
    later = (NOW + timedelta(minutes=5)).isoformat()

    store.receipts.read(asked(proof, moment=later))

    recalled = store.approvals.of(proof.options[0].fingerprint)
    assert not recalled.stands
    assert approval_words(recalled).startswith("not approved: change asked ")
    assert store.book.line(proof.order_id).standing.state == "change asked"


def test_mails_read_in_the_wrong_order_come_to_the_same(store, proof):
    earlier = (NOW - timedelta(minutes=5)).isoformat()
    store.receipts.read(answer(proof))

    store.receipts.read(asked(proof, moment=earlier))

    assert store.approvals.of(proof.options[0].fingerprint).stands
    assert store.book.line(proof.order_id).standing.state == "approved"


@pytest.mark.parametrize("moment", ["1970-01-01T00:00:00Z", "2999-01-01T00:00:00+01:00"])
def test_a_clock_that_is_plainly_wrong_is_not_believed(store, proof, moment):
    (reading,) = store.receipts.read(answer(proof, moment=moment))

    assert abs(reading.approval.approved_at - datetime.now(UTC)) < timedelta(minutes=5)


def test_an_order_stands_where_its_answers_say(store, draft, proof, regatta):
    def standing():
        found = store.book.line(proof.order_id).standing
        return found.state, found.waits_for

    store.receipts.read(asked(proof, moment=(NOW - timedelta(minutes=9)).isoformat()))
    assert standing() == ("change asked", "maker")

    second = store.proofs.note_sent(store.proofs.add(store.revisions.freeze(draft)), how="by hand")
    assert standing() == ("with the customer", "customer")

    store.receipts.read(answer(second))
    assert standing() == ("approved", "maker")

    other = regatta.with_palette("storm-silver")
    moved = store.drafts.save(store.drafts.current(proof.order_id), other)
    assert standing() == ("changed since", "maker")
    assert store.book.line(proof.order_id).standing.since == moved.saved_at

    third = store.proofs.add(store.revisions.freeze(moved))
    store.proofs.note_sent(third, how="mail")
    assert standing() == ("with the customer", "customer")


def test_an_order_is_approved_under_an_option_that_is_not_the_palette_in_use(store, proof):
    store.receipts.read(answer(proof, of=1))

    assert store.book.line(proof.order_id).standing.state == "approved"
    assert store.book.line(proof.order_id).approval.palette == "storm-silver"


def test_a_signed_sheet_is_noted_by_hand(store, draft, regatta):
    revision = store.revisions.freeze(draft)

    noted = store.approvals.note(revision, customer="Wen Harbour", how="signed sheet")

    assert store.approvals.of(regatta.fingerprint) == noted
    assert approval_words(noted) == f"approved, revision 1, {datetime.now():%Y-%m-%d}"
    assert store.book.line(draft.order_id).standing.state == "approved"


def test_an_approval_by_nobody_or_of_a_palette_that_is_not_there_is_refused(store, draft):
    revision = store.revisions.freeze(draft)

    with pytest.raises(StoreError, match="the customer's name is empty"):
        store.approvals.note(revision, customer=" ", how="signed sheet")
    with pytest.raises(UnknownName):
        store.approvals.note(revision, customer="Wen", how="signed sheet", palette="nope")
    assert store.approvals.of_order(draft.order_id) == ()


def test_what_was_not_approved_says_so():
    assert approval_words(None) == "not approved"


def test_answers_are_listed_newest_first(store, proof):
    store.receipts.read(asked(proof, moment=(NOW - timedelta(minutes=9)).isoformat()))
    store.receipts.read(answer(proof))

    answers = store.receipts.of_order(proof.order_id)

    assert [a.answer for a in answers] == ["approved", "change asked"]
    assert answers[1].comment == "Larger letters, please"


def test_each_letter_of_the_answer_counts(store, proof):
    """Every letter of every field in turn, made another one, is refused."""
    words, spelled = answer(proof).split("as they are:\n")
    spelled = spelled.replace("\n", "")
    values = [m.span(1) for m in re.finditer(r':"([^"]*)"', spelled)]
    for start, end in values:
        for i in range(start, end, 7):
            letter = "b" if spelled[i] != "b" else "c"
            text = f"{words}as they are:\n{spelled[:i]}{letter}{spelled[i + 1 :]}"
            assert not any(reading.taken for reading in store.receipts.read(text)), text
    assert store.receipts.read(answer(proof))[0].taken
