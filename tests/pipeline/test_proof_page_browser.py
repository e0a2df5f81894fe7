"""The proof page as a customer opens it: from a file, on a phone, with the network cut."""

import time
from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from mockup import pipeline
from mockup.colorimetry.contrast import contrast_wcag22
from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.design.read import read_design
from mockup.files import shipped
from mockup.receipt import find_receipts
from mockup.store import open_store

pytestmark = pytest.mark.browser

PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True}
TEXTS = """() => {  // of all texts: colour, what lies behind, size, beginning
  const found = [], ground = (e) => getComputedStyle(e).backgroundColor;
  const solid = (e) => !/, 0\\)$/.test(ground(e));
  for (const element of document.querySelectorAll("body *")) {
    if (!element.checkVisibility() || element.closest("svg, script, .hint")) continue;
    if (![...element.childNodes].some((n) => n.nodeType === 3 && n.data.trim())) continue;
    let behind = element;
    while (behind.parentElement && !solid(behind)) behind = behind.parentElement;
    const { color, fontSize } = getComputedStyle(element);
    found.push([color, ground(behind), parseFloat(fontSize), element.textContent.slice(0, 30)]);
  }
  return found;
}"""
TITLE = "Seat 7 <script>document.title='run'</script> \"שלום\" 🚣"
NOTE = "</script><img src=x onerror=\"document.title='run'\"> & 'so on' \u202e"
WISH = 'Pale, not <b>dark</b>; "שלום" 🎉 & more. ' * 300
PALETTES = ("deep-water", "storm-silver")


@pytest.fixture(scope="module")
def sent(tmp_path_factory):
    """An order in a store, and the page that was made of it."""
    folder = tmp_path_factory.mktemp("proof")
    demo = read_design(shipped("textures", "regatta"))
    document = demo.document.model_copy(update={"title": TITLE, "note": NOTE})
    with open_store(folder / "orders.sqlite") as store:
        order = store.book.add_order(TITLE, cups=8)
        store.drafts.begin(order.id, replace(demo, document=document))
        path = folder / "proof.html"
        terms = pipeline.Terms(cups=1)
        pipeline.order_proof(store, order.id, path, palettes=PALETTES, terms=terms)
        yield store, store.proofs.of_order(order.id)[0], path


@pytest.fixture(scope="module")
def page(browser, sent):
    """The page once it shows the cup; `page.asked` keeps every address that it asked for."""
    context = browser.new_context(**PHONE, offline=True, accept_downloads=True)
    page = context.new_page()
    page.asked, page.troubles = [], []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("pageerror", lambda error: page.troubles.append(str(error)))
    page.on("console", lambda told: page.troubles.append(told.text) if told.type == "error" else 0)
    page.on("dialog", lambda dialog: page.troubles.append(dialog.message))
    page.goto(sent[2].as_uri())
    until(page, "stage.dataset.state === 'resting' || stage.dataset.state === 'still'")
    yield page
    context.close()


def until(page, truth, seconds=180):
    """Wait for what becomes true; the page's policy forbids the driver's own way."""
    end = time.monotonic() + seconds
    while not page.evaluate(f"(stage => {truth})(document.getElementById('stage'))"):
        assert time.monotonic() < end, page.evaluate(
            "document.getElementById('stage').dataset.state"
        )
        time.sleep(0.1)


def shown(page):
    """The stage as it is on screen: (rows, columns, 3) float."""
    picture = Image.open(BytesIO(page.locator("#stage").screenshot(animations="disabled")))
    return np.asarray(picture.convert("RGB")).astype(float)


def changed(one, other):
    """Share of pixels that look different."""
    return (np.abs(one - other).max(-1) > 12).mean()


def pick(page, name, value):
    """Choose a light or an option and wait until it is on screen."""
    page.locator(f"#switches label:has(input[name={name}][value={value!r}])").click()
    until(page, "!stage.hasAttribute('aria-busy')")


