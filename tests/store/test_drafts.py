"""A draft keeps all that was ever saved, whoever else saves at the same time."""

import tempfile

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from mockup.design.write import design_files
from mockup.errors import StoreError
from mockup.store import StaleRecord, open_store


def text(note):
    """Files that are no design as yet, told apart by a note."""
    return {"design.toml": f"# {note}\n".encode()}


@pytest.fixture
def order(store):
    return store.book.add_order("Regatta cups").id


def test_a_draft_comes_back_as_the_same_design(store, order, regatta):
    store.drafts.begin(order, regatta)

    found = store.drafts.current(order)

    assert found.files == design_files(regatta)
    assert found.fingerprint == regatta.fingerprint
    assert found.design().document == regatta.document


def test_an_order_has_no_draft_until_it_is_begun_and_then_one(store, order, regatta):
    assert store.drafts.current(order) is None

    store.drafts.begin(order, regatta)

    with pytest.raises(StaleRecord, match="has a design already"):
        store.drafts.begin(order, regatta)


def test_a_draft_of_no_order_is_refused(store):
    with pytest.raises(StoreError, match="there is no order 7"):
        store.drafts.begin(7, text("a"))


def test_an_unfinished_text_is_kept_without_a_fingerprint(store, order):
    assert store.drafts.begin(order, text("a")).fingerprint is None


def test_a_save_on_a_stale_version_is_told_and_both_are_kept(store, order):
    seen = store.drafts.begin(order, text("a"))
    theirs = store.drafts.save(seen, text("theirs"))

    with pytest.raises(StaleRecord, match="changed meanwhile") as told:
        store.drafts.save(seen, text("mine"))

    assert store.drafts.current(order) == theirs
    assert store.drafts.files_of(order, told.value.kept) == text("mine")
    taken = store.drafts.take(theirs, told.value.kept)
    assert taken.files == text("mine")
    assert store.drafts.undo(taken).files == text("theirs")


def test_what_was_kept_aside_is_never_redone_to(store, order):
    first = store.drafts.begin(order, text("a"))
    theirs = store.drafts.save(first, text("theirs"))
    with pytest.raises(StaleRecord):
        store.drafts.save(first, text("mine"))

    again = store.drafts.redo(store.drafts.undo(theirs))

    assert again.files == text("theirs")
    assert [step.aside for step in store.drafts.history(order)] == [True, False, False]


@pytest.mark.parametrize("move", ["undo", "redo"])
def test_a_move_on_a_stale_version_is_told(store, order, move):
    seen = store.drafts.begin(order, text("a"))
    store.drafts.save(seen, text("b"))

    with pytest.raises(StaleRecord, match="changed meanwhile"):
        getattr(store.drafts, move)(seen)


def test_a_step_of_another_order_cannot_be_taken(store, order):
    seen = store.drafts.begin(order, text("a"))
    other = store.book.add_order("Another").id
    foreign = store.drafts.begin(other, text("b")).step

    with pytest.raises(StoreError, match=f"has no step {foreign}"):
        store.drafts.take(seen, foreign)


def test_the_same_bytes_are_kept_once(store, order):
    artwork = {"assets/a.svg": b"<svg/>" * 1000}
    seen = store.drafts.begin(order, text("a") | artwork)
    for i in range(20):
        seen = store.drafts.save(seen, text(i) | artwork)
    with store.at.reading() as connection:
        kept = connection.exec_driver_sql("SELECT count(*), sum(length(data)) FROM blobs").one()

    assert kept[0] == 22
    assert kept[1] < 6500


class History(RuleBasedStateMachine):
    """Undo and redo against a plain model, with the store closed and opened in between."""

    def __init__(self):
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.path = f"sqlite:///{self.folder.name}/orders.sqlite"
        self.store = open_store(self.path)
        self.order = self.store.book.add_order("Regatta").id
        self.draft = self.store.drafts.begin(self.order, text("begin"))
        self.past, self.future = [text("begin")], []

    @rule(note=st.integers(0, 3))
    def save(self, note):
        """Save a text."""
        self.draft = self.store.drafts.save(self.draft, text(note))
        if self.past[-1] != text(note):
            self.past.append(text(note))
            self.future.clear()

    @rule()
    def undo(self):
        """Go back."""
        self.draft = self.store.drafts.undo(self.draft)
        if len(self.past) > 1:
            self.future.append(self.past.pop())

    @rule()
    def redo(self):
        """Go on."""
        self.draft = self.store.drafts.redo(self.draft)
        if self.future:
            self.past.append(self.future.pop())

    @rule()
    def restart(self):
        """As after a power cut at night."""
        self.store.close()
        self.store = open_store(self.path)
        self.draft = self.store.drafts.current(self.order)

    @invariant()
    def the_draft_is_the_models(self):
        """What is shown is what the model shows."""
        assert self.draft.files == self.past[-1]
        assert self.draft.can_undo == (len(self.past) > 1)

    def teardown(self):
        """Let go of the folder."""
        self.store.close()
        self.folder.cleanup()


TestHistory = History.TestCase
TestHistory.settings = settings(max_examples=15, stateful_step_count=25, deadline=None)
