"""What a page carries of a cup is the parcel's own, each section once, lights with fewer digits."""

import base64
import zlib

import numpy as np
import pytest

from mockup.outputs.facts import LightFact
from mockup.outputs.page.hold import Hold
from mockup.render.web.parcel import Parcel
from mockup.render.web.sections import Section, left_steps

STUDIO, WINDOW = LightFact("softbox", ""), LightFact("window", "")


def a_section(key, values, *, left):
    kinds = {"u1": "u8", "f2": "f16"}
    raw = left_steps(values) if left else values.tobytes()
    facts = {
        "key": key,
        "kind": kinds[values.dtype.str[1:]],
        "shape": list(values.shape),
        "coding": "left" if left else "plain",
    }
    return Section(facts, zlib.compress(raw, 1))


def a_parcel(light, **sections):
    return Parcel({"format": 1, "light": {"name": light}}, sections)


@pytest.fixture
def glow():
    """Half floats over five decades, (rows, columns, 3), too many to be left as they are."""
    rng = np.random.default_rng(3)
    return np.exp(rng.normal(0, 2, (90, 160, 3))).astype(np.float16)


def body_of(hold, key):
    return zlib.decompress(base64.b64decode(hold.bodies[key]))


def test_what_two_views_share_is_carried_once(glow):
    shape = a_section("shape", np.zeros((4, 5, 1), np.uint8), left=True)
    hold = Hold()
    hold.add(0, STUDIO, a_parcel("softbox", shape=shape, gloss=a_section("g", glow, left=True)))
    hold.add(0, WINDOW, a_parcel("window", shape=shape, gloss=a_section("h", glow + 1, left=True)))
    hold.add(1, STUDIO, a_parcel("softbox", shape=shape, gloss=a_section("g", glow, left=True)))

    assert list(hold.headers) == ["0 softbox", "0 window", "1 softbox"]
    assert len(hold.bodies) == 3
    for header in hold.headers.values():
        assert all(facts["key"] in hold.bodies for facts in header["sections"].values())


def test_what_all_views_say_is_said_once_and_can_be_put_together(glow):
    """As page.js does it: the common header, over it the view's own."""
    shape = a_section("shape", np.zeros((4, 5, 1), np.uint8), left=True)
    hold = Hold()
    for light, key in ((STUDIO, "g"), (WINDOW, "h")):
        gloss = a_section(key, glow + len(key), left=True)
        hold.add(0, light, a_parcel(light.name, shape=shape, gloss=gloss))

    told = hold.told()
    assert told["common"]["format"] == 1
    assert list(told["common"]["sections"]) == ["shape"]
    for place, header in hold.headers.items():
        own = told["headers"][place]
        sections = {**told["common"]["sections"], **own["sections"]}
        assert {**told["common"], **own, "sections": sections} == header


def test_light_loses_less_than_a_screen_shows(glow):
    """Seven bits of mantissa, rounded: within 2^-8 of itself. Undone as cup.js undoes it."""
    hold = Hold()
    hold.add(0, STUDIO, a_parcel("softbox", gloss=a_section("g", glow, left=True)))
    facts = hold.headers["0 softbox"]["sections"]["gloss"]
    raw = np.frombuffer(body_of(hold, facts["key"]), np.uint8)

    rows, columns, channels = facts["shape"]
    high, low = raw.reshape(2, channels, rows, columns).astype(np.uint32)
    steps = high * 256 + low
    codes = np.zeros_like(steps)
    for column in range(columns):  # each texel by the one on its left
        before = codes[..., column - 1] if column else 0
        codes[..., column] = (before + steps[..., column]) % 65536
    seen = np.moveaxis(codes.astype(np.uint16), 0, -1).copy().view(np.float16)
    np.testing.assert_allclose(seen.astype(float), glow.astype(float), rtol=2**-8)
    assert facts["key"] != "g"  # other bytes, another name
    assert len(hold.bodies[facts["key"]]) < 0.9 * 4 / 3 * len(a_section("g", glow, left=True).body)


def test_all_else_is_carried_as_it_is():
    art = np.random.default_rng(1).integers(0, 255, (120, 160, 4), np.uint8)
    hold = Hold()
    hold.add(0, STUDIO, a_parcel("softbox", art=a_section("a", art, left=True)))

    assert body_of(hold, "a") == left_steps(art)


def test_a_light_that_is_left_out_takes_its_bytes_along(glow):
    shape = a_section("shape", np.zeros((4, 5, 1), np.uint8), left=True)
    hold = Hold()
    for option in (0, 1):
        for light, key in ((STUDIO, "g"), (WINDOW, "h")):
            parcel = a_parcel(light.name, shape=shape, gloss=a_section(key, glow, left=True))
            hold.add(option, light, parcel)
    hold.drop(WINDOW)

    assert list(hold.headers) == ["0 softbox", "1 softbox"]
    assert sorted(hold.bodies) == ["gr3", "shape"]


def test_lights_that_end_alike_are_not_mixed_up():
    hold = Hold()
    for name in ("window", "my window"):
        hold.add(0, LightFact(name, ""), a_parcel(name))
    hold.drop(WINDOW)

    assert list(hold.headers) == ["0 my window"]


def test_a_panorama_is_called_by_its_name_not_by_its_path():
    hold = Hold()
    hold.add(0, LightFact("my room", ""), a_parcel("/home/maker/my room.hdr"))

    assert hold.headers["0 my room"]["light"]["name"] == "my room"
