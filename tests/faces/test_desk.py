"""What the desk's pages decide, without a browser."""

import io
import math
import threading
import zipfile
from pathlib import Path

import pytest
from pypdf import PdfReader
from streamlit.testing.v1 import AppTest

import mockup.faces.desk
from mockup.blank.library import blank_names
from mockup.blank.wall import build_blank
from mockup.design.edit import with_document
from mockup.design.layers import Place
from mockup.errors import DesignError
from mockup.faces.desk.jobs import start_job
from mockup.faces.desk.made import cut_zip
from mockup.faces.desk.nudge import nudged, place_of_flat
from mockup.faces.desk.parts.seam import verdict
from mockup.faces.desk.tray import Tray
from mockup.faces.desk.words import file_stem, length, plain
from mockup.pipeline import demo_design, packed
from mockup.pipeline.cup import Quiet

SCRIPT = Path(mockup.faces.desk.__file__).with_name("app.py")
CREW, WRAP, FADE, OARS = 8, 1, 2, 7  # layers of the demo


@pytest.fixture
def tab(store):
    return AppTest.from_file(str(SCRIPT), default_timeout=120).run()


@pytest.fixture
def demo(tab):
    """A tab with the demo on the table."""
    return press(tab, "Open the demo")


def press(tab, label):
    next(button for button in tab.button if button.label == label).click().run()
    assert not tab.exception
    return tab


def control(tab, kind, label):
    return next(one for one in getattr(tab, kind) if one.label == label)


def give(tab, kind, label, value):
    control(tab, kind, label).set_value(value).run()
    assert not tab.exception
    return tab


def choose(tab, name, value):
    """Press one of a few that stand side by side; the newest control of that name."""
    *_, newest = [one for one in tab.button_group if one.key.startswith(f"{name}#")]
    newest.set_value(value).run()


def pick(tab, index):
    tab.session_state["desk"].selected = index
    return tab.run()


def kept(store, order=1):
    return store.drafts.current(order).design()


def layer(store, index):
    return kept(store).document.layers[index]


def told(tab):
    return [error.value for error in tab.error]


@pytest.mark.parametrize("page", ["order_book", "cup", "options", "proof", "making", "shelf"])
def test_every_page_comes_with_and_without_an_order(demo, tab, page):
    bare = AppTest.from_file(str(SCRIPT), default_timeout=120).run()
    for one in (bare, demo):
        one.switch_page(f"views/{page}.py").run()
        assert not one.exception
        assert told(one) == []


def test_an_order_begins_as_a_bare_cup_under_a_base_coat(tab, store):
    control(tab, "text_input", "What is ordered").set_value("Cox's cup")
    control(tab, "text_input", "Customer").set_value("A. Rower")
    control(tab, "selectbox", "Blank").set_value(blank_names()[3])
    control(tab, "number_input", "Cups").set_value(8)
    press(tab, "Begin")

    order = store.book.order(1)
    assert (order.title, order.customer.name, order.cups) == ("Cox's cup", "A. Rower", 8)
    document = kept(store).document
    assert document.blank.name == blank_names()[3]
    assert [one.kind for one in document.layers] == ["base"]
    assert tab.subheader[0].value == "The bare cup"


def test_an_order_without_a_title_is_refused_with_a_sentence(tab, store):
    press(tab, "Begin")

    (told,) = [warning.value for warning in tab.warning]
    assert told == "“What is ordered” is empty. Give the order a name."
    assert store.book.lines() == ()


def test_a_known_customer_is_not_noted_twice(tab, store):
    for title in ("one", "two"):
        tab.switch_page("views/order_book.py").run()
        control(tab, "text_input", "What is ordered").set_value(title)
        control(tab, "text_input", "Customer").set_value(
            "A. ROWER" if title == "two" else "A. Rower"
        )
        press(tab, "Begin")

    assert [one.name for one in store.book.customers()] == ["A. Rower"]


def test_a_pack_comes_in_as_a_new_order(tab, store):
    design = demo_design()
    give(tab, "file_uploader", "A .tumbler file", ("cup.tumbler", packed(design), ""))
    press(tab, "Bring it in")

    assert kept(store).fingerprint == design.fingerprint


