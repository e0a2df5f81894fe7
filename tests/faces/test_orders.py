"""The order book by command: an order from enquiry to approved, and what is refused."""

import json
import socket
from datetime import UTC, datetime
from email import message_from_bytes, policy
from pathlib import Path

import pytest
from aiosmtpd.controller import Controller
from click.testing import CliRunner

from mockup.faces.cli import cli
from mockup.store import open_store
from tests.design.sample import write_sample
from tests.outputs.test_mail_server import Post
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
            "clear coat: thickness 0.8 mm became 0.6 mm",
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


@pytest.fixture
def post(monkeypatch, tmp_path):
    """A mail server of this machine that the settings name; what it took."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    taken = Post()
    controller = Controller(taken, hostname="127.0.0.1", port=port, ready_timeout=60)
    controller.start()
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    settings = {
        "HOST": "127.0.0.1", "PORT": str(port), "SECURITY": "none", "SENDER": "me@example.org",
    }  # fmt: skip
    for name, value in settings.items():
        monkeypatch.setenv(f"TUMBLER_MOCKUP_MAIL_{name}", value)
    yield taken
    controller.stop()


def test_a_letter_with_the_proof_is_drafted(desk, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(desk / "config"))
    entered()
    Path("proof.pdf").write_bytes(b"%PDF-1.7")

    run("mail", 1, "--attach", "proof.pdf", "-o", "proof.eml")

    letter = message_from_bytes(Path("proof.eml").read_bytes(), policy=policy.default)
    assert letter["To"] == "wen@example.org"
    assert letter["Subject"] == "Seat 3: your proof"
    assert "here is the proof of Seat 3, revision 1." in letter.get_body().get_content()
    assert [part.get_filename() for part in letter.iter_attachments()] == ["proof.pdf"]
    assert told("orders")[0]["standing"]["state"] == "designing"


def test_a_letter_that_was_sent_is_noted(desk, post):
    entered()
    Path("proof.pdf").write_bytes(b"%PDF-1.7 of seat 3")

    shown = run("mail", 1, "--attach", "proof.pdf", "--send")

    proof = proof_of(1)
    assert shown == f"Sent proof {proof.id}, revision 1, to wen@example.org\n"
    assert [(s.how, s.sent_to) for s in proof.sendings] == [("mail", "wen@example.org")]
    assert told("orders")[0]["standing"]["waits_for"] == "customer"
    ((_, people, content),) = post.letters
    letter = message_from_bytes(content, policy=policy.default)
    assert people == ["wen@example.org"]
    assert next(letter.iter_attachments()).get_content() == b"%PDF-1.7 of seat 3"


def test_a_letter_that_was_refused_is_not_noted(desk, post):
    entered()

    shown = run("mail", 1, "--to", "nobody@example.org", "--send", code=1)

    assert "the server refuses the recipient nobody@example.org" in shown
    assert told("orders")[0]["standing"]["state"] == "designing"


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        (["mail", 1], 2, "Give -o FILE.eml for a draft, or --send."),
        (["mail", 1, "--send"], 1, "no mail server is told of"),
        (["mail", 1, "-o", "a.eml", "--attach", "none.pdf"], 1, "the file cannot be read"),
        (["mail", 1, "-o", "a.eml", "--to", "wen"], 1, "'wen' is no mail address"),
        (["mail", 9, "-o", "a.eml"], 1, "there is no order 9"),
    ],
)
def test_a_letter_that_cannot_go_is_told(desk, monkeypatch, words, code, sentence):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(desk / "config"))
    entered()

    assert sentence in run(*words, code=code)
    assert not Path("a.eml").exists()
