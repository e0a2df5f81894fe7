"""What changed is told in words, all of it and nothing else."""

import unicodedata
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from mockup.design.changes import changes_in_words
from mockup.design.document import Asset
from mockup.design.read import design_from_files, read_design
from mockup.files import shipped
from tests.design.sample import BUNTING, DESIGN, PALETTE
from tests.strategies import designs

whole = settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])

FILES = {
    "design.toml": DESIGN.encode(),
    "palettes/neap.toml": PALETTE.encode(),
    "assets/bunting.svg": BUNTING.encode() if isinstance(BUNTING, str) else BUNTING,
}


def told(*changes, palette=()):
    """Words for what replacing some text of the sample's design or palette changes."""
    texts = {"design.toml": DESIGN, "palettes/neap.toml": PALETTE}
    for file, pairs in (("design.toml", changes), ("palettes/neap.toml", palette)):
        for was, now in pairs:
            assert texts[file].count(was) == 1, was
            texts[file] = texts[file].replace(was, now)
    after = FILES | {name: text.encode() for name, text in texts.items()}
    return changes_in_words(design_from_files(FILES), design_from_files(after))


@whole
@given(designs(), designs())
def test_whatever_alters_the_fingerprint_is_told(before, after):
    words = changes_in_words(before, after)

    assert bool(words) == (before.fingerprint != after.fingerprint)
    assert changes_in_words(before, before) == ()
    assert all("\n" not in phrase for phrase in words)


@whole
@given(designs())
def test_another_spelling_of_the_same_letters_is_no_change(design):
    spelled = design.document.model_copy(
        update={"title": unicodedata.normalize("NFD", design.document.title)}
    )

    assert changes_in_words(design, replace(design, document=spelled)) == ()


COAT = '[[layers]]\nkind = "coat"\nthickness_mm = 0.8\ntint = "base"\n'
BASE = '[[layers]]\nkind = "base"\nswatch = "base"\n'


@pytest.mark.parametrize(
    ("was", "now", "words"),
    [
        ('"SEAGLASS"', '"TIDELINE"', ["lettering 'SEAGLASS': text 'SEAGLASS' became 'TIDELINE'"]),
        (
            "thickness_mm = 0.8", "thickness_mm = 0.6",
            ["clear coat: thickness 0.8 mm became 0.6 mm"],
        ),
        (
            "thickness_mm = 0.8", "thickness_mm = 0.8000000001",
            ["clear coat: thickness 0.8 mm became 0.8000000001 mm"],
        ),
        ('"Seat 3"', '"Seat 4"', ["title 'Seat 3' became 'Seat 4'"]),
        ("diameter_mm = 73", "diameter_mm = 86", ["blank: diameter 73 mm became 86 mm"]),
        ("height_mm = 90 }", "height_mm = 95 }", [
            "lettering 'SEAGLASS', place: height 90 mm became 95 mm",
        ]),
        ("coverage_from = 0.8", "coverage_from = 0.5", [
            "glitter, coverage 1: share hidden at its lower end 0.8 became 0.5",
        ]),
        ("cut_mm = 0.38", 'cut_in = ".015"', [
            "glitter: cut 0.38 mm became none", "glitter: cut none became .015 in",
        ]),
        (COAT, COAT * 2, ["clear coat (layer 6) is new, as layer 6"]),
        (BASE, "", ["base coat is gone"]),
        (COAT, COAT + 'name = "flood"\n', ["clear coat: name '' became 'flood'"]),
        (BASE, BASE + 'gloss = "flat"\n', ["base coat: gloss 'satin' became 'flat'"]),
    ],
)  # fmt: skip
def test_a_change_is_told_in_the_makers_words(was, now, words):
    assert list(told((was, now))) == words


def test_a_layer_that_moved_is_told_as_one():
    assert told((BASE + "\n", ""), (COAT, COAT + BASE)) == (
        "base coat moved from layer 1 to layer 5",
    )


def test_a_colour_of_the_palette_in_use_is_told():
    assert told(palette=[("#0b2545", "#123456"), ('"copper"', '"gold"')]) == (
        "palette, base: colour '#0b2545' became '#123456'",
        "palette, foil: metal 'copper' became 'gold'",
    )


def test_artwork_that_kept_its_name_is_told():
    other = FILES | {"assets/bunting.svg": FILES["assets/bunting.svg"] + b"<!-- -->"}

    assert changes_in_words(design_from_files(FILES), design_from_files(other)) == (
        "assets/bunting.svg: the file itself changed",
    )


def test_artwork_that_no_layer_names_is_not_told():
    design = design_from_files(FILES)
    extra = dict(design.assets) | {"assets/other.svg": Asset("assets/other.svg", b"")}

    assert changes_in_words(design, replace(design, assets=extra)) == ()


def test_another_option_is_told_by_its_colours():
    design = read_design(shipped("textures", "regatta"))

    words = changes_in_words(design, design.with_palette("storm-silver"))

    assert words[0] == "palette 'deep-water' became 'storm-silver'"
    assert all(phrase.startswith("palette") for phrase in words)
    assert (
        "palette, lettering: 'copper foil' (copper #fff4ea) became 'silver foil' (silver)" in words
    )
    assert len(words) > 2


def test_of_a_long_text_what_differs_is_shown():
    long = "fresh water " * 40
    before = design_from_files(
        FILES | {"design.toml": DESIGN.replace('3"\n', f'3"\nnote = "{long}a"\n', 1).encode()}
    )
    after = design_from_files(
        FILES | {"design.toml": DESIGN.replace('3"\n', f'3"\nnote = "{long}b"\n', 1).encode()}
    )

    (words,) = changes_in_words(before, after)

    assert "water a' became" in words
    assert words.endswith("water b'")
    assert len(words) < 220
