"""A receipt says the same in Python and in the browser, and holds only as it was signed."""

import hashlib
import hmac
import json
import quopri
import re
import textwrap
from datetime import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.files import source_text
from mockup.receipt import Receipt, Signed, find_receipts, signature_of, write_receipt

KEY = bytes(range(32))
any_text = st.text(st.characters(exclude_categories=[]), max_size=60)
well_formed = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)
moments = st.datetimes(datetime(1900, 1, 1), timezones=st.timezones()).map(
    lambda m: m.isoformat(timespec="seconds")
)


def receipts(texts=well_formed):
    return st.builds(
        Receipt,
        proof=st.just("4D3W-G6SG-99VR"),
        order=texts,
        revision=st.integers(1, 999),
        palette=texts,
        fingerprint=st.just("ab" * 32),
        answer=st.sampled_from(["approved", "change asked"]),
        comment=texts,
        customer=texts,
        moment=moments,
    )


SAMPLE = Receipt(
    proof="4D3W-G6SG-99VR",
    order="Seaglass Eight, seat 4",
    revision=2,
    palette="storm-silver",
    fingerprint="0123456789abcdef" * 4,
    answer="approved",
    comment='Lovely — "just so" <b>& thanks</b>\nOne more thing: {"a": 1}',
    customer="Wen Hårbour",
    moment="2026-06-01T09:30:00+02:00",
)


def test_the_signature_is_hmac_over_canonical_json_worked_out_by_hand():
    """RFC 8785: keys sorted, no blanks; of control characters and quotes only are escaped."""
    canonical = (
        '{"answer":"approved","comment":"Lovely — \\"just so\\" <b>& thanks</b>\\nOne more thing: '
        '{\\"a\\": 1}","customer":"Wen Hårbour","fingerprint":"' + "0123456789abcdef" * 4 + '",'
        '"format":1,"moment":"2026-06-01T09:30:00+02:00","order":"Seaglass Eight, seat 4",'
        '"palette":"storm-silver","proof":"4D3W-G6SG-99VR","revision":2}'
    )

    by_hand = hmac.new(KEY, canonical.encode(), hashlib.sha256).hexdigest()

    assert signature_of(SAMPLE, KEY) == by_hand


def test_people_can_read_what_it_says():
    text = write_receipt(SAMPLE, KEY)

    assert text.startswith("APPROVED: Seaglass Eight, seat 4, revision 2, storm-silver\n")
    assert "Name: Wen Hårbour\nWhen: 2026-06-01T09:30:00+02:00\nComment: Lovely — " in text
    assert all(len(line) <= 72 for line in text.split("as they are:\n")[1].splitlines())


@settings(deadline=None)
@given(receipts())
def test_a_receipt_reads_back_as_it_was_written(receipt):
    assert find_receipts(write_receipt(receipt, KEY))[-1] == Signed(
        receipt, signature_of(receipt, KEY)
    )


@given(receipts(any_text))
def test_halves_of_letters_are_written_as_their_stand_in(receipt):
    found = find_receipts(write_receipt(receipt, KEY))[-1]

    assert found.holds(KEY)
    assert not re.search("[\ud800-\udfff]", found.receipt.comment)


def quoted(text):
    return "\r\n".join(f"> > {line}" for line in text.split("\n"))


def rewrapped(text):
    return "\n".join(textwrap.wrap(text, 31, break_on_hyphens=False))


def flowed(text):
    return "\n".join(line[:40] + " \n" + line[40:] for line in text.split("\n"))


ON_THE_WAY = {
    "quoted twice, by lines that end as mail's do": quoted,
    "wrapped anew": rewrapped,
    "wrapped, then quoted": lambda text: quoted(rewrapped(text)),
    "flowed": flowed,
    "among other words": lambda text: f"Hi!\n{{ see below }}\n{text}\n-- \nSent from a boat",
    "indented, with tabs": lambda text: textwrap.indent(text, "\t| "),
    "with invisible blanks": lambda text: "\ufeff" + "\u200b\u00a0".join(text),
    "with curled quotes": lambda text: re.sub('"([^"]*)"', "“\\1”", text),
    "as quoted-printable": lambda text: quopri.encodestring(text.encode()).decode(),
    "on one line": lambda text: text.replace("\n", " "),
}


