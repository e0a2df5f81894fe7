"""Several at once, and killed at any moment: what was acknowledged is there."""

import json
import multiprocessing
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from mockup.errors import StoreError
from mockup.store import StaleRecord, open_store
from tests.store.small import small_design

ROOT = Path(__file__).parent.parent.parent
SAVES = 40
KILLS = 25


@pytest.fixture
def place(store):
    """Where another process finds the store."""
    return store.at.engine.url.render_as_string(hide_password=False)


def window(place, order, name, told):
    """An app window: saves over and over what it last saw; counts what was kept aside."""
    with open_store(place) as store:
        draft = store.drafts.current(order)
        for i in range(SAVES):
            try:
                draft = store.drafts.save(draft, small_design(f"{name} {i}"))
                told.put((draft.step, f"{name} {i}", False))
            except StaleRecord as stale:
                told.put((stale.kept, f"{name} {i}", True))
                draft = store.drafts.current(order)


def command(place, order, name, told):
    """A command: enters orders."""
    with open_store(place) as store:
        for i in range(SAVES):
            made = store.book.add_order(f"{name} {i}")
            told.put((made.id, made.title, None))


def test_two_windows_and_a_command_at_once_lose_nothing(store, place):
    order = store.book.add_order("Regatta cups").id
    store.drafts.begin(order, small_design("begin"))
    spawn = multiprocessing.get_context("spawn")
    told = spawn.Queue()
    jobs = [(window, "left"), (window, "right"), (command, "order")]
    processes = [
        spawn.Process(target=job, args=(place, order, name, told), daemon=True)
        for job, name in jobs
    ]
    for process in processes:
        process.start()
    done = [told.get(timeout=300) for _ in range(len(jobs) * SAVES)]
    for process in processes:
        process.join(60)

    assert [process.exitcode for process in processes] == [0, 0, 0]
    steps = {step: title for step, title, aside in done if aside is not None}
    entered = {number: title for number, title, aside in done if aside is None}
    history = {step.id: step.aside for step in store.drafts.history(order)}
    assert len(steps) == 2 * SAVES == len(history) - 1
    assert Counter(history[step] for step in steps) == Counter(
        aside for _, _, aside in done if aside is not None
    )
    for step, title in steps.items():
        assert store.drafts.files_of(order, step) == small_design(title)
    assert {n: store.book.order(n).title for n in entered} == entered
    assert len(entered) == SAVES
    draft = store.drafts.current(order)
    assert draft.version == 1 + sum(not aside for aside in history.values()) - 1


def test_windows_that_open_a_new_store_at_once_make_it_once(tmp_path):
    place = f"sqlite:///{tmp_path}/orders.sqlite"
    spawn = multiprocessing.get_context("spawn")
    told = spawn.Queue()
    processes = [
        spawn.Process(target=command, args=(place, 0, f"window {i}", told), daemon=True)
        for i in range(4)
    ]
    for process in processes:
        process.start()
    done = [told.get(timeout=300) for _ in range(4 * SAVES)]
    for process in processes:
        process.join(60)

    assert [process.exitcode for process in processes] == [0] * 4
    assert len({number for number, _, _ in done}) == 4 * SAVES


def test_what_was_acknowledged_is_there_however_the_writer_was_killed(store, place):
    """A kill comes at any moment of a save, a revision, a proof or an approval."""
    killing = [sys.executable, "-m", "tests.store.killed", place, str(KILLS), "7"]
    run = subprocess.run(killing, cwd=ROOT, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    told = [json.loads(line) for line in run.stdout.splitlines()]
    approved = [line for line in told if "approved" in line]
    steps = [line for line in told if "step" in line]

    assert len({line["order"] for line in told}) == KILLS
    assert len(approved) >= KILLS
    for line in approved:
        found = {
            (approval.fingerprint, approval.revision)
            for approval in store.approvals.of_order(line["order"])
        }
        assert (line["approved"], line["revision"]) in found
    for line in steps:
        assert store.drafts.files_of(line["order"], line["step"]) == small_design(line["title"])
    if store.at.file is not None:
        with store.at.reading() as connection:
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
            assert connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []


def test_a_writer_that_holds_on_is_waited_for_and_then_told(store, monkeypatch, tmp_path):
    monkeypatch.setattr("mockup.store.connect.WAIT_S", 1.0)
    place = store.at.engine.url.render_as_string(hide_password=False)
    with (
        open_store(place) as other,
        store.at.writing(),
        pytest.raises(StoreError, match="another window or command is still writing") as told,
    ):
        other.book.add_order("Regatta cups")

    assert "Try again in a moment" in str(told.value)
    assert store.book.lines() == ()
