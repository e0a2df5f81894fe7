"""An older store opens with all that was in it, and a copy of it is kept."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from mockup.store import open_store
from mockup.store.schema import SCHEMA
from tests.store.test_receipts import answer

OLDER = sorted(Path(__file__).with_name("older").glob("*.sql"))


def dump(path):
    with closing(sqlite3.connect(path)) as raw:
        return list(raw.iterdump())


@pytest.fixture(params=OLDER, ids=lambda path: path.stem)
def older(request, tmp_path):
    path = tmp_path / "orders.sqlite"
    with closing(sqlite3.connect(path)) as raw:
        raw.executescript(request.param.read_text("utf-8"))
    return path


def test_every_earlier_migration_has_a_store_to_try():
    assert [path.stem for path in OLDER] == [f"{i:04}" for i in range(1, int(SCHEMA))]


def test_an_older_store_opens_with_all_that_was_in_it(older):
    with open_store(older) as store:
        line, enquiry = store.book.lines()
        draft = store.drafts.current(1)
        (proof,) = store.proofs.of_order(1)

        assert (line.order.title, line.order.cups, str(line.order.due)) == (
            "Regatta cups", 8, "2026-06-12",
        )  # fmt: skip
        assert (line.order.customer.name, line.standing.state) == (
            "Wen Harbour", "with the customer",
        )  # fmt: skip
        assert enquiry.standing.state == "enquiry"
        assert draft.design().document.layers[1].thickness_mm == 0.8
        assert store.drafts.undo(draft).design().document.layers[1].thickness_mm == 0.4
        assert (
            draft.fingerprint == store.revisions.find(1).fingerprint == draft.design().fingerprint
        )
        assert store.receipts.read(answer(proof))[0].taken


def test_a_copy_of_the_older_store_is_kept(older):
    before = dump(older)

    with open_store(older) as store:
        copy = store.older_copy

    assert copy.name == f"orders.before-{SCHEMA}.sqlite"
    assert dump(copy) == before
    assert [path.name for path in copy.parent.iterdir() if "part" in path.name] == []


def test_a_store_of_today_is_not_copied(older):
    open_store(older).close()

    with open_store(older) as again:
        assert again.older_copy is None