def test_a_title_that_is_too_long_is_told_and_kept_to_be_cut(demo, tab, store):
    """The browser drops what is pasted over a control's own limit, so none has one."""
    long = "Regatta cup of the sea-glass eight, " * 3

    give(demo, "text_input", "What is ordered", long)

    assert told(demo) == ["It is too long (108 characters). Give at most 80 characters."]
    assert control(demo, "text_input", "What is ordered").value == long
    assert kept(store).document.title != long


def test_a_title_that_is_too_long_begins_no_order(tab, store):
    control(tab, "text_input", "What is ordered").set_value("Regatta cup of the eight, " * 4)
    press(tab, "Begin")

    (warned,) = [warning.value for warning in tab.warning]
    assert warned == (
        "“What is ordered”: It is too long (103 characters). Give at most 80 characters."
    )
    assert store.book.lines() == ()


@pytest.mark.parametrize("page", ["order_book", "cup", "proof", "making", "shelf"])
def test_no_control_drops_what_is_too_long_without_a_word(demo, page):
    demo.switch_page(f"views/{page}.py").run()

    assert [one.label for one in (*demo.text_input, *demo.text_area) if one.proto.max_chars] == []


def test_what_is_no_pack_is_refused_with_a_sentence(tab, store):
    give(tab, "file_uploader", "A .tumbler file", ("cup.tumbler", b"PK nonsense", ""))
    press(tab, "Bring it in")

    assert "damaged" in tab.warning[0].value
    assert store.book.lines() == ()


def test_an_order_without_a_design_begins_one_when_it_is_opened(tab, store):
    store.book.add_order("enquiry by telephone")
    tab.run()
    press(tab, "Open")

    assert kept(store).document.title == "enquiry by telephone"


def test_each_change_is_saved_as_it_is_made(demo, store):
    pick(demo, CREW)
    give(demo, "number_input", "Height, mm", 100.0)

    assert layer(store, CREW).place.height_mm == 100.0


def test_a_shape_that_leaves_the_wall_is_refused_and_nothing_is_lost(demo, store):
    pick(demo, CREW)
    give(demo, "number_input", "Height, mm", 180.0)

    assert "beyond the wall's rim" in told(demo)[0]
    assert "Set its height to" in told(demo)[0]  # not place.height_mm, as the file has it
    assert control(demo, "number_input", "Height, mm").value == 180.0  # what was asked for stays
    assert layer(store, CREW).place.height_mm == 103.0
    give(demo, "number_input", "Height, mm", 110.0)
    assert told(demo) == []
    assert layer(store, CREW).place.height_mm == 110.0


def test_undo_and_redo_go_back_and_forth_and_outlive_the_tab(demo, store):
    pick(demo, CREW)
    give(demo, "number_input", "Height, mm", 100.0)
    give(demo, "number_input", "Height, mm", 95.0)
    press(demo, "Undo")
    assert control(demo, "number_input", "Height, mm").value == 100.0

    again = AppTest.from_file(str(SCRIPT), default_timeout=120)
    again.query_params["order"] = "1"
    again.run()
    press(again, "Undo")
    assert layer(store, CREW).place.height_mm == 103.0
    press(again, "Redo")
    assert layer(store, CREW).place.height_mm == 100.0


def test_inches_are_shown_and_taken_and_millimetres_kept(demo, store):
    pick(demo, CREW)
    demo.button_group(key="unit").set_value("in").run()
    assert control(demo, "number_input", "Height, in").value == pytest.approx(103 / 25.4)
    give(demo, "number_input", "Height, in", 4.0)

    assert layer(store, CREW).place.height_mm == pytest.approx(101.6)


def test_a_palette_and_a_light_change_the_look_and_no_shape(demo, store):
    shapes = demo.session_state["desk"].cup.model
    give(demo, "selectbox", "Palette", "storm-silver")
    give(demo, "selectbox", "Light", "kitchen")

    document = kept(store).document
    assert (document.palette, document.light) == ("storm-silver", "kitchen")
    assert demo.session_state["desk"].cup.model is shapes


