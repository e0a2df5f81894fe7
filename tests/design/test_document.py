"""The fingerprint changes with whatever can be seen or made, and with nothing else."""

import hashlib
import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from pydantic import ValidationError

from mockup.design.document import Asset
from mockup.design.layers import GlitterLayer
from mockup.design.palette import METALS, MetalSwatch
from mockup.design.read import read_design
from mockup.errors import AssetError, DesignError, UnknownName
from tests.design.sample import DESIGN, PALETTE, write_sample
from tests.strategies import designs


@pytest.fixture
def design(tmp_path):
    return read_design(write_sample(tmp_path / "cup"), palettes={})


def _read(folder, design=DESIGN, palette=PALETTE):
    return read_design(write_sample(folder, design=design, palette=palette), palettes={})


def test_comments_order_and_spelling_leave_the_fingerprint_alone(tmp_path, design):
    respelt = (
        DESIGN.replace("diameter_mm = 73\n", "")
        .replace("wall_height_mm = 185.0", "wall_height_mm = 1.85e2\ndiameter_mm = 73.0")
        .replace('title = "Seat 3"', "# the third seat\ntitle = 'Seat 3'")
        .replace('swatch = "base"', 'swatch = "base"\ngloss = "satin" # as it would be anyway')
    )  # fmt: skip
    shouted = PALETTE.replace("#0b2545", "#0B2545")

    assert _read(tmp_path / "b", respelt, shouted).fingerprint == design.fingerprint


def test_the_same_letters_composed_or_not_give_the_same_fingerprint(tmp_path):
    """Unicode NFC: é may be typed as one character or as e and an accent."""
    one = _read(tmp_path / "a", DESIGN.replace("Seat 3", "Ébène"))
    two = _read(tmp_path / "b", DESIGN.replace("Seat 3", "E\u0301be\u0300ne"))

    assert one.document.title != two.document.title
    assert one.fingerprint == two.fingerprint


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("Seat 3", "Seat 4"),
        ("diameter_mm = 73", "diameter_mm = 73.1"),
        ("thickness_mm = 0.8", "thickness_mm = 0.9"),
        ('swatch = "foil"', 'swatch = "flake"'),
        ("SEAGLASS", "SEAGRASS"),
    ],
)
def test_a_change_of_the_design_changes_the_fingerprint(tmp_path, design, right, wrong):
    assert _read(tmp_path / "b", DESIGN.replace(right, wrong)).fingerprint != design.fingerprint


def test_a_change_of_a_colour_or_of_the_artwork_changes_the_fingerprint(tmp_path, design):
    recoloured = _read(tmp_path / "b", palette=PALETTE.replace("#0b2545", "#0b2546"))
    name = "assets/bunting.svg"
    redrawn = replace(design, assets={name: Asset(name, design.assets[name].data + b" ")})

    assert len({d.fingerprint for d in (design, recoloured, redrawn)}) == 3


def test_layers_in_another_order_are_another_cup(design):
    layers = design.document.layers
    swapped = design.document.model_copy(update={"layers": (*layers[1:], layers[0])})

    assert replace(design, document=swapped).fingerprint != design.fingerprint


def test_palettes_not_in_use_leave_the_fingerprint_alone(design):
    more = replace(design, palettes={**design.palettes, "spring": design.palette})

    assert more.fingerprint == design.fingerprint


def test_the_fingerprint_is_what_anyone_can_compute(design):
    """RFC 8785 on plain values is sorted keys without spaces, and 73.0 is spelt 73."""
    document = json.loads(
        json.dumps(design.document.model_dump(mode="json")),
        parse_float=lambda text: int(float(text)) if float(text).is_integer() else float(text),
    )
    palette = json.loads(
        json.dumps(design.palette.model_dump(mode="json")),
        parse_float=lambda text: int(float(text)) if float(text).is_integer() else float(text),
    )
    assets = {name: hashlib.sha256(a.data).hexdigest() for name, a in design.assets.items()}
    canonical = json.dumps(
        {"assets": assets, "document": document, "palette": palette},
        sort_keys=True,
        separators=(",", ":"),
        ensure_ascii=False,
    )

    assert hashlib.sha256(canonical.encode()).hexdigest() == design.fingerprint


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(designs())
def test_an_option_keeps_the_document_but_for_its_palette(design):
    option = design.with_palette("neap")

    assert option.palette == design.palettes["neap"]
    assert option.with_palette(design.document.palette) == design
    assert {role for role, _ in design.roles()} <= set(option.palette.roles)


def test_an_option_must_be_at_hand_and_suit_the_layers(tmp_path, design):
    with pytest.raises(UnknownName, match=r"no palette is named 'nape'\. Use 'neap'"):
        design.with_palette("nape")

    bare = design.palette.model_copy(update={"roles": {"base": design.palette.roles["base"]}})
    metal = design.palette.model_copy(
        update={"roles": design.palette.roles | {"base": MetalSwatch(metal="gold")}}
    )
    more = replace(design, palettes={**design.palettes, "bare": bare, "metal": metal})
    with pytest.raises(UnknownName, match=r"layers\[2\]\.mix\[0\]\.swatch: no role of palette"):
        more.with_palette("bare")
    with pytest.raises(DesignError, match="is a metal, not a base coat"):
        more.with_palette("metal")


def test_every_asset_is_listed_with_the_place_that_names_it_first(design):
    assert design.document.asset_names() == {"assets/bunting.svg": "layers[1].artwork"}


def test_an_asset_that_is_not_at_hand_is_told(design):
    with pytest.raises(AssetError, match=r"design\.toml: layers\[1\]\.artwork: assets/x is miss"):
        design.asset("assets/x", where="layers[1].artwork")


def test_a_cut_in_inches_is_the_cut_in_millimetres():
    """1/64 in is 0.396875 mm exactly, for an inch is 25.4 mm exactly."""
    given_in = {"mix": ({"swatch": "a"},), "coverage": ({"shape": "scatter", "coverage": 0.1},)}

    for cut_in in ("1/64", 0.015625, ".015625"):
        assert GlitterLayer(cut_in=cut_in, **given_in).flake_width_mm == pytest.approx(0.396875)
    assert GlitterLayer(cut_mm=0.4, **given_in).flake_width_mm == 0.4


def test_what_is_read_cannot_be_changed(design):
    with pytest.raises(ValidationError, match="frozen"):
        design.document.title = "Seat 4"


def test_every_metal_of_the_table_is_a_choice():
    assert [MetalSwatch(metal=name).metal for name in METALS] == list(METALS)
