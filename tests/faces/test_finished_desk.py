"""The finished cup on the Proof page: what was kept is shown, what cannot be measured is told."""

import io

import numpy as np
import pytest
from PIL import Image
from streamlit.testing.v1 import AppTest

from mockup.pipeline import demo_design
from tests.faces.test_desk import SCRIPT, press

SAYS = "“crew name” sits 1.4 mm further right against the proof."


@pytest.fixture
def proof(store):
    """Opens the Proof page of order 1, which is the demo."""
    store.drafts.begin(store.book.add_order("Seat 7", cups=1).id, demo_design())

    def page():
        tab = AppTest.from_file(str(SCRIPT), default_timeout=120).run()
        press(tab, "Open")
        tab.switch_page("views/proof.py").run()
        assert not tab.exception
        return tab

    return page


def picture(kind="PNG"):
    file = io.BytesIO()
    noise = np.random.default_rng(1).integers(60, 200, (240, 180, 3), np.uint8)
    Image.fromarray(noise).save(file, kind)
    return file.getvalue()


def test_what_was_kept_is_shown_in_words_with_its_picture(store, proof):
    facts = {"roles": [], "sentences": [SAYS]}
    store.finished.add(1, fingerprint="f", photo=b"\xff\xd8", facts=facts, picture=picture())
    tab = proof()

    assert any(SAYS in one.value for one in tab.markdown)
    assert [one.label for one in tab.expander if one.label.startswith("Photo of")]


def test_a_photo_that_cannot_be_measured_is_told_and_not_kept(store, proof):
    tab = proof()
    tab.get("file_uploader")[-1].set_value(("cup.jpg", picture("JPEG"), "image/jpeg")).run()
    press(tab, "Hold it against the proof")
    tab.session_state["jobs"]["finished"].future.exception(timeout=60)
    tab.run()

    assert not tab.exception
    assert any("card" in one.value for one in tab.error)
    assert store.finished.of_order(1) == ()


def test_the_card_is_marked_where_it_is_not_found(monkeypatch, proof):
    """As the sentence about a photo without a card proposes."""
    told = []

    def held(order, name, data, beside):
        told.append(beside)
        return lambda progress: ()

    monkeypatch.setattr("mockup.faces.desk.finished_cup.held_photo", held)
    tab = proof()
    tab.get("file_uploader")[-1].set_value(("cup.jpg", picture("JPEG"), "image/jpeg")).run()
    assert told[-1].corners == ""

    (choice,) = [one for one in tab.button_group if one.label == "The card is"]
    choice.set_value("marked by me").run()
    (across,) = [one for one in tab.slider if one.label == "Card, left to right, %"]
    across.set_value((20, 35)).run()

    assert not tab.exception
    assert told[-1].corners == "20%,15%,35%,15%,35%,40%,20%,40%"
    assert any('class="marked"' in one.proto.body for one in tab.get("html"))
