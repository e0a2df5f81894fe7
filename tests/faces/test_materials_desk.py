"""The Shelf page: a jar entered, booked, put right and learned from; on a phone all in reach."""

import io

import pytest
from PIL import Image
from playwright.sync_api import expect
from streamlit.testing.v1 import AppTest

from mockup.design.material import fresh_product
from mockup.design.palette import PigmentSwatch
from mockup.faces.desk.shelf.words import PICKED
from mockup.pipeline.materials import reserve_for
from mockup.pipeline.shelving import materials_file
from mockup.store import open_store
from tests.faces.desk.server import Page, served
from tests.faces.test_desk import SCRIPT, control, give, press
from tests.faces.test_desk_screens import CLASHES, SCREENS, serious
from tests.store.small import COPPER, glitter, small_design


def shelf(material=None):
    """A tab that looks at the shelf, or at one material."""
    tab = AppTest.from_file(str(SCRIPT), default_timeout=120)
    if material is not None:
        tab.query_params["material"] = str(material.id)
    tab.run()
    return tab.switch_page("views/shelf.py").run()


def shown(tab):
    return "\n".join(element.proto.body for element in tab.get("html"))


def newest(tab, kind, name):
    """The control of a form whose key begins so."""
    *_, found = [one for one in getattr(tab, kind) if (one.key or "").startswith(name)]
    return found


def test_a_jar_is_entered_and_is_then_open(store):
    tab = shelf()
    control(tab, "text_input", "What the label says").set_value("copper flake")
    control(tab, "number_input", "A pack holds, g").set_value(50)
    control(tab, "number_input", "It costs, EUR").set_value(6.0)
    control(tab, "text_input", "There is").set_value("0.5pack")
    press(tab, "Put it on the shelf")

    jar = store.materials.find("copper flake")
    assert (jar.product.pack_g, jar.product.pack_price_minor, jar.on_hand) == (50, 600, 25)
    assert jar.product.source_of("pack_g", "pack_price_minor") == "invoice"
    assert jar.product.suits == ("copper flake",)
    assert "<h1>copper flake</h1>" in shown(tab)
    assert "25 g" in shown(tab)
    press(tab, "All materials")
    assert "Glitter · 25 g" in shown(tab)


def test_what_was_typed_stays_where_it_cannot_be_taken(store):
    store.materials.enter(glitter())
    tab = shelf()
    control(tab, "text_input", "What the label says").set_value("Copper flake")
    press(tab, "Put it on the shelf")

    assert "There is a material named 'Copper flake' already" in tab.warning[0].value
    assert control(tab, "text_input", "What the label says").value == "Copper flake"
    assert len(store.materials.all()) == 1


def test_stock_is_booked_and_what_is_not_there_is_refused(store):
    jar = store.materials.enter(glitter())
    tab = shelf(jar)
    newest(tab, "button_group", "move.act").set_value("bought").run()
    newest(tab, "text_input", "move.amount").set_value("2packs")
    press(tab, "Book it")
    newest(tab, "button_group", "move.act").set_value("used").run()
    newest(tab, "text_input", "move.amount").set_value("30")
    press(tab, "Book it")
    assert store.materials.get(jar.id).on_hand == 70

    newest(tab, "text_input", "move.amount").set_value("71")
    press(tab, "Book it")

    assert "71 g cannot be taken of the 70 g on hand" in tab.warning[0].value
    assert [m.kind for m in store.stock.moves(jar)] == ["used", "bought"]


def test_a_figure_is_put_right_with_its_source_and_another_window_is_not_overwritten(store):
    jar = store.materials.enter(glitter())
    tab = shelf(jar)
    newest(tab, "selectbox", "right.name").set_value("film_thickness_mm").run()
    newest(tab, "text_input", "right.value").set_value("0.03")
    newest(tab, "selectbox", "right.by").set_value("measured")
    press(tab, "Put it right")

    changed = store.materials.get(jar.id)
    assert changed.product.film_thickness_mm == 0.03
    assert changed.product.sources["film_thickness_mm"] == "measured"

    store.materials.change(changed, note="from the other window")
    newest(tab, "text_input", "said.batch").set_value("B 9")
    press(tab, "Keep it so")
    assert "changed meanwhile by another window" in tab.warning[0].value
    assert store.materials.get(jar.id).note == "from the other window"


def test_a_look_by_eye_is_kept_beside_the_earlier_one(store):
    jar = store.materials.show(store.materials.enter(glitter()), COPPER)
    tab = shelf(jar)
    give(tab, "color_picker", "Tint, by eye", "#ffcc99")

    newest_look, first = store.materials.looks(jar)
    assert (newest_look.swatch.metal, newest_look.swatch.tint_srgb) == ("copper", "#ffcc99")
    assert first.swatch == COPPER
    control(tab, "selectbox", "Metal").set_value(None).run()
    assert store.materials.get(jar.id).look.swatch.kind == "pigment"