@pytest.mark.parametrize("way", ON_THE_WAY)
@given(receipt=receipts())
def test_a_receipt_survives_its_way(way, receipt):
    found = find_receipts(ON_THE_WAY[way](write_receipt(receipt, KEY)))

    assert found[-1] == Signed(receipt, signature_of(receipt, KEY))


def test_one_letter_changed_anywhere_is_never_taken():
    """Each letter of the JSON in turn; one that still means the same is the same receipt."""
    words, json_text = write_receipt(SAMPLE, KEY).split("as they are:\n")
    for i, letter in enumerate(json_text.rstrip("\n")):
        for other in ("0", "a", "}", '"', " "):
            if letter in ("\n", other):
                continue
            changed = f"{words}as they are:\n{json_text[:i]}{other}{json_text[i + 1 :]}"
            for found in find_receipts(changed):
                assert found is None or not found.holds(KEY) or found.receipt == SAMPLE, changed


@given(receipts(), st.binary(min_size=32, max_size=32).filter(lambda key: key != KEY))
def test_another_key_does_not_hold(receipt, other):
    assert not find_receipts(write_receipt(receipt, KEY))[-1].holds(other)


def test_a_thread_gives_each_receipt_once():
    first, second = write_receipt(SAMPLE, KEY), write_receipt(SAMPLE, KEY[::-1])
    thread = f"{second}\nOn Monday you wrote:\n{quoted(first)}\n{quoted(second)}"

    assert [found.holds(KEY) for found in find_receipts(thread)] == [False, True]


@pytest.mark.parametrize(
    "spoiled",
    [
        lambda text: text.replace('"revision":2', '"revision":true'),
        lambda text: text.replace('"revision":2', f'"revision":{"9" * 5000}'),
        lambda text: text.replace('"revision":2', f'"revision":{"9" * 40}'),
        lambda text: text.replace('"format":1', '"format":2'),
        lambda text: text.replace('"answer":"approved"', '"answer":"yes"'),
        lambda text: text.replace('"order"', '"extra":"","order"'),
        lambda text: re.sub(r'"moment":"[^"]*"', '"moment":"soon"', text),
        lambda text: re.sub(r'"moment":"[^"]*"', '"moment":"2026-06-01"', text),
        lambda text: re.sub(r'"comment":"[^"]*"', '"comment":["signature"]', text),
        lambda text: re.sub(r'"comment":"[^"]*"', '"comment":' + "[" * 100_000, text),
        lambda text: re.sub(r'"signature":"[^"]*"', '"signature":"é"', text),
    ],
)
def test_what_is_no_receipt_is_told_as_damaged(spoiled):
    json_text = write_receipt(SAMPLE, KEY).split("as they are:\n")[1].replace("\n", "")

    assert spoiled(json_text) != json_text
    assert find_receipts(spoiled(json_text)) == (None,)


def test_half_a_receipt_is_none():
    assert find_receipts(write_receipt(SAMPLE, KEY)[:-40]) == ()


@given(any_text)
def test_any_text_is_looked_through(text):
    assert find_receipts(text) == ()


@pytest.fixture(scope="module")
def page(browser, tmp_path_factory):
    """A page from a file, without network, that holds the script alone."""
    path = tmp_path_factory.mktemp("page") / "receipt.html"
    path.write_text(f"<script>{source_text('mockup', 'receipt.js')}</script>", "utf-8")
    with browser.new_context(offline=True, timezone_id="Asia/Kolkata") as context:
        opened = context.new_page()
        opened.goto(path.as_uri())
        yield opened


