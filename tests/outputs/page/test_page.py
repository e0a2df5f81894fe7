"""The proof page as a file: asks for nothing, runs its own script alone, keeps text as text."""

import base64
import hashlib
import json
import re
from html.parser import HTMLParser

import numpy as np
import pytest

from mockup.errors import OutputError
from mockup.outputs.facts import LightFact, SwatchFact
from mockup.outputs.page.hold import Hold
from mockup.outputs.page.page import MOST_BYTES, CloserView, PageOption, Seal, lay_out_page

HOSTILE = (
    "Crew </script><script>alert(1)</script> \"seven\" & 'co' <img src=x onerror=alert(2)> "
    "\u202eשלום\u2028 🚣‍♀️ ${title} $title <!-- "
)
LIGHTS = (LightFact("softbox", "Studio light."), LightFact("window", "Daylight."))
KEY = bytes(range(32))


class Page(HTMLParser):  # its methods are the base class's
    """What a parser makes of it: tags with attributes, text by the tag it stands in."""

    def __init__(self, html):
        super().__init__()
        self.tags, self.text, self.open = [], [], []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        """Keep the tag."""
        self.tags.append((tag, dict(attrs)))
        self.open.append(tag)

    def handle_endtag(self, tag):
        """Close it, and what was left open in it."""
        if tag in self.open:
            while self.open.pop() != tag:
                pass

    def handle_data(self, data):
        """Keep the text."""
        self.text.append((self.open[-1] if self.open else "", data))

    def inside(self, tag):
        """Texts that stand right in such a tag."""
        return [data for where, data in self.text if where == tag]


def an_option(palette="deep-water", findings=()):
    swatches = (SwatchFact("base", f"{palette} navy", "Paint", "paint", "me", (13, 35, 72)),)
    return PageOption(palette, palette[:1] * 64, swatches, findings, np.full((40, 30, 3), 90, "u1"))


@pytest.fixture
def laid(make_facts):
    def lay(options=None, hold=None, seal=None, **facts):
        seal = seal or Seal(
            "ABCD-1", KEY, facts.get("title", "Seaglass Eight"), 3, "me@example.org"
        )
        options = options or (an_option(),)
        closer = CloserView(0.0, 100.0, 3.0)
        facts = make_facts(**facts)
        return lay_out_page(facts, options, LIGHTS, hold or Hold(), closer, seal).decode("utf-8")

    return lay


def told_of(page):
    [(_, data)] = [
        (tag, data) for tag, data in page.text if tag == "script" and data.startswith('{"proof"')
    ]
    return json.loads(data)


def test_it_asks_for_nothing_from_outside(laid):
    """No address but its own data and fragments, in any attribute, and none in its style."""
    page = Page(laid())

    for tag, attrs in page.tags:
        for name in ("src", "href", "action", "poster", "srcset", "data"):
            value = attrs.get(name)
            assert value is None or value.startswith(("data:", "#")), (tag, name, value)
    assert "url(" not in "".join(page.inside("style"))
    assert "@import" not in "".join(page.inside("style"))
    assert not {tag for tag, _ in page.tags} & {"link", "iframe", "object", "embed", "base"}


def test_its_policy_lets_only_its_own_script_run(laid):
    """Content Security Policy level 3: nothing by default, one script by the hash of its bytes."""
    html = laid()
    page = Page(html)

    [policy] = [a["content"] for t, a in page.tags if a.get("http-equiv")]
    script = html.split('<script type="module">')[1].split("</script>")[0]
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    rules = dict(rule.split(" ", 1) for rule in policy.split("; "))
    assert rules["default-src"] == "'none'"
    assert rules["script-src"] == f"'sha256-{digest}'"
    assert rules["form-action"] == rules["base-uri"] == "'none'"
    assert "connect-src" not in rules  # default: none
    assert html.index("Content-Security-Policy") < html.index("<style")
    assert not [name for _, attrs in page.tags for name in attrs if name.startswith("on")]


