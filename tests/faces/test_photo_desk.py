"""A material's look measured from photos on the Shelf page: taken by a press, or left."""

import io
import math
import re

import pytest
from PIL import Image
from playwright.sync_api import expect

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.spectra import linear_srgb_weights
from mockup.design.material import fresh_product
from mockup.design.palette import PigmentSwatch
from mockup.faces.desk.shelf.photo_words import asks_for, drawing, how_to
from mockup.material.spectrum import dry_colour, dry_reflectance
from mockup.pipeline.photo_look import PHOTOS
from mockup.store import open_store
from tests.faces.desk.server import Page, served
from tests.faces.test_desk import choose, control, press
from tests.faces.test_desk_screens import CLASHES, SCREENS, serious
from tests.faces.test_materials_desk import newest, shelf, shown
from tests.photo.scenes import GREY, SEA, sea_photo
from tests.photo.strewn import BARE, DENSE, STREWN, dense_photos
from tests.photo.strewn import CARD as GLITTER_CARD
from tests.photo.strewn import CARD_MM as GLITTER_CARD_MM
from tests.photo.strewn import SIZE as GLITTER_SIZE
from tests.store.small import glitter


@pytest.fixture(scope="module")
def sea():
    """A photo of sea-glass paint beside a card."""
    return sea_photo()


@pytest.fixture
def can(store):
    """Paint whose look was chosen by eye."""
    can = store.materials.enter(fresh_product("paint", "sea glass", {}, source=""))
    return store.materials.show(can, PigmentSwatch(srgb="#4a8a90", source="chosen by eye"))


def give_photo(tab, data, nth=0, name="IMG_1.jpg"):
    fields = [one for one in tab.get("file_uploader") if (one.key or "").startswith("photo.")]
    fields[nth].set_value((name, data, "image/jpeg")).run()
    assert not tab.exception


def measure(tab):
    """Press the button, wait for the work beside the page, and look again."""
    press(tab, "Measure it")
    job = tab.session_state["jobs"]["photo"]
    job.future.exception(timeout=60)
    tab.run()
    assert not tab.exception
    return tab


def labels(tab):
    return [button.label for button in tab.button]


def test_a_paint_is_measured_and_taken_by_a_press_alone(store, can, sea):
    """By a card that is said to be twice as bright, which makes the paint twice as bright."""
    tab = shelf(can)
    assert "Measure it" not in labels(tab)
    give_photo(tab, sea)
    control(tab, "selectbox", "The light").set_value("D65").run()
    control(tab, "number_input", "It reflects, %").set_value(200 * GREY).run()
    measure(tab)

    assert "with what was measured in it" in shown(tab)
    assert any("9 times in 10" in one.value for one in tab.markdown)
    assert len(store.materials.looks(can)) == 1
    press(tab, "Take it as its look")

    look = store.materials.get(can.id).look
    colours = [dry_colour(dry_reflectance(look.swatch)), 2 * SEA @ linear_srgb_weights("D65")]
    assert float(delta_e_2000(*(lab_from_linear_srgb(rgb) for rgb in colours))) < 2.0
    assert look.swatch.label == "sea glass"
    assert list(store.materials.photos_of(look).values()) == [sea]
    assert "Measured" in shown(tab)
    assert "Take it as its look" not in labels(tab)


def test_what_is_overtaken_or_left_leaves_everything_as_it_was(store, can, sea):
    tab = shelf(can)
    give_photo(tab, sea)
    measure(tab)
    control(tab, "selectbox", "The light").set_value("A").run()
    assert "Take it as its look" not in labels(tab)

    press(measure(tab), "Leave it as it was")

    assert store.materials.get(can.id) == can
    assert "Take it as its look" not in labels(tab)
    assert "Measure it" not in labels(tab)


@pytest.mark.parametrize(
    ("file", "told"),
    [("noise", "No card found in this photo"), ("text", "This is no photo")],
)
def test_a_fault_is_a_sentence_and_nothing_is_stored(store, can, file, told):
    data = io.BytesIO(b"no photo at all")
    if file == "noise":
        Image.effect_noise((400, 300), 60).convert("RGB").save(data := io.BytesIO(), "JPEG")
    tab = shelf(can)
    give_photo(tab, data.getvalue())
    if file == "noise":
        measure(tab)

    assert told in tab.error[0].value
    assert store.materials.get(can.id) == can


def test_a_material_is_marked_by_hand_and_its_fault_told(store, can, sea):
    tab = shelf(can)
    give_photo(tab, sea)
    choose(tab, f"told.photo.{can.id}.0.paint.how", "marked by me")
    newest(tab, "slider", f"told.photo.{can.id}.0.paint.x").set_value((20, 40)).run()
    assert "left:20%" in shown(tab)
    measure(tab)

    assert "Its place lies on the card" in tab.error[0].value
    assert store.materials.get(can.id) == can


