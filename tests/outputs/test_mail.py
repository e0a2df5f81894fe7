"""A letter is one that any mail program opens, whatever its words are."""

from dataclasses import replace
from email import message_from_bytes, policy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.errors import OutputError
from mockup.outputs.mail import MOST_BYTES, Attachment, Letter, address_of, eml_of
from mockup.outputs.mail_words import proof_words

FILES = (
    Attachment("proof.pdf", b"%PDF-1.7\r\n" + bytes(range(256)) * 300),
    Attachment("page.html", "<!doctype html>\n<p>Möwe\r\n.\r\n🌊</p>".encode()),
    Attachment("Riemen & Ruder/№ 4.unknown", b"\x00\r\n.\r\n"),
    Attachment("empty.txt", b""),
)
LETTER = Letter(
    "Studio Möwe <studio@example.org>",
    "Wen Hårbour <wen@example.org>",
    "Seaglass Eight, seat 4: your proof 🌊",
    "Hello Wen,\n\n.\nFrom here on: — “just so” …\n" + "a long line " * 200,
    FILES,
)


def test_a_draft_opens_as_a_letter_that_is_being_written(tmp_path):
    draft = message_from_bytes(eml_of(LETTER), policy=policy.default)

    assert draft["X-Unsent"] == "1"
    assert draft["Date"] is None
    assert [part.get_payload(decode=True) for part in draft.iter_attachments()] == [
        file.data for file in FILES
    ]
    assert message_from_bytes(eml_of(replace(LETTER, sender="")))["From"] is None
    assert all(len(line) <= 998 for line in eml_of(LETTER).split(b"\r\n"))


def test_the_same_letter_gives_the_same_draft_but_for_the_joints():
    """MIME's boundaries are drawn at random."""

    def without_joints(eml):
        joint = message_from_bytes(eml).get_boundary().encode()
        return eml.replace(joint, b"")

    assert without_joints(eml_of(LETTER)) == without_joints(eml_of(LETTER))


@pytest.mark.parametrize(
    "address",
    ["", "wen", "wen@", "@example.org", "a@example.org, b@example.org", "a b@example.org"],
)
def test_what_is_no_address_is_refused(address):
    with pytest.raises(OutputError, match="mail address"):
        address_of(address, "the recipient")


def test_an_address_in_another_alphabet_is_told_or_spelled_out():
    assert address_of("wen@möwe.example", "the recipient").domain == "xn--mwe-sna.example"
    with pytest.raises(OutputError, match="few mail servers take"):
        address_of("möwe@example.org", "the recipient")


@given(
    subject=st.text(st.characters(exclude_categories=[])),
    text=st.text(st.characters(exclude_categories=[])),
    name=st.text(st.characters(exclude_categories=[])),
)
def test_no_text_can_add_a_header_or_break_the_letter(subject, text, name):
    letter = Letter("", "wen@example.org", subject, text, (Attachment(name, b"data"),))

    came = message_from_bytes(eml_of(letter), policy=policy.default)

    assert set(came.keys()) == {
        "To", "Subject", "X-Unsent", "MIME-Version", "Content-Type",
    }  # fmt: skip
    (attached,) = came.iter_attachments()
    assert attached.get_payload(decode=True) == b"data"


def test_more_than_servers_take_is_refused():
    heavy = Attachment("film.mp4", bytes(MOST_BYTES + 1))

    with pytest.raises(OutputError, match="the attachments have 18 MB, more than mail servers"):
        eml_of(replace(LETTER, attachments=(heavy,)))


def test_the_letter_tells_how_to_answer_what_is_attached():
    told = {"title": "Seat 4", "customer": "Wen", "revision": 2}

    page = proof_words(**told, files=["proof.html"])
    sheet = proof_words(**told, files=["proof.PDF"])

    assert "Hello Wen," in page
    assert "proof of Seat 4, revision 2" in page
    assert "short receipt" in page
    assert "short receipt" not in sheet
    assert "sign it" in sheet