def in_browser(page, receipt):
    """The script's text of a receipt; facts cross as UTF-16 units, since pipes refuse halves."""
    facts = {
        name: list(memoryview(value.encode("utf-16-le", "surrogatepass")).cast("H"))
        if isinstance(value, str)
        else value
        for name, value in ((name, getattr(receipt, name)) for name in Receipt.__slots__)
    }
    return page.evaluate(
        """([facts, key]) => {
          for (const name of Object.keys(facts))
            if (Array.isArray(facts[name]))
              facts[name] = facts[name].map((unit) => String.fromCharCode(unit)).join("");
          return writeReceipt(facts, key);
        }""",
        [facts, KEY.hex()],
    )


HOSTILE = {
    "plain": "Yes",
    "quotes": "'\"`\\ </script><script>alert(1)</script> ${x} {{y}}",
    "emoji": "🚣🏽‍♀️🎏👨‍👩‍👧",
    "right to left": "שלום \u202eمرحبا\u202c",
    "ten thousand letters": "naïve café — ok " * 625,
    "ten thousand emoji": "🌊" * 10_000,
    "controls": "".join(map(chr, range(32))) + "\x7f\x80\u2028\u2029\ufeff\u0000",
    "lone halves": "a\ud83dz\ude00\udc00\ud800\ud83d",
    "halves that make a letter": "\ud83d\ude00",
    "halves the wrong way round": "\ude00\ud83d",
    "accents in two ways": "\u00e9 e\u0301",
    "a receipt in it": write_receipt(SAMPLE, KEY),
    "nothing": "",
}


@pytest.mark.browser
@pytest.mark.parametrize("name", HOSTILE)
def test_the_browser_writes_the_same_letters(page, name):
    text = HOSTILE[name]
    receipt = Receipt(
        "4D3W-G6SG-99VR", text, 7, text, "ab" * 32, "change asked", text, text,
        "2026-06-01T09:30:00+02:00",
    )  # fmt: skip

    written = in_browser(page, receipt)

    assert written == write_receipt(receipt, KEY)
    assert find_receipts(written)[-1].holds(KEY)


@pytest.mark.browser
@settings(max_examples=60, deadline=None)
@given(receipt=receipts(any_text))
def test_the_browser_writes_the_same_letters_whatever_they_are(page, receipt):
    assert in_browser(page, receipt) == write_receipt(receipt, KEY)


@pytest.mark.browser
@pytest.mark.parametrize("length", [0, 1, 55, 56, 63, 64, 65, 119, 120, 1000])
def test_the_browsers_sha256_is_sha256(page, length):
    """Lengths round the ends of blocks, where padding goes wrong."""
    data = bytes(i % 251 for i in range(length))

    digest = page.evaluate("(data) => Array.from(sha256(Uint8Array.from(data)))", list(data))

    assert bytes(digest) == hashlib.sha256(data).digest()


@pytest.mark.browser
def test_the_browsers_moment_tells_its_own_clock_and_offset(page):
    """India is five and a half hours ahead, all year."""
    moment = page.evaluate("receiptMoment(new Date(Date.UTC(2026, 5, 1, 20, 5, 9)))")

    assert moment == "2026-06-02T01:35:09+05:30"


@pytest.mark.browser
def test_roots_of_primes_are_far_from_where_a_last_bit_would_matter(page):
    """Another browser's cube root may differ in its last bit; none of the words would."""
    from decimal import Decimal, getcontext

    getcontext().prec = 60
    words = page.evaluate("sha256Constants().rounds")
    primes = [n for n in range(2, 312) if all(n % p for p in range(2, n))]
    for word, prime in zip(words, primes, strict=True):
        scaled = (Decimal(prime) ** (Decimal(1) / 3) % 1) * 2**32
        assert int(scaled) == word
        assert 0.0001 < scaled % 1 < 0.9999


def test_the_json_is_json():
    text = write_receipt(SAMPLE, KEY).split("as they are:\n")[1].replace("\n", "")

    assert json.loads(text)["comment"] == SAMPLE.comment
