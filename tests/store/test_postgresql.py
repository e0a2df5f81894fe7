"""A store in PostgreSQL is reached by one setting, moved into by a backup, and told of in words."""

import pytest
from alembic import command
from alembic.config import Config

from mockup.errors import StoreError
from mockup.store import open_store
from mockup.store.backup import restore_store, write_backup
from mockup.store.connect import SETTING, connector_for
from mockup.store.shelving import entries_of
from tests.store.small import shelve
from tests.store.test_receipts import answer


def fill(store, regatta):
    order = store.book.add_order("Regatta cups", customer=store.book.add_customer("Wen Harbour"))
    draft = store.drafts.begin(order.id, regatta)
    draft = store.drafts.save(draft, regatta.with_palette("storm-silver"))
    proof = store.proofs.note_sent(store.proofs.add(store.revisions.freeze(draft)), how="mail")
    assert store.receipts.read(answer(proof))[0].taken
    shelve(store, order.id)


def whole(store):
    """All that can be seen of the order."""
    return (
        [(line.order.title, line.standing, line.approval) for line in store.book.lines()],
        store.drafts.current(1).files,
        store.drafts.history(1),
        store.proofs.of_order(1),
        store.receipts.of_order(1),
        entries_of(store.at),
        [store.stock.moves(material) for material in store.materials.all()],
        store.finished.of_order(1),
    )


def test_one_setting_points_a_desk_at_it(empty_database, monkeypatch):
    monkeypatch.setenv(SETTING, empty_database)
    with open_store() as store:
        store.book.add_order("Regatta cups")
    with open_store() as another:
        assert [line.order.title for line in another.book.lines()] == ["Regatta cups"]


def test_a_desks_own_store_moves_into_it_and_goes_on(file_store, empty_database, tmp_path, regatta):
    fill(file_store, regatta)
    write_backup(file_store, tmp_path / "backup.sqlite")
    with open_store(empty_database) as shared:
        assert restore_store(shared, tmp_path / "backup.sqlite").orders == 1

        assert whole(shared) == whole(file_store)
        assert shared.book.add_order("The next").id == 2
        assert shared.stock.buy(shared.materials.find("copper flake"), 1).on_hand == 51
        draft = shared.drafts.current(1)
        assert shared.drafts.undo(draft).files != draft.files


def test_it_is_backed_up_as_one_file_that_a_desk_can_open(empty_database, tmp_path, regatta):
    with open_store(empty_database) as shared:
        fill(shared, regatta)
        assert write_backup(shared, tmp_path / "backup.sqlite") == 1

        assert [path.name for path in tmp_path.iterdir()] == ["backup.sqlite"]
        with open_store(tmp_path / "backup.sqlite") as opened:
            assert whole(opened) == whole(shared)


def test_a_backup_is_restored_into_an_empty_database_alone(
    file_store, empty_database, tmp_path, regatta
):
    fill(file_store, regatta)
    write_backup(file_store, tmp_path / "backup.sqlite")
    with open_store(empty_database) as shared:
        shared.book.add_order("Somebody's")

        with pytest.raises(StoreError, match="holds a store that is not empty"):
            restore_store(shared, tmp_path / "backup.sqlite")
        assert [line.order.title for line in shared.book.lines()] == ["Somebody's"]


def test_an_older_store_opens_with_what_was_in_it(empty_database):
    """The first migration's tables with an order in them, as an earlier program left them."""
    connector = connector_for(empty_database)
    config = Config()
    config.set_main_option("script_location", "mockup/store/migrations")
    with connector.writing() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
        connection.exec_driver_sql(
            "INSERT INTO orders (title, cups, note, version, made_at) "
            "VALUES ('Regatta cups', 8, '', 1, '2026-06-01T09:30:00.000000+00:00')"
        )
    connector.engine.dispose()

    with open_store(empty_database) as store:
        assert store.older_copy is None
        assert [line.order.cups for line in store.book.lines()] == [8]
        assert store.approvals.of_order(1) == ()


def test_a_newer_store_is_refused(empty_database):
    with open_store(empty_database) as store, store.at.writing() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")

    with pytest.raises(StoreError, match=r"newer version.*Update tumbler-mockup"):
        open_store(empty_database)


def test_a_server_or_database_that_is_not_there_is_told_in_one_sentence(server, tmp_path):
    nowhere = f"postgresql://desk:secret@/orders?host={tmp_path}"
    missing = server.replace("/postgres?", "/nothing?")

    for place in (nowhere, missing):
        with pytest.raises(StoreError) as told:
            open_store(place)
        assert "\n" not in str(told.value)
        assert "secret" not in str(told.value)
