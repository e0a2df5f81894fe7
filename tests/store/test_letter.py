"""A receipt is found in whatever file the customer's answer came as."""

from email.message import EmailMessage

import pytest

from mockup.errors import StoreError
from mockup.receipt import find_receipts, write_receipt
from mockup.store.letter import MOST_BYTES, text_of_letter
from tests.test_receipt import KEY, SAMPLE

TEXT = write_receipt(SAMPLE, KEY)


def mail(content, **how):
    message = EmailMessage()
    message["From"] = "wen@example.org"
    message["Subject"] = "Re: your cup"
    message.set_content(content, **how)
    return message


def attached(name, kind):
    message = mail("See what I saved.\n")
    message.add_attachment(TEXT.encode(), maintype=kind[0], subtype=kind[1], filename=name)
    return message.as_bytes()


def forwarded():
    message = mail("Here it is.\n")
    message.add_attachment(mail(TEXT))
    return message.as_bytes()


FILES = {
    "plain text": TEXT.encode(),
    "with the mark of a text editor": b"\xef\xbb\xbf" + TEXT.encode(),
    "UTF-16, as some editors save": TEXT.encode("utf-16"),
    "a mail": mail(TEXT).as_bytes(),
    "a mail in quoted-printable": mail(TEXT, cte="quoted-printable").as_bytes(),
    "a mail in base64": mail(TEXT, cte="base64").as_bytes(),
    "a mail of another alphabet": mail(
        TEXT.replace("—", "-"), charset="iso-8859-1", cte="quoted-printable"
    ).as_bytes(),
    "a mail of HTML alone": mail(
        "<div>" + "<br>\n".join(
            line.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;")
            for line in TEXT.split("\n")
        ) + "</div>", subtype="html",
    ).as_bytes(),
    "an attached text": attached("receipt.txt", ("text", "plain")),
    "an attached JSON": attached("receipt.json", ("application", "json")),
    "a forwarded mail": forwarded(),
    "a mail of an unknown alphabet": mail(TEXT).as_bytes().replace(b"utf-8", b"klingon"),
    "words that look like the head of a mail": b"Content-Type: image/png\n\n" + TEXT.encode(),
}  # fmt: skip


@pytest.mark.parametrize("name", FILES)
def test_the_receipt_is_found(name):
    found = find_receipts(text_of_letter(FILES[name], where="answer"))

    assert len(found) == 1
    assert found[0].holds(KEY)
    assert found[0].receipt == SAMPLE


def test_a_file_that_is_no_letter_holds_no_receipt():
    assert find_receipts(text_of_letter(bytes(range(256)) * 40, where="picture.png")) == ()


def test_a_file_that_no_mail_could_be_is_refused():
    with pytest.raises(StoreError, match="larger than 25 MB"):
        text_of_letter(bytes(MOST_BYTES + 1), where="film.mov")