def test_another_colour_is_this_order_s_own(demo, store):
    pick(demo, 0)
    give(demo, "color_picker", "Colour", "#104028")

    assert kept(store).palette.roles["base"].srgb == "#104028"
    assert demo_design().palette.roles["base"].srgb != "#104028"


def test_artwork_may_repeat_in_its_true_size(demo, store):
    pick(demo, WRAP)
    choose(demo, f"wrap{WRAP}.fit.mm", "tile")
    give(demo, "number_input", "True width, mm", 60.0)

    wrap = layer(store, WRAP)
    assert (wrap.fit, wrap.width_mm) == ("tile", 60.0)


def test_glitter_is_laid_by_bands_fades_and_patches(demo, store):
    pick(demo, FADE)
    press(demo, "Add a band, fade or patch")
    choose(demo, f"glitter{FADE}.on1.shape", "patch")
    give(demo, "number_input", "Radius, mm", 22.0)
    assert [one.shape for one in layer(store, FADE).coverage] == ["fade", "patch"]
    assert layer(store, FADE).coverage[1].radius_mm == 22.0

    press(demo, "Leave this fade out")
    assert [one.shape for one in layer(store, FADE).coverage] == ["patch"]


def test_layers_move_outward_inward_come_twice_and_come_off(demo, store):
    pick(demo, OARS)
    press(demo, "Outward")
    assert [layer(store, i).name for i in (OARS, OARS + 1)] == ["crew name", "oars"]
    press(demo, "Inward")
    press(demo, "Once more")
    assert [layer(store, i).name for i in (OARS, OARS + 1)] == ["oars", "oars"]
    press(demo, "Take off")
    assert [layer(store, i).name for i in (OARS, OARS + 1)] == ["oars", "crew name"]


def test_new_layers_are_laid_over_the_picked_one(demo, store):
    pick(demo, 0)
    for kind in ("Glitter", "Lettering", "Clear coat"):
        press(demo, kind)

    kinds = [one.kind for one in kept(store).document.layers[:4]]
    assert kinds == ["base", "glitter", "decal", "coat"]


def test_the_blank_may_be_measured_with_a_tape(demo, store):
    pick(demo, None)
    press(demo, "Measure by tape instead")
    give(demo, "number_input", "Round the wall, circumference, mm", 231.0)

    blank = kept(store).document.blank
    assert (blank.diameter_mm, blank.circumference_mm) == (None, 231.0)


def test_a_blank_of_the_library_becomes_a_measured_one_of_its_size(demo, store):
    pick(demo, None)
    choose(demo, "blank.origin", "library")
    give(demo, "selectbox", "Blank of the library", "tapered 20 fl oz")
    # the demo's pieces fit on it, or the blank would have been refused
    choose(demo, "blank.origin", "own")

    blank = kept(store).document.blank
    assert told(demo) == []
    assert (blank.shape, blank.foot_diameter_mm, blank.rim_diameter_mm) == ("tapered", 70.0, 88.0)


def test_another_window_s_change_is_told_and_either_state_can_be_kept(demo, store):
    draft = store.drafts.current(1)
    theirs = store.drafts.save(draft, with_document(draft.design(), title="theirs"))
    pick(demo, CREW)
    give(demo, "number_input", "Height, mm", 90.0)

    assert "changed in another window" in demo.warning[0].value
    assert store.drafts.current(1).step == theirs.step
    press(demo, "Go on with mine")
    assert layer(store, CREW).place.height_mm == 90.0
    press(demo, "Undo")
    assert kept(store).document.title == "theirs"


def test_a_nudge_is_as_long_on_the_wall_as_it_says(demo):
    """A millimetre to the right is 1/r radians, wherever on a taper; up is up."""
    wall = demo.session_state["desk"].made().blank.wall
    angle, height = nudged(wall, Place(height_mm=50, angle_deg=10), 1.0, 0.5)

    assert math.radians(angle - 10) * 36.5 == pytest.approx(1.0)
    assert height == 50.5