def test_what_use_taught_is_offered_and_taken_by_a_press(store):
    jar = store.materials.enter(glitter())
    store.stock.buy(jar, 100)
    order = store.book.add_order("Regatta cups")
    store.stock.reserve(order.id, {jar.id: 12.5})
    store.stock.use(jar, 15, order=order.id)
    store.book.close_order(order, "handed over")

    tab = shelf(jar)
    assert "1.5 times what is planned before loss was used, of 1 order" in tab.info[0].value
    assert store.materials.get(jar.id).product.loss_share == 0.25
    press(tab, "Plan with 50 %")

    assert store.materials.get(jar.id).product.loss_share == 0.5
    assert not tab.info


def test_a_shelf_comes_in_from_a_file(store, tmp_path):
    with open_store(tmp_path / "other.sqlite") as other:
        other.stock.buy(other.materials.enter(glitter()), 12)
        data = materials_file(other, ".zip")
    tab = shelf()
    newest(tab, "file_uploader", "shelf.bring").set_value(("materials.zip", data, "")).run()

    assert float(store.materials.find("copper flake").on_hand) == 12
    assert materials_file(store, ".zip") == data


@pytest.fixture
def order(store):
    """An order of eight cups with nothing but a base coat, and the paint for it."""
    made = store.book.add_order("Regatta cups", cups=8)
    store.drafts.begin(made.id, small_design("Seat 3"))
    paint = fresh_product("paint", "navy can", {}, source="", suits=("base",))
    store.stock.buy(store.materials.enter(paint), 1000)
    return made


def at(page, order):
    """A tab with the order on the table, on a page."""
    tab = AppTest.from_file(str(SCRIPT), default_timeout=120)
    tab.query_params["order"] = str(order.id)
    return tab.run().switch_page(f"views/{page}.py").run()


def test_an_order_reserves_books_its_use_and_gives_back(store, order):
    tab = at("making", order)
    press(tab, "Reserve what it takes")
    can = store.materials.find("navy can")
    assert can.reserved > 100
    assert f"{float(can.reserved):.0f} mL" in shown(tab)

    newest(tab, "text_input", f"used.{order.id}").set_value("20")
    press(tab, "Book it")
    now = store.materials.find("navy can")
    assert (now.on_hand, now.reserved) == (980, can.reserved - 20)

    press(tab, "Give back")
    assert store.materials.find("navy can").free == 980


def test_a_swatch_goes_from_the_shelf_into_the_design(store, order):
    can = store.materials.find("navy can")
    store.materials.show(can, PigmentSwatch(srgb="#123456", source="my photo"))
    tab = at("shelf", order)
    tab.session_state[PICKED] = can.id
    press(tab.run(), "Use it there")

    swatch = store.drafts.current(order.id).design().palette.roles["base"]
    assert (swatch.srgb, swatch.label, swatch.source) == ("#123456", "navy can", "my photo")


@pytest.fixture(scope="module")
def phone(browser, tmp_path_factory):
    """A desk with an order and two jars, on a phone."""
    place = tmp_path_factory.mktemp("desk") / "orders.sqlite"
    with open_store(f"sqlite:///{place}") as opened:
        order = opened.book.add_order("Seaglass Eight, seat 7", cups=8)
        opened.drafts.begin(order.id, small_design("Seat 7"))
        picture = io.BytesIO()
        Image.new("RGB", (300, 400), "#a86").save(picture, "JPEG")
        jar = opened.materials.enter(glitter(), photo=picture.getvalue(), note="from the market")
        opened.materials.show(jar, COPPER)
        opened.stock.buy(jar, 40)
        opened.materials.enter(glitter("a very long name of a navy flake, fine cut, second jar"))
        reserve_for(opened, order.id)
        opened.stock.reserve(order.id, {jar.id: 55})
    width, height = SCREENS["phone"]
    with served(place) as server:
        page = Page(browser, server, width=width, height=height)
        page.goto("/shelf?order=1")
        page.quiet()
        yield page
        page.page.close()
        assert page.faults == []


@pytest.mark.browser
def test_on_a_phone_a_jar_is_opened_booked_and_everything_is_in_reach(phone):
    page = phone.page
    assert page.evaluate(CLASHES) == {"over": [], "cut": [], "wide": 0}
    expect(page.get_by_text("15 g short")).to_be_visible()

    page.locator(".st-key-material1").get_by_role("button", name="Open").click()
    expect(page.get_by_role("heading", name="copper flake")).to_be_visible()
    page.get_by_label("How much, g", exact=True).fill("7.5")
    page.get_by_role("button", name="Book it").click()
    expect(page.locator(".there")).to_contain_text("32.5 g")
    for title in ("Figures", "Look", "Name, use", "Stock, move"):
        page.locator("summary", has_text=title).click()
    phone.quiet()

    assert page.evaluate(CLASHES) == {"over": [], "cut": [], "wide": 0}
    assert serious(phone) == []
    page.reload()
    expect(page.get_by_role("heading", name="copper flake")).to_be_visible()
