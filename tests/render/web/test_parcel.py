"""A cup as bytes: nothing is lost, little is sent, and only what changed is sent again."""

import io
import json
import struct
import zlib
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import gaussian_filter

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.pipeline.cup import build_cup
from mockup.render.lights import find_light, illuminant_of
from mockup.render.upload import subsamples
from mockup.render.web.parcel import Packer
from mockup.render.web.sections import Sections, left_steps, rounded
from mockup.shading.artwork import artwork_lit
from mockup.shading.table import foil_quality

MB = 1_000_000


def packed_by(packer, cup, light="softbox", model=None):
    model = model or cup.model
    foil = foil_quality(model.skin, cup.optics())
    return packer.pack(model, cup.blank.wall, cup.table(illuminant_of(light)), light, foil)


def opened(data):
    """Header and sections by the format as parcel.py tells it, read by other code."""
    assert data[:4] == b"CUP1"
    (length,) = struct.unpack_from("<I", data, 4)
    header = json.loads(data[8 : 8 + length])
    sections = {}
    for name, facts in header["sections"].items():
        at = 8 + length + facts["at"]
        body = zlib.decompress(data[at : at + facts["bytes"]])
        if facts["kind"] == "text":
            sections[name] = body.decode()
            continue
        letter, bits = facts["kind"][0], int(facts["kind"][1:])
        kind, shape = np.dtype(f"<{letter}{bits // 8}"), facts["shape"]
        if facts["coding"] == "plain":
            sections[name] = np.frombuffer(body, kind).reshape(shape)
            continue
        rows, columns, channels = shape
        steps = np.frombuffer(body, np.uint8).astype(np.uint32)
        if kind.itemsize == 2:
            high, low = np.split(steps, 2)
            steps = high * 256 + low
        whole = np.cumsum(steps.reshape(channels, rows, columns), axis=-1)
        whole = (whole % 256**kind.itemsize).astype(f"u{kind.itemsize}").view(kind)
        sections[name] = np.moveaxis(whole, 0, -1)
    return header, sections


def test_a_parcel_holds_the_maps_mesh_and_table_exactly(cups):
    cup = cups["demo"]
    model, skin = cup.model, cup.model.skin
    header, sections = opened(packed_by(Packer(), cup).to_bytes())

    assert header["format"] == 1
    for i in range(len(skin.sheets)):
        np.testing.assert_array_equal(sections[f"edge{i}"][..., 0], skin.edge_distance[..., i])
    for i in range(len(skin.flakes)):
        np.testing.assert_array_equal(sections[f"field{i}"][..., 0], skin.flake_coverage[..., i])
    np.testing.assert_array_equal(sections["relief"], skin.relief)
    np.testing.assert_array_equal(sections["table"], cup.table())
    np.testing.assert_array_equal(sections["positions"], model.positions)
    np.testing.assert_array_equal(sections["around"], find_light("softbox").radiance.astype("f2"))
    sort = lambda triangles: triangles[np.lexsort(triangles.T)]  # noqa: E731
    np.testing.assert_array_equal(sort(sections["triangles"].reshape(-1, 3)), sort(model.triangles))
    assert sum(draw["count"] for draw in header["draws"]) == model.triangles.size


@pytest.mark.parametrize("light", ["softbox", "market", "evening"])
def test_a_whole_cup_with_a_light_stays_below_3_mb(cups, light):
    assert len(packed_by(Packer(), cups["demo"], light).to_bytes()) < 2 * MB


def changed(before, after):
    return {
        name
        for name, section in after.sections.items()
        if name not in before.sections or section.key != before.sections[name].key
    }


def test_a_change_sends_what_it_changes(cups):
    """A palette its table; a light the light, and what its lamp makes look different."""
    packer = Packer()
    first = packed_by(packer, cups["demo"])

    silver = packed_by(packer, cups["demo"].with_palette("storm-silver"))
    assert changed(first, silver) == {"table"}
    assert len(silver.to_bytes(first.keys)) < 30_000
    window = packed_by(packer, cups["demo"], "window")  # daylight too
    assert changed(first, window) == {"around", "gloss", "sky"}
    evening = packed_by(packer, cups["demo"], "evening")  # a filament
    assert changed(first, evening) == {"around", "gloss", "sky", "art", "table"}


def test_a_moved_decal_sends_its_own_map(cups):
    """And its backing's, and the order of triangles; glitter and other shapes stay."""
    packer, cup = Packer(), cups["demo"]
    document = cup.design.document
    layers = list(document.layers)
    at = next(i for i, layer in enumerate(layers) if layer.kind == "decal")
    place = layers[at].place.model_copy(update={"height_mm": layers[at].place.height_mm + 6})
    layers[at] = layers[at].model_copy(update={"place": place})
    design = replace(cup.design, document=document.model_copy(update={"layers": tuple(layers)}))
    moved = build_cup(design)
    names = [sheet.name for sheet in cup.model.skin.sheets]
    assert names == [sheet.name for sheet in moved.model.skin.sheets]

    before, after = packed_by(packer, cup), packed_by(packer, moved)

    news = changed(before, after)
    assert "triangles" in news
    assert 1 <= len({name for name in news if name.startswith("edge")}) < len(names) + 1
    assert {name.rstrip("0123456789") for name in news} <= {"edge", "field", "triangles"}
    assert len(after.to_bytes(before.keys)) < 0.4 * MB


