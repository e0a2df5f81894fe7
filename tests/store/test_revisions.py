"""Revisions are numbered and stay as they were; each proof has its key and fingerprints."""

import pytest

from mockup.design.write import design_files
from mockup.errors import StoreError, UnknownName


@pytest.fixture
def draft(store, regatta):
    return store.drafts.begin(store.book.add_order("Regatta cups").id, regatta)


def test_a_revision_is_the_design_as_it_was(store, draft, regatta):
    first = store.revisions.freeze(draft)
    store.drafts.save(draft, regatta.with_palette("storm-silver"))

    found = store.revisions.find(draft.order_id, 1)

    assert found == first
    assert found.files == design_files(regatta)
    assert found.fingerprint == regatta.fingerprint == found.design().fingerprint


def test_revisions_are_numbered_and_the_same_design_gets_no_second_number(store, draft, regatta):
    again = store.revisions.freeze(store.drafts.current(draft.order_id))
    changed = store.drafts.save(draft, regatta.with_palette("storm-silver"))

    assert [store.revisions.freeze(draft).number for _ in range(2)] == [1, 1] == [again.number] * 2
    assert store.revisions.freeze(changed).number == 2
    assert store.revisions.find(draft.order_id).number == 2


def test_there_is_no_revision_before_the_first(store, draft):
    with pytest.raises(StoreError, match="has no revision 1"):
        store.revisions.find(draft.order_id)


def test_a_proof_knows_the_fingerprint_of_each_option(store, draft, regatta):
    made = store.proofs.add(
        store.revisions.freeze(draft), palettes=["storm-silver", "deep-water"], light="window"
    )

    found = store.proofs.find(made.id)

    assert found == made
    assert {o.palette: o.fingerprint for o in found.options} == {
        name: regatta.with_palette(name).fingerprint for name in ("storm-silver", "deep-water")
    }
    assert (found.title, found.light, found.revision) == ("Regatta cups", "window", 1)


def test_a_proof_of_a_palette_that_is_not_there_is_refused(store, draft):
    with pytest.raises(UnknownName, match="no palette is named 'strom-silver'"):
        store.proofs.add(store.revisions.freeze(draft), palettes=["strom-silver"])


def test_every_proof_has_a_key_of_its_own(store, draft):
    revision = store.revisions.freeze(draft)
    made = [store.proofs.add(revision) for _ in range(5)]

    assert len({proof.key for proof in made}) == len({proof.id for proof in made}) == 5
    assert {len(proof.key) for proof in made} == {32}
    assert set(store.proofs.of_order(draft.order_id)) == set(made)