def test_a_place_on_the_flat_is_the_place_on_the_wall():
    """The flat's left edge is the back, its middle the front; heights are heights."""
    from mockup.design.blanks import StraightBlank

    blank = build_blank(StraightBlank(diameter_mm=73, wall_height_mm=185), where="blank")
    around = math.pi * 73

    turn, height = place_of_flat(blank.wall, around / 2, 40.0)
    assert (turn, height) == (pytest.approx(0, abs=1e-9), pytest.approx(40))
    turn, _ = place_of_flat(blank.wall, around * 0.75, 40.0)
    assert turn == pytest.approx(math.pi / 2)


def test_a_job_tells_how_far_it_is_and_gives_what_came_of_it():
    go = threading.Event()

    def work(progress):
        progress(0.5, "half way")
        go.wait(10)
        return "done"

    job = start_job("of this", work)
    while job.share < 0.5:
        assert job.running
    assert job.doing == "half way"
    go.set()
    assert job.result() == "done"
    assert not job.running


def test_a_stopped_job_gives_nothing():
    begun, go = threading.Event(), threading.Event()

    def work(progress):
        begun.set()
        go.wait(10)
        progress(0.9, "nearly")
        return "done"

    job = start_job("of this", work)
    begun.wait(10)
    job.stopping.set()
    go.set()
    assert job.result() is None


def test_a_job_s_fault_is_the_maker_s_to_read():
    def work(progress):
        raise DesignError("it is too small", where="x", remedy="Make it larger")

    with pytest.raises(DesignError, match="too small"):
        start_job("of this", work).result()


def test_things_on_the_tray_are_made_once_and_only_when_they_are_fetched():
    tray, made = Tray(), []

    def make():
        made.append(1)
        return b"picture"

    for _ in range(2):
        assert tray.put_picture("flat/abc", make) == "/tray/picture/flat/abc.png"
    assert made == []
    assert [tray.pictures.find("flat/abc").get() for _ in range(2)] == [b"picture"] * 2
    assert made == [1]


def test_the_tray_lets_the_oldest_go():
    tray = Tray()
    for n in range(200):
        tray.put_picture(str(n), lambda: b"")

    assert tray.pictures.find("0") is None
    assert tray.pictures.find("199") is not None


@pytest.mark.parametrize(
    ("delta_e", "elsewhere", "says"),
    [(5.0, 4.5, "hardly anybody"), (7.0, 3.0, "Who looks"), (40.0, 3.0, "plain to see")],
)
def test_the_seam_s_figure_comes_with_what_it_means(delta_e, elsewhere, says):
    assert says in verdict(delta_e, elsewhere)


def test_words():
    assert length(25.4, "in") == "1.000 in"
    assert length(25.4, "mm") == "25.4 mm"
    assert file_stem("Seaglass Eight, seat 7") == "seaglass-eight-seat-7"
    assert file_stem("Zoë’s ☕") == "zoes"
    assert plain("*bold* <b>") == "\\*bold\\* \\<b\\>"


def test_a_proof_that_went_out_is_noted_and_an_approval_holds_until_the_design_changes(demo, store):
    demo.switch_page("views/proof.py").run()
    assert "not approved" in " ".join(one.value for one in demo.markdown).lower()
    press(demo, "It went out")
    assert store.book.line(1).standing.waits_for == "customer"

    control(demo, "text_input", "Who approved it").set_value("Wen Harbour")
    press(demo, "Note the approval")
    assert store.approvals.of_order(1)[0].customer == "Wen Harbour"
    assert "Approved, revision 1" in " ".join(one.value for one in demo.markdown)

    demo.switch_page("views/cup.py").run()
    pick(demo, CREW)
    give(demo, "number_input", "Height, mm", 99.0)
    demo.switch_page("views/proof.py").run()
    assert "Changed since" in [one.value for one in demo.subheader]
    assert store.book.line(1).standing.state == "changed since"


def test_what_is_no_receipt_is_refused_with_a_sentence(demo, store):
    demo.switch_page("views/proof.py").run()
    press(demo, "It went out")
    control(demo, "text_area", "The customer's receipt").set_value("looks fine to me!")
    press(demo, "Read it")

    assert demo.warning[0].value
    assert store.approvals.of_order(1) == ()