def photograph(shape, seed=7):
    """Grain and soft shapes of all sizes, as a camera sees leaves: (rows, columns, 3) uint8."""
    rng = np.random.default_rng(seed)
    grain = sum(
        spread * gaussian_filter(rng.normal(size=(*shape, 3)), (spread, spread, 0.7), mode="wrap")
        for spread in (1.2, 2.5, 5, 10, 20)
    )
    return np.clip(128 + 45 * grain / grain.std(), 0, 255).astype(np.uint8)


def test_a_photograph_is_sent_as_jpeg(cups):
    """Its opacity is exact; a picture of leaves hardly changes to the eye."""
    cup = cups["demo"]
    art = cup.model.skin.art_rgba8_srgb.copy()
    art[..., :3] = photograph(art.shape[:2])
    skin = replace(cup.model.skin, art_rgba8_srgb=art)

    parcel = packed_by(Packer(), cup, model=replace(cup.model, key="photograph", skin=skin))

    assert len(parcel.to_bytes()) < 3 * MB
    assert parcel.sections["art"].facts["coding"] == "jpeg"
    assert parcel.header["textures"]["artTex"]["from"] == ("art", "opacity")
    shown = np.asarray(Image.open(io.BytesIO(parcel.sections["art"].body)))
    seen = artwork_lit(skin)[..., :3]
    far = delta_e_2000(half_millimetres(shown), half_millimetres(seen))
    assert far.mean() < 2.5


def test_a_panorama_is_sent_with_fewer_digits(cups, monkeypatch):
    """Grain as a camera leaves it does not deflate."""
    lamp = find_light("kitchen")
    grain = photograph(lamp.radiance.shape[:2]).mean(-1, keepdims=True) / 128
    rough = replace(lamp, radiance=(lamp.radiance * grain).astype(np.float32))
    monkeypatch.setattr("mockup.render.web.parcel.find_light", lambda name: rough)

    assert len(packed_by(Packer(), cups["demo"], "kitchen").to_bytes()) < 3 * MB


def half_millimetres(rgb8):
    """L*a*b* of the mean light over 5 × 5 texels, about a pixel of a phone's picture."""
    rows, columns = (n // 5 for n in rgb8.shape[:2])
    fives = linear_from_rgb8(rgb8[: 5 * rows, : 5 * columns]).reshape(rows, 5, columns, 5, 3)
    return lab_from_linear_srgb(fives.mean((1, 3)))


def test_rounding_keeps_what_it_says():
    """A half float has 11 binary digits; with 8 of them it is off by at most 1 in 256."""
    values = np.geomspace(1e-4, 6e4, 4001).astype(np.float16)
    off = np.abs(rounded(values, 3).astype(float) / values.astype(float) - 1)
    assert 1 / 512 < off.max() <= 1 / 256


def test_steps_from_the_left_shrink_a_smooth_map():
    """By a third at least, of half floats as a blurred light has them."""
    noise = np.random.default_rng(2).normal(size=(256, 512, 3))
    smooth = np.exp(20 * gaussian_filter(noise, (12, 12, 0))).astype(np.float16)
    assert len(zlib.compress(left_steps(smooth))) < len(zlib.compress(smooth.tobytes())) * 2 / 3


def test_what_was_used_longest_ago_makes_room():
    kept = Sections(room_bytes=3000)
    rng = np.random.default_rng(1)
    arrays = [rng.integers(0, 256, 1000, dtype=np.uint8) for _ in range(4)]
    keys = [kept.array(array).key for array in arrays]
    kept.find(keys[0])
    kept.trim()

    assert [key for key in keys if kept.find(key) is not None] == [keys[0], keys[3]]


@pytest.mark.parametrize("count", [1, 4, 9, 16])
def test_sub_samples_share_a_pixel_evenly(count):
    """Each has its own place, row and column; of whole fours each quarter holds as many."""
    places = np.array(subsamples(count))
    assert places.shape == (count, 3)
    np.testing.assert_allclose(np.sort(places[:, 2]), (np.arange(count) + 0.5) / count)
    np.testing.assert_allclose(places[:, :2].mean(0), 0.5)
    if count % 4 == 0:
        quarter = (places[:, :2] > 0.5) @ [1, 2]
        assert np.bincount(quarter, minlength=4).tolist() == [count // 4] * 4
