"""The desk in a real browser: from nothing to a proof, by keyboard, and through a power cut."""

import re
import socket
import time
import urllib.error
import urllib.request

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import expect
from pypdf import PdfReader

from mockup.store import open_store
from tests.faces.desk.server import Page, served

pytestmark = pytest.mark.browser

COARSE = 0.5  # device pixels a CSS pixel: no test here looks at the cup's own picture


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    with served(tmp_path_factory.mktemp("desk") / "orders.sqlite") as server:
        yield server
        assert list(server.folder.iterdir()) == []  # nothing is left where it was started


@pytest.fixture
def page(browser, desk):
    made = Page(browser, desk, device_scale=COARSE)
    yield made
    made.page.close()
    assert made.faults == []
    assert made.strangers == []  # nothing is asked of anybody else


@pytest.fixture(scope="module")
def artwork(tmp_path_factory):
    """Stripes that do not meet: half the picture sea green, half sand."""
    rgb = np.zeros((240, 960, 3), np.uint8)
    rgb[:, :480], rgb[:, 480:] = (40, 130, 120), (225, 205, 170)
    path = tmp_path_factory.mktemp("artwork") / "stripes.png"
    Image.fromarray(rgb).save(path)
    return path


def design_in(desk, order):
    with open_store(f"sqlite:///{desk.store}") as store:
        return store.drafts.current(order).design()


def order_of(page):
    return int(re.search(r"order=(\d+)", page.page.url)[1])


def test_a_new_cup_from_nothing_to_its_proof(page, desk, artwork):
    """An upload, a decal placed by a click, a reload in the middle, a palette switch, a proof."""
    page.goto()
    page.field("What is ordered").fill("Cox's cup")
    page.field("Customer").fill("A. Rower")
    page.button("Begin").click()
    page.page.wait_for_url("**/cup?order=*")
    page.quiet()
    page.bands_are("Base coat")

    page.pick("Base coat")
    page.lay("Wrap", files=artwork)
    page.bands_are("Wrap", "Base coat")
    expect(page.page.get_by_text("The break is plain to see")).to_be_visible()

    page.lay("Lettering")
    page.fill("Words", "COX")
    width, height = page.page.locator(".flat image").evaluate(
        "image => { const b = image.getBoundingClientRect(); return [b.width, b.height]; }"
    )
    with page.saving():
        page.page.locator(".flat image").click(position={"x": width * 0.75, "y": height * 0.25})
    page.lay("Clear coat")
    order = order_of(page)
    word = design_in(desk, order).document.layers[2]
    assert word.place.angle_deg == pytest.approx(90, abs=1.0)  # three quarters along, from the back
    assert word.place.height_mm == pytest.approx(0.75 * 155, abs=1.0)  # of the 15 fl oz wall

    page.page.reload()
    page.quiet()
    page.bands_are("Clear coat", "“COX”", "Wrap", "Base coat")

    page.choose("Palette", "storm-silver")
    design = design_in(desk, order)
    assert design.document.palette == "storm-silver"
    assert [layer.kind for layer in design.document.layers] == ["base", "wrap", "decal", "coat"]

    page.turn_to("Proof")
    page.button("Make the proof").click()
    page.button("Save the proof").wait_for(timeout=900_000)  # seven pictures, by software OpenGL
    with page.page.expect_download() as download:
        page.button("Save the proof").click()
    text = "\n".join(p.extract_text() for p in PdfReader(download.value.path()).pages)
    assert "Cox's cup" in text
    assert design.fingerprint[:8] in text.replace(" ", "")


def test_a_click_on_the_cup_lays_the_piece_there(page, desk):
    """The middle of the cup's picture is the front: a decal from the back comes there."""
    page.goto()
    page.button("Open the demo").click()
    page.page.wait_for_url("**/cup?order=*")
    page.quiet()
    page.pick("seat number")
    page.page.wait_for_selector(".sight[data-drawn]")
    box = page.page.locator(".cup").bounding_box()
    with page.saving():
        page.page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.72)

    place = design_in(desk, order_of(page)).document.layers[10].place
    assert place.angle_deg == pytest.approx(0, abs=1)
    assert 15 < place.height_mm < 90


def test_the_keyboard_does_it_all(page, desk):
    """Open the demo, pick a layer, move it, take that back, set a field: without a mouse."""
    keys = page.page.keyboard
    page.goto()
    tab_to(page, "Open the demo")
    keys.press("Enter")
    page.page.wait_for_url("**/cup?order=*")
    page.quiet()
    order = order_of(page)
    tab_to(page, "Layers, from the outside in to the steel")
    keys.press("Home")
    keys.press("ArrowDown")
    page.quiet()
    expect(page.page.get_by_role("heading", name="seat number")).to_be_visible()
    with page.saving():
        keys.press("Alt+ArrowDown")
    expect(page.page.locator(".cut .title").nth(1)).to_have_text("boat")
    with page.saving():
        keys.press("Control+z")
    expect(page.page.locator(".cut .title").nth(1)).to_have_text("seat number")
    tab_to(page, "Height, mm", among="input")
    keys.press("Control+a")
    keys.type("110")
    with page.saving():
        keys.press("Enter")
    heights = {
        layer.name: layer.place.height_mm
        for layer in design_in(desk, order).document.layers
        if layer.kind == "decal"
    }
    assert 110.0 in (heights["seat number"], heights["boat"])