def test_text_of_others_stays_text(laid):
    """In the title, the note, names, findings, what things are called: seen, and no tag of it."""
    plain = Page(laid(title="Seaglass", note="x"))
    swatch = SwatchFact("base", HOSTILE, HOSTILE, HOSTILE, HOSTILE, (1, 2, 3))
    option = PageOption(HOSTILE, "f" * 64, (swatch,), (HOSTILE,), np.zeros((4, 3, 3), "u1"))
    page = Page(
        laid(
            options=(option,), title=HOSTILE, note=HOSTILE, palette=HOSTILE,
            seal=Seal(HOSTILE, KEY, HOSTILE, 3, HOSTILE), findings=(HOSTILE,), cautions=(HOSTILE,),
        )
    )  # fmt: skip

    count = lambda page, tag: sum(1 for found, _ in page.tags if found == tag)  # noqa: E731
    assert count(page, "script") == count(plain, "script")
    assert {tag for tag, _ in page.tags} == {tag for tag, _ in plain.tags}
    assert HOSTILE in page.inside("h1")
    assert HOSTILE in page.inside("p")
    assert page.inside("h3") == [HOSTILE]
    assert HOSTILE in page.inside("li")
    assert told_of(page)["order"] == HOSTILE
    assert told_of(page)["options"][0]["palette"] == HOSTILE


def test_a_note_of_ten_thousand_letters_is_whole(laid):
    note = "wishes & <b>more</b> " * 500

    assert note in Page(laid(note=note)).inside("p")


def test_it_carries_what_an_answer_is_signed_with(laid):
    told = told_of(Page(laid()))

    assert told["proof"] == "ABCD-1"
    assert bytes.fromhex(told["key"]) == KEY
    assert told["revision"] == 3
    assert told["reply_to"] == "me@example.org"
    assert told["options"][0]["fingerprint"] == "d" * 64


def test_each_option_has_its_own_materials_and_notes(laid):
    """The first is shown, the others wait."""
    options = (an_option("deep-water", ("One.",)), an_option("storm-silver", ("Two.",)))
    page = Page(laid(options=options))

    waiting = {
        (tag, attrs["data-option"]): "hidden" in attrs
        for tag, attrs in page.tags
        if "data-option" in attrs
    }
    assert waiting == {
        ("section", "0"): False, ("section", "1"): True, ("ul", "0"): False, ("ul", "1"): True,
    }  # fmt: skip
    assert {"deep-water navy", "storm-silver navy"} <= set(page.inside("h3"))
    assert {"One.", "Two."} <= set(page.inside("li"))


def test_a_single_option_and_light_need_no_switch(laid, make_facts):
    page = lay_out_page(
        make_facts(),
        (an_option(),),
        LIGHTS[:1],
        Hold(),
        CloserView(0, 1, 1),
        Seal("x", KEY, "y", 1),
    ).decode()

    assert 'name="light"' not in page
    assert 'name="option"' not in page


def test_every_field_has_a_label_and_every_picture_words(laid):
    page = Page(laid())

    labelled = {attrs["for"] for tag, attrs in page.tags if tag == "label" and "for" in attrs}
    fields = [a for t, a in page.tags if t in ("input", "textarea") and a.get("type") != "radio"]
    assert {attrs["id"] for attrs in fields} == labelled
    pictures = [attrs for tag, attrs in page.tags if tag == "img"]
    assert all(attrs.get("alt") for attrs in pictures)
    assert not any("loading" in attrs for attrs in pictures)  # within the page: nothing comes late
    ids = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
    assert len(ids) == len(set(ids))


def test_the_same_facts_give_the_same_bytes(laid):
    assert laid() == laid()


def test_a_page_too_large_for_mail_is_refused(laid):
    hold = Hold(bodies={"k": "A" * MOST_BYTES})

    with pytest.raises(OutputError, match=r"3\.1 MB, more than the 3 that mail"):
        laid(hold=hold)


def test_it_tells_without_javascript_what_to_do(laid):
    html = laid()

    assert re.search(r"<noscript><p[^>]*>.*answer the maker by mail", html)
    assert '<img id="plain" src="data:image/jpeg' in html
