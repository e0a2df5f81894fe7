"""What a page must live through: lost contexts, sleep, browsers that cannot draw, news in parts."""

import numpy as np
import pytest

from mockup.render.lights import illuminant_of
from mockup.render.web.parcel import Packer
from mockup.shading.table import foil_quality
from tests.render.web.chromium import Desk
from tests.render.web.cups import HEIGHT, VIEWS, WIDTH

pytestmark = pytest.mark.browser


LOSE = """window.loser = document.querySelector("canvas").getContext("webgl2")
  .getExtension("WEBGL_lose_context");
loser.loseContext();"""
STILL = (
    "data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg' width='3' height='4'>"
    "<rect width='3' height='4' fill='%23cc3300'/></svg>"
)


def test_a_lost_context_comes_back_with_its_view(desk, packed):
    """As when the graphics driver starts anew, or too many tabs are open; a still stands in."""
    desk.show(packed("foil").to_bytes(), samples=1, view=VIEWS["foil"], still=STILL)
    desk.settle()
    before = desk.shot()
    desk.page.evaluate(LOSE)
    desk.page.wait_for_function("shown.state() === 'lost'")
    view = desk.ask("shown.view()")
    assert tuple(desk.shot()[200, 150]) == (0xCC, 0x33, 0x00)

    desk.page.evaluate("loser.restoreContext()")
    desk.settle()

    assert desk.ask("shown.view()") == view
    np.testing.assert_array_equal(desk.shot(), before)
    assert desk.faults == []


def test_what_changes_while_the_context_is_lost_is_shown_after(desk, packed):
    desk.show(packed("foil").to_bytes(), samples=1)
    desk.settle()
    desk.page.evaluate(LOSE)
    desk.page.wait_for_function("shown.state() === 'lost'")
    parcel = packed("taper")
    desk.parcel = parcel.to_bytes()
    desk.page.evaluate(
        """async () => {
          shown.update(await (await fetch("/parcel")).arrayBuffer());
          loser.restoreContext();
        }"""
    )
    desk.settle()
    lost = desk.shot()

    desk.show(parcel.to_bytes(), samples=1)
    desk.settle()

    np.testing.assert_array_equal(lost, desk.shot())


COUNT_DRAWS = """
window.draws = 0;
const plain = WebGL2RenderingContext.prototype.drawElements;
WebGL2RenderingContext.prototype.drawElements = function (...words) {
  draws++;
  return plain.apply(this, words);
};
"""
HIDE = """(hidden) => {
  Object.defineProperty(document, "hidden", { configurable: true, get: () => hidden });
  document.dispatchEvent(new Event("visibilitychange"));
}"""
FRAMES = """new Promise((done) => {
  let left = 20;
  const next = () => (left-- ? requestAnimationFrame(next) : done());
  next();
})"""


def test_nothing_is_drawn_out_of_sight(browser, packed):
    """In a tab behind others, and scrolled out of the window; it goes on where it left off."""
    with browser.new_context() as context:
        context.add_init_script(COUNT_DRAWS)
        desk = Desk(context, WIDTH, HEIGHT)
        desk.show(packed("foil").to_bytes(), samples=1)
        desk.settle()
        for hide, again in (
            (f"({HIDE})(true)", f"({HIDE})(false)"),
            ("document.body.style.paddingTop = '3000px'", "document.body.style.paddingTop = 0"),
        ):
            desk.page.evaluate(hide)
            desk.ask(FRAMES)
            before = desk.ask("draws")
            desk.page.evaluate("shown.setView({ turn_deg: shown.view().turn_deg + 30 })")
            desk.ask(FRAMES)
            assert desk.ask("draws") == before
            assert desk.ask("shown.state()") == "resting"

            desk.page.evaluate(again)
            desk.settle()
            assert desk.ask("draws") > before


def test_a_page_long_out_of_sight_gives_its_memory_back(desk, packed):
    """A picture stands in; the same frame comes back when it is seen again."""
    desk.show(packed("foil").to_bytes(), samples=1, asleep_s=0)
    desk.settle()
    before = desk.shot()
    desk.page.evaluate(f"({HIDE})(true)")
    desk.page.wait_for_function("shown.state() === 'lost'")
    stands_in = desk.shot().astype(int)
    assert np.abs(stands_in - before).mean() < 2  # a JPEG of what was shown

    desk.page.evaluate(f"({HIDE})(false)")
    desk.settle()

    np.testing.assert_array_equal(desk.shot(), before)


@pytest.mark.parametrize(
    "missing",
    [
        "HTMLCanvasElement.prototype.getContext = () => null",
        "delete window.DecompressionStream",
        "WebGL2RenderingContext.prototype.getExtension = () => null",
    ],
)
def test_a_plain_picture_stands_in_for_what_the_browser_lacks(browser, packed, missing):
    with browser.new_context() as context:
        context.add_init_script(missing)
        desk = Desk(context, WIDTH, HEIGHT)
        desk.show(packed("foil").to_bytes(), still=STILL, label="The cup")

        assert desk.ask("shown.state()") == "picture"
        assert desk.page.get_by_alt_text("The cup").is_visible()
        assert tuple(desk.shot()[200, 150]) == (0xCC, 0x33, 0x00)
        assert desk.ask("told.troubles.length") == 1
        assert desk.faults == []

        desk.show(packed("foil").to_bytes())
        assert desk.page.get_by_text("no WebGL 2").is_visible()


def test_another_palette_takes_its_table_alone(desk, cups, packed):
    """What the page holds is not sent again; what it does not hold is asked for by name."""
    desk.show(packed("demo").to_bytes(), samples=1)
    packer = Packer()
    cup = cups["demo"].with_palette("storm-silver")

    def pack(light):
        table = cup.table(illuminant_of(light))
        foil = foil_quality(cup.model.skin, cup.optics())
        return packer.pack(cup.model, cup.blank.wall, table, light, foil)

    parcel = pack("softbox")
    small = parcel.to_bytes(desk.ask("shown.held()"))
    assert len(small) < 30_000
    desk.update(small)
    desk.settle()
    changed = desk.shot()
    desk.show(parcel.to_bytes(), samples=1)
    desk.settle()
    np.testing.assert_array_equal(changed, desk.shot())

    desk.parcel = pack("window").to_bytes(parcel.keys | pack("window").keys)
    missing = desk.ask(
        "fetch('/parcel').then((a) => a.arrayBuffer()).then(shown.update).catch((e) => e.missing)"
    )
    assert set(missing) == {"around", "gloss", "sky"}