def tab_to(page, name, *, among="*", most=120):
    """Press Tab until what has the focus is called `name`."""
    for _ in range(most):
        page.page.keyboard.press("Tab")
        called = page.page.evaluate(
            """() => {
              let e = document.activeElement;
              while (e?.shadowRoot?.activeElement) e = e.shadowRoot.activeElement;
              return e ? [e.getAttribute('aria-label') || e.innerText || '', e.tagName] : ['', ''];
            }"""
        )
        if called[0].strip().startswith(name) and among in ("*", called[1].lower()):
            return
    raise AssertionError(f"Tab does not lead to {name!r}")


def test_what_was_shown_as_saved_survives_a_power_cut(browser, tmp_path):
    """The server is killed in the midst of edits; the last step that the page showed is there."""
    with served(tmp_path / "orders.sqlite") as server:
        page = Page(browser, server, device_scale=COARSE)
        page.goto()
        page.button("Open the demo").click()
        page.page.wait_for_url("**/cup?order=*")
        page.quiet()
        order = order_of(page)
        for wait_s in (0.2, 0.9):
            page.pick("crew name")
            for up in range(8):
                page.page.get_by_role("button", name="↑").click()
                time.sleep(0.15 if up else 2.0)
            time.sleep(wait_s)
            shown = page.step()
            server.kill()

            with open_store(f"sqlite:///{server.store}") as store:
                kept = store.drafts.current(order)
                assert kept.step >= shown
                assert kept.design().document.layers[8].place.height_mm > 103

            server.start()
            page.goto(f"/cup?order={order}")
            page.quiet()
            assert page.step() == kept.step
        page.page.close()


def test_two_tabs_do_not_disturb_each_other(browser, desk):
    """Each works on its own order, in its own unit, with its own layer picked."""
    left, right = Page(browser, desk, device_scale=COARSE), Page(browser, desk, device_scale=COARSE)
    for tab in (left, right):
        tab.goto()
        tab.button("Open the demo").click()
        tab.page.wait_for_url("**/cup?order=*")
        tab.quiet()
    assert order_of(left) != order_of(right)
    left.pick("oars")
    right.page.get_by_role("radio", name="in").click()
    right.quiet()
    left.fill("Height, mm", "120")

    expect(left.page.get_by_role("heading", name="oars")).to_be_visible()
    expect(right.page.get_by_role("heading", name="The bare cup")).to_be_visible()
    kept = [design_in(desk, order_of(tab)).document.layers[7].place.height_mm
            for tab in (left, right)]  # fmt: skip
    assert kept == [120.0, 130.0]
    for tab in (left, right):
        assert tab.faults == []
        tab.page.close()


def test_where_the_browser_cannot_draw_a_still_stands_in(chromium, desk):
    """Without WebGL 2 the server draws the cup, anew after every change."""
    with chromium("--disable-3d-apis") as plain:
        page = Page(plain, desk)
        page.goto()
        page.button("Open the demo").click()
        page.page.wait_for_url("**/cup?order=*")
        still = page.page.locator(".cup img")
        expect(still).to_be_visible()
        page.page.wait_for_function("document.querySelector('[data-testid=stApp]')")
        first = still.get_attribute("src")
        page.choose("Palette", "kelp-bed")
        expect(still).not_to_have_attribute("src", first)
        shown = still.evaluate("image => image.decode().then(() => image.naturalWidth)")
        assert shown == 600
        assert page.faults == []


def test_the_desk_answers_to_its_own_machine_alone(page, desk):
    """A page elsewhere that has this machine's address under another name gets nothing."""
    page.goto()
    page.button("Open the demo").click()
    image = page.page.locator(".flat image")
    expect(image).to_have_attribute("href", re.compile("^/tray/"))
    path = desk.address + image.get_attribute("href")
    with urllib.request.urlopen(path, timeout=60) as ours:
        assert ours.headers["Content-Type"] == "image/png"
    for host in ("evil.test", f"evil.test:{desk.port}"):
        asked = urllib.request.Request(path, headers={"Host": host})
        with pytest.raises(urllib.error.HTTPError, match="404"):
            urllib.request.urlopen(asked, timeout=10)
    with socket.socket() as outside, pytest.raises(OSError, match="refused"):
        outside.connect((other_address(), desk.port))


def other_address():
    """The machine's address on its network, or another loopback where it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # nothing is sent
        except OSError:
            return "127.0.0.2"
        return probe.getsockname()[0]