def test_an_order_s_entry_can_be_put_right_and_closed(demo, store):
    demo.switch_page("views/order_book.py").run()
    demo.text_input(key="entry.title").set_value("Eight cups for the regatta")
    demo.text_input(key="entry.customer").set_value("Wen Harbour")
    demo.text_input(key="entry.mail").set_value("wen@club.test")
    demo.number_input(key="entry.cups").set_value(8)
    press(demo, "Put it right")

    order = store.book.order(1)
    assert (order.title, order.cups) == ("Eight cups for the regatta", 8)
    assert (order.customer.name, order.customer.mail) == ("Wen Harbour", "wen@club.test")
    press(demo, "Handed over")
    assert store.book.order(1).closed_as == "handed over"
    assert store.book.lines() == ()
    press(demo, "Open it again")
    assert store.book.order(1).closed_as is None


def test_a_pattern_can_be_shifted_under_its_seam(demo, store):
    pick(demo, WRAP)
    give(demo, "number_input", "Shift to the right, mm", 12.5)

    assert layer(store, WRAP).offset_mm == (12.5, 0.0)


def test_cut_sheets_are_for_all_cups_of_the_order():
    """As many of each piece as cups: the sheets that one cup leaves half empty fill up."""

    def pages(cups):
        archive, _ = cut_zip(demo_design(), cups, "a4", foil_mirrored=True)(Quiet)
        with zipfile.ZipFile(io.BytesIO(archive)) as held:
            return len(PdfReader(io.BytesIO(held.read("cut-sheets.pdf"))).pages)

    assert pages(8) > pages(1)


def test_foil_that_is_cut_face_up_is_asked_for_where_cut_sheets_are_made(demo):
    """The sheets' own words name the choice, and no command."""
    demo.switch_page("views/making.py").run()
    texts = []
    for chosen in ("mirrored", "face up"):
        control(demo, "button_group", "Foil").set_value(chosen).run()
        press(demo, "Make the cut sheets")
        archive, _ = demo.session_state["jobs"]["cut"].future.result(timeout=120)
        demo.run()
        with zipfile.ZipFile(io.BytesIO(archive)) as held:
            pages = PdfReader(io.BytesIO(held.read("cut-sheets.pdf"))).pages
            texts.append(" ".join(pages[0].extract_text().split()))

    assert "If yours is cut face up, have the sheets made with foil face up." in texts[0]
    assert "Foil is drawn face up" in texts[1]
    assert not any("--" in text for text in texts)


def test_how_foil_is_cut_is_not_asked_where_there_is_none(tab):
    control(tab, "text_input", "What is ordered").set_value("Plain")
    press(tab, "Begin")
    tab.switch_page("views/making.py").run()

    assert "Foil" not in [one.label for one in tab.button_group]


def test_foil_is_brushed_up_the_wall(demo, store):
    """Which way its lines run is asked once it has any."""
    pick(demo, OARS)
    assert not [one for one in demo.button_group if "brushed" in one.key]
    give(demo, "number_input", "Brushed", 0.8)
    [lines] = [one for one in demo.button_group if "brushed" in one.key]
    lines.set_value("upright").run()

    swatch = kept(store).swatch("lettering", where="palette")
    assert (swatch.specular_roughness_anisotropy, swatch.brushed) == (0.8, "upright")


def test_a_hologram_is_asked_for_its_grooves(demo, store):
    give(demo, "selectbox", "Palette", "regatta-night")
    design = kept(store)
    role = next(role for role, swatch in design.palette.roles.items() if swatch.kind == "hologram")
    pick(demo, OARS)
    give(demo, "selectbox", "Sheet", role)
    [grooves] = [one for one in demo.button_group if "grooves" in one.key]
    grooves.set_value("shards").run()
    give(demo, "number_input", "Width of a shard, mm", 3.0)

    swatch = kept(store).swatch(role, where="palette")
    assert (swatch.grooves, swatch.shard_mm) == ("shards", 3.0)
