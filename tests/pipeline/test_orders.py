"""What the maker works from says whether exactly this design is approved."""

import json
import re
import subprocess
from datetime import datetime

import numpy as np
import pytest

from mockup import pipeline
from mockup.design.read import read_design
from mockup.outputs.plan.making import making_as_json
from mockup.pipeline.orders import (
    UNKNOWN,
    changes_of,
    note_sent,
    picture_changes,
    proof_for,
    standing_of,
)
from mockup.store import open_store
from tests.design.sample import write_sample

APPROVED = f"approved, revision 1, {datetime.now():%Y-%m-%d}"


@pytest.fixture
def cup(tmp_path):
    return write_sample(tmp_path / "cup").parent


@pytest.fixture
def store(tmp_path, monkeypatch):
    place = f"sqlite:///{tmp_path}/orders.sqlite"
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", place)
    with open_store() as opened:
        yield opened


@pytest.fixture
def approved(store, cup):
    draft = store.drafts.begin(store.book.add_order("Seat 3").id, read_design(cup))
    store.approvals.note(store.revisions.freeze(draft), customer="Wen Harbour", how="signed sheet")
    return draft


def words_of(pdf):
    done = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, text=True, check=True)
    return re.sub(r"\s+", " ", done.stdout)


def cut_words(cup, folder):
    files, _ = pipeline.cut(cup, folder)
    return words_of(next(file for file in files if file.suffix == ".pdf"))


def test_cut_sheets_and_plan_of_an_approved_design_say_which_revision(cup, approved, tmp_path):
    assert APPROVED.upper() in cut_words(cup, tmp_path / "sheets")
    assert APPROVED in json.dumps(making_as_json(pipeline.plan(cup)))


def test_the_work_sheet_says_so_on_every_page(cup, approved, tmp_path):
    pipeline.worksheet(cup, tmp_path / "bench.pdf", start=datetime(2026, 6, 1))

    pages = subprocess.run(
        ["pdftotext", tmp_path / "bench.pdf", "-"], capture_output=True, text=True, check=True
    ).stdout.split("\f")[:-1]
    assert pages
    assert all(APPROVED.upper() in re.sub(r"\s+", " ", page) for page in pages)


def test_those_of_a_design_that_changed_since_say_not_approved(cup, approved, tmp_path):
    design = cup / "design.toml"
    design.write_text(design.read_text().replace("0.8\n", "0.6\n"))

    words = cut_words(cup, tmp_path / "sheets")

    assert "NOT APPROVED" in words
    assert APPROVED.upper() not in words
    assert "not approved" in json.dumps(making_as_json(pipeline.plan(cup)))


def test_another_palette_is_another_design(cup, approved, store):
    design = read_design(cup)
    other = (cup / "palettes" / "neap.toml").read_text().replace("#0b2545", "#0b2546")
    (cup / "palettes" / "spring.toml").write_text(other)

    assert standing_of(design) == APPROVED
    assert standing_of(read_design(cup).with_palette("spring")) == "not approved"


def test_no_store_is_made_by_asking(cup, tmp_path, monkeypatch):
    nowhere = tmp_path / "none" / "orders.sqlite"
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{nowhere}")

    assert standing_of(read_design(cup)) == "not approved"
    assert not nowhere.parent.exists()


def test_a_store_that_cannot_be_asked_is_no_approval_and_no_refusal(cup, tmp_path, monkeypatch):
    """At the bench without the network, sheets are cut all the same."""
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"postgresql://desk@/orders?host={tmp_path}")

    assert standing_of(read_design(cup)) == UNKNOWN
    assert UNKNOWN.upper() in cut_words(cup, tmp_path / "sheets")


def test_an_option_that_was_approved_is_compared_as_the_customer_chose_it(store):
    from mockup.files import shipped

    design = read_design(shipped("textures", "regatta"))
    draft = store.drafts.begin(store.book.add_order("Regatta").id, design)
    revision = store.revisions.freeze(draft)
    store.approvals.note(revision, customer="Wen", how="mail", palette="storm-silver")

    assert changes_of(store, 1).words == ()
    assert changes_of(store, 1).after.palette.name == "storm-silver"
    store.drafts.save(draft, design.with_palette("abalone"))
    assert changes_of(store, 1).words[0] == "palette 'storm-silver' became 'abalone'"


def test_a_proof_is_made_once_for_a_design_as_it_is(store, cup):
    """The page that the customer answers by and the note that it was sent are of one proof."""
    draft = store.drafts.begin(store.book.add_order("Seat 3").id, read_design(cup))
    made = proof_for(store, 1)

    assert note_sent(store, 1, how="mail").id == made.id
    assert note_sent(store, 1, how="by hand").id == made.id
    assert [s.how for s in store.proofs.find(made.id).sendings] == ["mail", "by hand"]
    assert proof_for(store, 1, light="window").id != made.id
    files = dict(draft.files)
    files["design.toml"] = files["design.toml"].replace(b"0.8", b"0.6")
    store.drafts.save(draft, files)
    assert proof_for(store, 1).revision == 2


def test_both_states_are_drawn_side_by_side(store, approved, tmp_path):
    """The left half is the approved cup and the right half the cup of now."""
    from PIL import Image

    files = dict(approved.files)
    files["palettes/neap.toml"] = files["palettes/neap.toml"].replace(b"#0b2545", b"#c02020")
    store.drafts.save(approved, files)

    picture_changes(changes_of(store, 1), tmp_path / "changes.png")

    rgb = np.asarray(Image.open(tmp_path / "changes.png").convert("RGB")).astype(int)
    middle = rgb.shape[1] // 2
    reddish = (rgb[..., 0] > rgb[..., 2] + 40) & (rgb[..., 0] > rgb[..., 1] + 40)
    assert reddish[:, middle:].sum() > 20 * max(1, reddish[250:, :middle].sum())
