"""A backup is one file that brings everything back, and nothing is lost by restoring."""

import sqlite3
from contextlib import closing

import pytest

from mockup.errors import OutputError, StoreError
from mockup.store import StaleRecord, open_store
from mockup.store.backup import restore_store, write_backup
from tests.store.small import shelve
from tests.store.test_receipts import answer


@pytest.fixture
def store(file_store):
    """SQLite alone: what is asked here is of files."""
    return file_store


def rows(path):
    """Every row of every table but what counts changes."""
    with closing(sqlite3.connect(path)) as raw:
        names = [n for (n,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        found = {}
        for name in names:
            cursor = raw.execute(f"SELECT * FROM {name}")
            columns = [column[0] for column in cursor.description]
            found[name] = sorted(
                tuple(v for c, v in zip(columns, row, strict=True) if c != "version")
                for row in cursor
            )
        return found


@pytest.fixture
def full(store, regatta):
    """A store with something in every table."""
    order = store.book.add_order("Regatta cups", customer=store.book.add_customer("Wen Harbour"))
    draft = store.drafts.begin(order.id, regatta)
    proof = store.proofs.note_sent(store.proofs.add(store.revisions.freeze(draft)), how="mail")
    assert store.receipts.read(answer(proof))[0].taken
    shelve(store, order.id)
    return store


def test_a_backup_is_one_file_with_everything_in_it(full, tmp_path):
    path = tmp_path / "away" / "backup.sqlite"
    path.parent.mkdir()

    assert write_backup(full, path) == 1

    assert [file.name for file in path.parent.iterdir()] == ["backup.sqlite"]
    assert path.stat().st_mode & 0o077 == 0
    found = rows(path)
    assert found == rows(full.at.file)
    assert all(found.values())


def test_a_backup_brings_everything_back_and_keeps_what_was_there(full, tmp_path, regatta):
    write_backup(full, tmp_path / "backup.sqlite")
    before = rows(full.at.file)
    later = full.book.add_order("Later")
    full.drafts.begin(later.id, regatta)

    restored = restore_store(full, tmp_path / "backup.sqlite")

    assert restored.orders == 1
    assert rows(full.at.file) == before
    assert [line.order.title for line in full.book.lines()] == ["Regatta cups"]
    with open_store(restored.copy) as copy:
        assert len(copy.book.lines()) == 2
    with full.at.reading() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"


def test_a_window_that_was_open_sees_that_it_is_stale(full, tmp_path, regatta):
    write_backup(full, tmp_path / "backup.sqlite")
    with open_store(full.at.file) as window:
        seen = window.drafts.save(full.drafts.current(1), regatta.with_palette("storm-silver"))
        order = window.book.order(1)
        restore_store(full, tmp_path / "backup.sqlite")

        with pytest.raises(StaleRecord) as told:
            window.drafts.save(seen, regatta.with_palette("abalone"))
        with pytest.raises(StaleRecord):
            window.book.close_order(order, "called off")
        assert window.drafts.files_of(1, told.value.kept)["design.toml"]


def test_an_older_backup_is_upgraded_on_its_way_and_left_as_it_is(store, tmp_path):
    from tests.store.test_upgrade import OLDER, dump

    path = tmp_path / "older.sqlite"
    with closing(sqlite3.connect(path)) as raw:
        raw.executescript(OLDER[0].read_text("utf-8"))
    before = dump(path)

    assert restore_store(store, path).orders == 2

    assert store.book.line(1).standing.state == "with the customer"
    assert dump(path) == before


@pytest.mark.parametrize("content", [None, b"", b"no database, but text " * 20, "cut"])
def test_what_is_no_backup_is_refused_and_nothing_changes(full, tmp_path, content):
    path = tmp_path / "backup.sqlite"
    if content == "cut":
        write_backup(full, path)
        content = path.read_bytes()
        content = content[: len(content) // 2]
    if content is not None:
        path.write_bytes(content)
    before = rows(full.at.file)

    with pytest.raises(StoreError, match=r"no such file|this is no backup, or it is damaged"):
        restore_store(full, path)

    assert rows(full.at.file) == before


def test_a_newer_backup_is_refused(full, tmp_path):
    path = tmp_path / "backup.sqlite"
    write_backup(full, path)
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
        raw.commit()

    with pytest.raises(StoreError, match="newer version"):
        restore_store(full, path)


def test_a_place_that_cannot_be_written_is_told(full, tmp_path):
    with pytest.raises(OutputError, match="cannot write here"):
        write_backup(full, tmp_path / "none" / "backup.sqlite")


def test_the_order_book_is_not_written_over_by_its_own_backup(full):
    """Windows that have it open would go on writing into a file that is gone."""
    before = full.at.file.read_bytes()

    with pytest.raises(OutputError, match="this is the order book itself"):
        write_backup(full, full.at.file)
    assert full.at.file.read_bytes() == before
