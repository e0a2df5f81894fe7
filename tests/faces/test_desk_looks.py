"""What the desk says where something is amiss; its pages with long names, on small screens."""

import re

import pytest
from streamlit.testing.v1 import AppTest

from mockup.errors import PhotoError
from mockup.faces.desk.shelf.photo_words import limit_words
from mockup.faces.desk.words import spoken
from mockup.photo.swatch import light_words
from mockup.pipeline import demo_design
from mockup.store import open_store
from tests.faces.desk.server import Page, served
from tests.faces.test_desk import SCRIPT, control, press
from tests.faces.test_materials_desk import shelf, shown

LONG = "The Worshipful Company of Very Early Risers and Coastal Scullers, seat 7 of 8"


def test_a_layer_laid_on_a_new_cup_is_seen(store):
    """With nothing picked, lettering lies over the paint, not under it; paint goes on the steel."""
    tab = AppTest.from_file(str(SCRIPT), default_timeout=120).run()
    control(tab, "text_input", "What is ordered").set_value("Cox's cup")
    press(tab, "Begin")
    press(tab, "Lettering")
    tab.session_state["desk"].selected = None
    press(tab.run(), "Base coat")

    layers = store.drafts.current(1).design().document.layers
    assert [layer.kind for layer in layers] == ["base", "base", "decal"]
    assert tab.session_state["desk"].selected == 0


def test_a_material_without_a_name_is_refused_by_the_fields_own_label(store):
    tab = press(shelf(), "Put it on the shelf")

    (told,) = [warning.value for warning in tab.warning]
    assert told == "“What the label says” is empty. Give the material a name."
    assert not store.materials.all()


def test_typical_packs_are_told_with_what_they_hold(store):
    assert re.search(r"polyester glitter.*?30 g.*?4\.50 EUR", shown(shelf()), re.DOTALL)


def test_where_an_order_stands_is_a_sentence(store):
    store.drafts.begin(store.book.add_order("Seat 7", cups=1).id, demo_design())
    tab = AppTest.from_file(str(SCRIPT), default_timeout=120).run()
    press(tab, "Open")
    tab.switch_page("views/proof.py").run()

    assert any("stands at **designing**" in one.value for one in tab.markdown)


def test_days_are_a_table_and_what_forbids_them_a_sentence(store):
    order = store.book.add_order("Seat 7", cups=2)
    store.drafts.begin(order.id, demo_design())

    def days(cups):
        tab = AppTest.from_file(str(SCRIPT), default_timeout=120).run()
        press(tab, "Open")
        tab.switch_page("views/making.py").run()
        control(tab, "number_input", "Cups").set_value(cups).run()
        tab.session_state["jobs"]["plan"].future.exception(timeout=120)
        return tab.run()

    assert "<td>Clean and key the steel</td>" in shown(days(2))
    many = days(1000)
    assert any(one.value.startswith("The days of 250 rackfuls are more") for one in many.markdown)
    assert "e+" not in shown(many)


def test_lamps_of_a_measurement_are_told_in_words():
    (untold,) = light_words(("D65", "LED-B3", "A"), None)

    told = limit_words(untold)
    assert "daylight, a neutral white LED, a filament lamp" in told
    assert not re.search(r"D65|LED-B3|\bA\b", told)
    assert limit_words("A card of A4") == "A card of A4"


def test_remedies_name_what_the_page_has():
    error = PhotoError(
        "no card found", where="x", remedy="Lay one in; or give its four corners, or 2packs"
    )

    assert spoken(error).endswith("or say that it is “marked by me”, or 2 packs.")


@pytest.mark.browser
def test_long_names_and_small_screens_are_held(browser, tmp_path):
    """The title ends in dots, heads stand over their columns, and a refusal is in sight."""
    place = tmp_path / "orders.sqlite"
    with open_store(f"sqlite:///{place}") as store:
        order = store.book.add_order(LONG, cups=1000)
        store.drafts.begin(order.id, demo_design())
    with served(place) as server:
        phone = Page(browser, server, width=390, height=844)
        phone.goto(f"/?order={order.id}")
        phone.quiet()
        wide = "document.querySelector('[data-testid=stMain]').scrollWidth"
        assert phone.page.evaluate(wide) <= 390
        phone.button("Begin").click()
        note = phone.page.get_by_text("“What is ordered” is empty")
        note.wait_for()
        phone.quiet()
        top = note.bounding_box()["y"]
        assert 0 <= top < 844
        phone.page.close()

        page = Page(browser, server)
        page.goto(f"/?order={order.id}")
        page.quiet()
        page.page.wait_for_function(  # heads over their cells, once all is laid out
            """() => {
              const lines = [...document.querySelectorAll('.line')].map(
                line => [...line.children].map(cell => cell.getBoundingClientRect().x));
              return lines.length === 2 && lines[0].every((x, i) => Math.abs(x - lines[1][i]) < 1);
            }"""
        )
        page.page.close()

        tablet = Page(browser, server, width=1024, height=768)
        tablet.goto(f"/cup?order={order.id}")
        tablet.quiet()
        tablet.pick("fine fade")
        label = tablet.page.locator("[data-testid=stColorPicker] label p").first
        assert label.bounding_box()["height"] < 24  # one line
        tablet.page.close()
