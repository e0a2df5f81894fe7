"""The order book by command: an order from enquiry to approved, and what is refused."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from mockup.faces.cli import cli
from mockup.store import open_store
from tests.design.sample import write_sample
from tests.store.test_receipts import answer


@pytest.fixture
def desk(tmp_path, monkeypatch):
    """A maker's desk: a store of its own, and a design in the folder at hand."""
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{tmp_path}/orders.sqlite")
    write_sample(tmp_path / "cup")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*words, code=0, data=None):
    """What a command prints; on standard error where it ends with a fault."""
    done = CliRunner().invoke(cli, [str(word) for word in words], input=data)
    assert done.exit_code == code, done.output
    return done.stderr if code else done.stdout


def told(*words, **how):
    return json.loads(run(*words, "--json", **how))


def entered():
    return told("enter", "cup", "--customer", "Wen Harbour", "--mail", "wen@example.org")


def proof_of(order):
    with open_store() as store:
        return store.proofs.of_order(order)[0]


def test_an_order_goes_from_enquiry_to_approved_and_its_sheets_say_so(desk):
    assert "No orders" in run("orders")
    line = entered()
    assert (line["order"]["id"], line["order"]["title"]) == (1, "Seat 3")
    assert line["standing"]["state"] == "designing"

    out = told("sent", 1, "--how", "mail")
    assert out["revision"] == 1
    assert "with the customer, waits for the customer since" in run("orders")

    Path("answer.txt").write_text(answer(proof_of(1)), "utf-8")
    assert run("receipt", "answer.txt").startswith("Approved. order 1, Seat 3: revision 1, neap.\n")
    (found,) = told("orders")
    assert found["standing"]["state"] == "approved"
    assert found["approval"] == f"approved, revision 1, {datetime.now():%Y-%m-%d}"


def test_a_receipt_is_read_from_what_is_pasted(desk):
    entered()
    run("sent", 1, "--how", "mail")
    text = answer(proof_of(1), answer="change asked", comment="Larger letters, please")

    shown = run("receipt", "-", data="> " + text.replace("\n", "\n> "))

    assert shown.startswith("A change is asked for.")
    assert "Wen Harbour writes: Larger letters, please" in shown
    assert "change asked, waits for the maker" in run("orders")


def test_a_refused_receipt_ends_with_one_and_its_reason(desk):
    entered()
    run("sent", 1, "--how", "mail")
    text = answer(proof_of(1))
    run("receipt", "-", data=text)

    assert "was read before" in run("receipt", "-", data=text, code=1)
    assert "no whole receipt" in run("receipt", "-", data="Lovely!", code=1)


def test_a_refusal_as_json_says_why(desk):
    entered()
    done = CliRunner().invoke(cli, ["receipt", "-", "--json"], input="Lovely!")

    assert done.exit_code == 1
    assert json.loads(done.stdout)[0]["verdict"] == "no receipt"


def test_a_signed_sheet_is_noted_and_a_later_change_told_in_words(desk):
    entered()
    run("sent", 1, "--how", "by hand")
    day = f"{datetime.now():%Y-%m-%d}"
    assert run("signed", 1, "--customer", "Wen Harbour") == (
        f"Order 1: approved, revision 1, {day}\n"
    )
    design = Path("cup/design.toml")
    design.write_text(design.read_text().replace("0.8\n", "0.6\n").replace("SEAGLASS", "TIDELINE"))

    assert told("enter", "cup", "--order", 1)["standing"]["state"] == "changed since"
    assert told("changes", 1) == {
        "since": f"revision 1, approved {day}",
        "changes": [
            "lettering 'SEAGLASS': text 'SEAGLASS' became 'TIDELINE'",
            "coat: thickness 0.8 mm became 0.6 mm",
        ],
    }


def test_closed_orders_are_listed_only_if_asked(desk):
    entered()

    assert "called off since" in run("close", 1, "--as", "called-off")
    assert told("orders") == []
    assert len(told("orders", "--closed")) == 1
    run("close", 1, "--as", "open")
    assert len(told("orders")) == 1


def test_a_backup_brings_the_book_back(desk):
    entered()
    assert run("backup", "-o", "away.sqlite") == "Wrote away.sqlite, 1 order\n"
    entered()

    shown = run("restore", "away.sqlite")

    assert shown.startswith("Restored 1 order\nWhat was there is kept in ")
    assert len(told("orders")) == 1


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["sent", 7, "--how", "mail"], "there is no order 7. Look it up in the order book."),
        (["close", 7], "there is no order 7"),
        (["changes", 7], "there is no order 7"),
        (["signed", 1, "--customer", "Wen"], "order 1 has no revision 1"),
        (["changes", 1], "order 1 has no revision 1"),
        (["enter", "cup", "--order", 7], "there is no order 7"),
        (["enter", "nothing"], "there is no such file"),
        (["receipt", "nothing.eml"], "the file cannot be read (No such file or directory)"),
        (["restore", "nothing.sqlite"], "there is no such file"),
        (["restore", "cup/design.toml"], "this is no backup, or it is damaged"),
        (["sent", 1, "--how", "mail", "--palette", "nope"], "no palette is named 'nope'"),
    ],
)
def test_what_cannot_be_done_is_told_in_one_sentence(desk, words, sentence):
    entered()

    shown = run(*words, code=1)

    assert sentence in shown
    assert shown.count("\n") == 1


def test_a_due_date_is_a_day(desk):
    assert told("enter", "cup", "--due", "2026-06-12")["order"]["due"] == "2026-06-12"
    assert datetime.fromisoformat(told("orders")[0]["standing"]["since"]) < datetime.now(UTC)
