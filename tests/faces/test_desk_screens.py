"""The desk's pages on a large screen, a small one and a phone: all in reach, nothing in the way."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from mockup.pipeline import demo_design
from mockup.store import open_store
from tests.faces.desk.server import Page, served

pytestmark = pytest.mark.browser

PAGES = ("", "cup", "options", "proof", "making", "shelf")
SCREENS = {"large": (1440, 900), "small": (1024, 768), "phone": (390, 844)}
LAYERS = ("base coat", "pennant bunting", "fine fade", "crew name", "final coats")

# Pairs of things to press that lie over each other, and text that is cut off without a sign.
CLASHES = """() => {
  const deep = (root) => [...root.querySelectorAll("*")].flatMap(
    (e) => e.shadowRoot ? [e, ...deep(e.shadowRoot)] : [e]);
  const all = deep(document).filter((e) => e.checkVisibility({ opacityProperty: true,
    visibilityProperty: true }));
  const box = (e) => e.getBoundingClientRect();
  const press = all.filter((e) => e.matches("button, a[href], input, textarea, [role=slider]")
    && box(e).width > 8 && box(e).height > 8 && !e.closest("[data-testid=stSliderThumbValue]"));
  const over = [];
  press.forEach((a, i) => press.slice(i + 1).forEach((b) => {
    if (a.contains(b) || b.contains(a)) return;
    const [p, q] = [box(a), box(b)];
    const w = Math.min(p.right, q.right) - Math.max(p.left, q.left);
    const h = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
    if (w > 2 && h > 2 && !sticky(a) && !sticky(b)) over.push([named(a), named(b)].join(" / "));
  }));
  function sticky(e) {
    for (; e; e = e.parentElement ?? e.getRootNode().host)
      if (getComputedStyle(e).position === "sticky") return true;
    return false;
  }
  function named(e) {
    return e.getAttribute("aria-label") || e.innerText || e.outerHTML.slice(0, 80);
  }
  const cut = all.filter((e) => e.children.length === 0 && e.innerText?.trim()
    && e.clientWidth > 8 && e.scrollWidth > e.clientWidth + 2
    && getComputedStyle(e).overflowX === "hidden"
    && getComputedStyle(e).textOverflow !== "ellipsis").map(named);
  const main = document.querySelector("[data-testid=stMain]");
  return { over, cut, wide: main.scrollWidth - main.clientWidth };
}"""
NO_CLASH = {"over": [], "cut": [], "wide": 0}


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """A desk with the demo as its order 1."""
    store = tmp_path_factory.mktemp("desk") / "orders.sqlite"
    with open_store(f"sqlite:///{store}") as opened:
        order = opened.book.add_order("Seaglass Eight, seat 7", cups=8)
        opened.drafts.begin(order.id, demo_design())
    with served(store) as server:
        yield server


def opened(browser, desk, where, screen, device_scale=1.0):
    width, height = SCREENS[screen]
    page = Page(browser, desk, width=width, height=height, device_scale=device_scale)
    page.goto(f"/{where}?order=1")
    page.quiet()
    if where == "cup":
        expect(page.page.locator(".cut .title").first).to_be_visible()
    return page


@pytest.fixture(scope="module", params=PAGES)
def on_large(request, browser, desk):
    """Each page of the desk on the large screen, opened once for all that is asked of it there."""
    page = opened(browser, desk, request.param, "large")
    yield page
    page.page.close()


def test_everything_is_in_reach_and_nothing_in_the_way_on_a_large_screen(on_large):
    assert on_large.page.evaluate(CLASHES) == NO_CLASH


@pytest.mark.parametrize("screen", ["small", "phone"])
@pytest.mark.parametrize("where", PAGES)
def test_everything_is_in_reach_and_nothing_in_the_way(browser, desk, where, screen):
    page = opened(browser, desk, where, screen)

    assert page.page.evaluate(CLASHES) == NO_CLASH
    page.page.close()


def test_axe_finds_nothing_that_keeps_people_out(on_large):
    """No serious or critical fault, contrast of text included (4.5 to 1)."""
    assert serious(on_large) == []


def test_axe_finds_nothing_in_any_layer_s_form(browser, desk):
    """One after the other in one tab, which draws the cup in few pixels: axe does not see it."""
    page = opened(browser, desk, "cup", "large", device_scale=0.5)
    for layer in LAYERS:
        page.pick(layer)
        expect(page.page.get_by_role("heading", name=layer)).to_be_visible()
        page.settled()  # its heading comes before the form of the last one is gone

        assert (layer, serious(page)) == (layer, [])
    page.page.close()


def serious(page):
    return [
        f"{fault['id']}: {fault['help']}: {fault['nodes'][0]['html'][:120]}"
        for fault in Axe().run(page.page).response["violations"]
        if fault["impact"] in ("serious", "critical")
    ]
