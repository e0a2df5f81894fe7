"""What is kept of a finished cup is the photo that was given, wherever its picture goes."""

from types import SimpleNamespace

import numpy as np

from mockup.faces.desk import made
from mockup.pipeline import demo_design, finished
from mockup.store import open_store


def test_a_photo_with_the_pictures_own_name_is_kept_as_it_was_given(tmp_path, monkeypatch):
    """At the desk, where a phone's file may bear any name."""
    held = SimpleNamespace(
        picture=np.zeros((8, 8, 3), np.uint8),
        facts=SimpleNamespace(fingerprint="f", notes=()),
        as_json=lambda: {"roles": [], "sentences": []},
    )
    monkeypatch.setattr(finished, "hold_photo", lambda *given, **more: held)
    with open_store(tmp_path / "orders.sqlite") as store:
        monkeypatch.setattr(made, "shared_store", lambda: store)
        order = store.book.add_order("Seat 7", cups=1).id
        store.drafts.begin(order, demo_design())
        made.held_photo(order, "held.png", b"the photo", finished.Told())(lambda share, what: None)
        (kept,) = store.finished.of_order(order)

        assert store.finished.photo_of(kept) == b"the photo"
        assert store.finished.picture_of(kept).startswith(b"\x89PNG")
