"""What does not fit on the page is left out and told; pages have keys of their own."""

import numpy as np
import pytest

from mockup.errors import OutputError
from mockup.outputs.facts import LightFact
from mockup.outputs.page.hold import Hold
from mockup.outputs.page.page import CloserView, Seal
from mockup.pipeline import proof_page as module
from mockup.pipeline.proof_page import fresh_seal

LIGHTS = tuple(LightFact(name, "") for name in ("softbox", "window", "kitchen"))
CLOSER, SEAL = CloserView(0.0, 10.0, 2.0), Seal("a-1", bytes(32), "order", 1)


@pytest.fixture
def heavy():
    """A cup that takes 1 MB for each light."""
    hold = Hold()
    for light in LIGHTS:
        key = light.name
        hold.bodies[key] = "A" * 1_000_000
        hold.headers[f"0 {key}"] = {"light": {}, "sections": {"gloss": {"key": key}}}
    return hold


def laid(monkeypatch, hold, most_lights):
    """Lay out by a stand-in that has room for so many lights."""

    def lay_out(facts, options, lights, hold, closer, seal):
        if len(lights) > most_lights:
            raise OutputError("too large", where="page", remedy="Show less")
        return "".join(hold.bodies).encode()

    monkeypatch.setattr(module, "lay_out_page", lay_out)
    return module._small_enough(None, (), LIGHTS, hold, CLOSER, SEAL)


def test_the_last_light_goes_first_and_is_told(monkeypatch, heavy):
    page = laid(monkeypatch, heavy, 2)

    assert page.notes == ("Left out kitchen light, so that the page stays small.",)
    assert page.html == b"softboxwindow"


def test_the_design_s_own_light_stays(monkeypatch, heavy):
    assert laid(monkeypatch, heavy, 1).html == b"softbox"


def test_a_page_too_large_in_one_light_is_refused(monkeypatch, heavy):
    with pytest.raises(OutputError, match="too large"):
        laid(monkeypatch, heavy, 0)


def test_each_page_outside_the_order_book_has_a_key_of_its_own():
    """32 random bytes, so that one page's receipt never passes for another's."""
    seals = [fresh_seal("order") for _ in range(50)]

    assert {len(seal.key) for seal in seals} == {32}
    assert len({seal.key for seal in seals}) == len({seal.proof for seal in seals}) == 50
    bits = np.unpackbits(np.frombuffer(b"".join(seal.key for seal in seals), np.uint8))
    assert 0.47 < bits.mean() < 0.53  # 12,800 fair coins: 6.8 standard deviations