def per_cent(edges, size):
    """Whole per cent, inside."""
    left, top, right, bottom = edges
    across = (math.ceil(100 * left / size[0]), math.floor(100 * right / size[0]))
    return across, (math.ceil(100 * top / size[1]), math.floor(100 * bottom / size[1]))


def marks(name):
    """What a maker tells by some twenty controls of one photo of strewn glitter."""
    card = (*GLITTER_CARD[0], *GLITTER_CARD[2])
    told = {f"{name}.card.how": "marked by me"}
    for what, edges in (("flakes", STREWN), ("bare paper", BARE), ("card", card)):
        across, down = per_cent(edges, GLITTER_SIZE)
        told |= {f"{name}.{what}.x": across, f"{name}.{what}.y": down}
    return told


def test_glitter_from_two_photos_tells_shares_and_cut(store):
    jar = store.materials.enter(glitter())
    tab = shelf(jar)
    told = {"light": "D65", "card.is": "a grey card of another size"}
    told |= dict(zip(("card.long", "card.short"), GLITTER_CARD_MM, strict=True))
    tab.session_state["photo.told"] = told | marks("photo.1.0") | marks("photo.1.1")
    for nth, data in enumerate(dense_photos()):
        give_photo(tab, data, nth, "image.jpg")
    measure(tab)

    assert [one.value for one in tab.error] == []
    assert "Cut, mm" in shown(tab)
    assert shown(tab).count("with what was measured in it") == 2
    control(tab, "selectbox", "What stands for the mix").set_value(1).run()
    press(tab, "Take it as its look")
    look = store.materials.get(jar.id).look
    assert look.measured["figures"]["cut_mm"]["value"] == pytest.approx(DENSE.cut_mm, rel=0.1)
    assert look.swatch.tint_srgb == look.measured["swatches"][1]["swatch"]["tint_srgb"]
    assert len(store.materials.photos_of(look)) == 2


def test_a_resin_is_not_measured_from_photos(store):
    jar = store.materials.enter(fresh_product("epoxy", "clear resin", {}, source=""))
    tab = shelf(jar)

    assert not [one for one in tab.get("file_uploader") if one.key.startswith("photo.")]


@pytest.mark.parametrize("kind", PHOTOS)
def test_every_kind_is_asked_for_in_words_and_drawn(kind):
    assert len(asks_for(kind)) == len(PHOTOS[kind])
    assert len(how_to(kind)) >= 3
    assert drawing(kind).startswith("data:image/svg+xml,")


@pytest.mark.browser
def test_on_a_phone_a_photo_is_measured_and_everything_is_in_reach(browser, tmp_path, sea):
    place, photo = tmp_path / "orders.sqlite", tmp_path / "jar.jpg"
    photo.write_bytes(sea)
    with open_store(f"sqlite:///{place}") as opened:
        can = opened.materials.enter(fresh_product("paint", "sea glass", {}, source=""))
    width, height = SCREENS["phone"]
    with served(place) as server:
        page = Page(browser, server, width=width, height=height)
        page.goto(f"/shelf?material={can.id}")
        page.page.locator("summary", has_text="Measure it from a photo").click()
        page.page.locator(".st-key-look_from_photo input[type=file]").set_input_files(photo)
        expect(page.page.locator(".marked img")).to_be_visible()
        page.page.get_by_text("marked by me").first.click()
        expect(page.page.get_by_role("slider")).to_have_count(4)  # two of two ends
        page.quiet()
        clashes = page.page.evaluate(CLASHES)
        # A slider of two ends is two inputs of the browser's own, the one over the other.
        over = [pair for pair in clashes.pop("over") if not re.search("— start / .* — end", pair)]
        assert (over, clashes) == ([], {"cut": [], "wide": 0})
        page.page.get_by_text("found by itself").first.click()
        expect(page.page.get_by_role("slider")).to_have_count(0)  # the page moves up
        page.quiet()
        page.button("Measure it").click()
        expect(page.button("Take it as its look")).to_be_visible()
        page.quiet()

        assert page.page.evaluate(CLASHES) == {"over": [], "cut": [], "wide": 0}
        assert serious(page) == []
        page.button("Take it as its look").click()
        expect(page.page.get_by_text("as it was measured from now on")).to_be_visible()
        assert page.faults == []
        assert page.strangers == []
        page.page.close()
    with open_store(f"sqlite:///{place}") as opened:
        assert opened.materials.get(can.id).look.swatch.kind == "spectrum"