def turn_of(page):
    return float(page.locator("#stage canvas").get_attribute("aria-valuenow"))


def answered(page, answer, customer, comment=""):
    """Fill the form as a customer does; gives the receipt."""
    if not page.locator("#form").is_visible():
        page.locator("#again").click()
    page.locator(f"#form input[value={answer!r}]").check(force=True)
    if answer == "approved":
        page.locator("#looked").check()
    page.locator("#customer").fill(customer)
    page.locator("#comment").fill(comment)
    page.locator("#write").click()
    return page.locator("#receipt").input_value()


def test_it_is_small_and_asks_for_nothing(page, sent):
    """Under 3 MB; the only request of all is for the file itself."""
    assert sent[2].stat().st_size < 3_000_000
    asked = [url for url in page.asked if not url.startswith(("data:", "blob:"))]
    assert asked == [sent[2].as_uri()]
    assert page.troubles == []


def test_it_fits_the_phone(page):
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_the_cup_turns(page):
    """By keys, and to a side by a button: the angle is told and the picture differs."""
    page.locator(".sides button", has_text="Front").click()
    until(page, "stage.querySelector('canvas').getAttribute('aria-valuenow') === '0'")
    front = shown(page)
    page.locator("#stage canvas").focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    assert turn_of(page) == pytest.approx(30, abs=1)
    page.locator(".sides button", has_text="Back").click()
    until(page, "Math.abs(stage.querySelector('canvas').getAttribute('aria-valuenow')) === 180")
    until(page, "stage.dataset.state !== 'moving'")

    back = shown(page)
    rows = slice(back.shape[0] // 4, 3 * back.shape[0] // 4)
    columns = slice(back.shape[1] * 2 // 5, back.shape[1] * 3 // 5)
    assert changed(back[rows, columns], front[rows, columns]) > 0.1


def test_light_and_colours_switch(page):
    """The same cup by a window, and in silver: other pictures, told in words."""
    studio = shown(page)
    pick(page, "light", "window")
    window = shown(page)
    assert "window" in page.locator("#told-light").inner_text()
    assert changed(window, studio) > 0.3

    pick(page, "option", "1")
    silver = shown(page)
    assert 0.02 < changed(silver, window) < 0.4  # the cup, not the room
    assert page.locator("#form [data-told=palette]").inner_text() == "storm-silver"
    assert page.locator("ul[data-option='1']").is_visible()
    assert not page.locator("ul[data-option='0']").is_visible()
    assert page.locator("[data-other]").is_visible()


def test_text_of_others_is_shown_and_never_run(page):
    assert page.locator("h1").inner_text() == TITLE
    assert page.locator(".words").first.inner_text() == NOTE
    assert page.title().startswith("Proof: ")


def test_what_is_missing_is_told_at_its_field(page):
    page.locator("#form input[value=approved]").check(force=True)
    page.locator("#looked").uncheck()
    page.locator("#customer").fill(" ")
    page.locator("#write").click()

    assert page.locator("#looked-wrong").is_visible()
    assert page.locator("#customer-wrong").inner_text() == "Please write your name."
    assert page.evaluate("document.activeElement.id") == "looked"
    assert page.locator("#customer").get_attribute("aria-invalid") == "true"
    assert not page.locator("#ready").is_visible()


def test_an_approval_becomes_a_receipt_that_the_order_book_takes(page, sent):
    """Of the option that is on screen; changed by one letter it is refused, and so is a second."""
    store, proof, _ = sent
    pick(page, "option", "1")
    text = answered(page, "approved", "Wen <b>Überfahrt</b> שלום", "As it is!")

    [found] = find_receipts(text)
    assert found.holds(proof.key)
    assert found.receipt.proof == proof.id
    assert found.receipt.answer == "approved"
    assert found.receipt.customer == "Wen <b>Überfahrt</b> שלום"
    assert found.receipt.palette == "storm-silver"
    assert found.receipt.fingerprint == proof.options[1].fingerprint
    assert page.locator("#mail").get_attribute("href").startswith("mailto:?subject=Approved")

    [damaged] = store.receipts.read(text.replace("storm-silver", "storm-silves"))
    [taken] = store.receipts.read(text)
    [again] = store.receipts.read(text)
    assert [damaged.taken, taken.taken, again.taken] == [False, True, False]
    approval = store.approvals.of(proof.options[1].fingerprint)
    assert approval is not None


def test_a_long_wish_goes_into_a_file(page, sent):
    """10,000 letters: more than a mail's address line takes. The file holds the whole receipt."""
    wish = WISH[:10_000].strip()
    text = answered(page, "change asked", "Wen", wish)

    assert page.locator("#attach").is_visible()
    assert len(page.locator("#mail").get_attribute("href")) < 2_000
    with page.expect_download() as download:
        page.locator("#save").click()
    saved = download.value.path().read_text("utf-8")
    assert saved == text
    [found] = find_receipts(saved)
    assert found.holds(sent[1].key)
    assert found.receipt.comment == wish


def test_a_reader_s_order_is_the_page_s(page):
    """Tab goes through it from the top: the way past it, the cup, its switches, the answer."""
    page.locator("#again").click()
    page.locator("#form input[value=approved]").check(force=True)
    page.locator(".skip").focus()
    order = ["skip"]
    for _ in range(24):
        page.keyboard.press("Tab")
        order.append(
            page.evaluate(
                "(e => e.id || e.name || e.dataset.turn || e.className || e.tagName)"
                "(document.activeElement)"
            )
        )
    wanted = ["skip", "CANVAS", "0", "closer", "rulers", "option", "light", "answer", "looked"]
    wanted += ["comment", "customer", "write"]
    at = [order.index(what) for what in wanted if what in order]
    assert [what for what in wanted if what not in order] == []
    assert at == sorted(at)


def test_all_text_can_be_read(page):
    """WCAG 2.2, 1.4.3: 4.5 to 1 of every text and what lies behind it, 3 to 1 for large ones."""
    seen = page.evaluate(TEXTS)
    assert len(seen) > 60
    for ink, ground, size_px, text in seen:
        pair = [
            np.array([float(n) for n in code[4:].strip("(a)").split(",")[:3]])
            for code in (ink, ground)
        ]
        luminance = [linear_from_rgb8(c.astype(np.uint8)) @ [0.2126, 0.7152, 0.0722] for c in pair]
        assert contrast_wcag22(*luminance) >= (3 if size_px >= 24 else 4.5), (text, ink, ground)


def test_nothing_moves_for_those_who_want_it_still(page):
    page.emulate_media(reduced_motion="reduce")
    page.locator(".sides button", has_text="Left").click()

    assert turn_of(page) == -90
    assert (
        page.evaluate("getComputedStyle(document.getElementById('bar')).transitionDuration") == "0s"
    )
    page.emulate_media(reduced_motion=None)


def test_without_webgl_the_picture_stays(chromium, sent):
    """And the answer can still be given."""
    browser = chromium("--disable-gpu", "--disable-software-rasterizer")
    page = browser.new_context(**PHONE, offline=True).new_page()
    page.goto(sent[2].as_uri())
    until(page, "stage.dataset.state === 'picture'", 30)

    assert page.locator("#no-turn").is_visible()
    assert page.locator("#stage img").evaluate("image => image.naturalWidth") > 300
    page.locator("#switches input[value='1']").check(force=True)
    [found] = find_receipts(answered(page, "approved", "Wen"))
    assert found.receipt.palette == "storm-silver"
    browser.close()


def test_without_javascript_the_facts_are_there(browser, sent):
    context = browser.new_context(**PHONE, offline=True, java_script_enabled=False)
    page = context.new_page()
    page.goto(sent[2].as_uri())

    assert "JavaScript, which is off here" in page.content()
    assert page.locator("noscript").is_visible()
    assert page.locator("#plain").is_visible()
    assert not page.locator("#form").is_visible()
    context.close()
