"""Changes to a design: each gives a whole, checked design, or one sentence and nothing else."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.design.blanks import LibraryBlank, StraightBlank
from mockup.design.edit import (
    changed,
    copied_layer,
    fresh_design,
    inserted_layer,
    moved_layer,
    removed_layer,
    with_asset,
    with_blank,
    with_document,
    with_layer,
    with_part,
    with_swatch,
)
from mockup.design.layers import Band, CoatLayer, DecalLayer, Fade, GlitterLayer, MixPart, Place
from mockup.design.palette import MetalSwatch, PigmentSwatch
from mockup.design.read import design_from_files, find_palettes
from mockup.design.write import design_files
from mockup.errors import AssetError, DesignError, UnknownName
from mockup.files import shipped

SLIM = LibraryBlank(name="slim straight 20 fl oz")


@pytest.fixture(scope="module")
def palettes():
    return find_palettes(shipped("palettes"))


@pytest.fixture
def fresh(palettes):
    return fresh_design("Cox's cup", SLIM, palettes, palette="deep-water")


@pytest.fixture
def stacked(fresh):
    """Base, glitter, word, coat."""
    glitter = GlitterLayer(
        cut_mm=0.4,
        mix=(MixPart(swatch="glitter-mid"),),
        coverage=(Fade(from_mm=0, to_mm=90, coverage_from=0.9, coverage_to=0),),
    )
    word = DecalLayer(
        swatch="lettering", text="COX", letter_height_mm=20, place=Place(height_mm=80)
    )
    for at, layer in enumerate((glitter, word, CoatLayer(thickness_mm=0.8)), start=1):
        fresh = inserted_layer(fresh, at, layer)
    return fresh


def kinds(design):
    return [layer.kind for layer in design.document.layers]


def test_a_fresh_design_is_one_base_coat_and_can_be_saved(fresh):
    assert kinds(fresh) == ["base"]
    assert design_from_files(design_files(fresh), palettes={}).fingerprint == fresh.fingerprint


def test_a_cup_needs_a_title(palettes):
    with pytest.raises(DesignError, match="empty"):
        fresh_design("", SLIM, palettes, palette="deep-water")


def test_a_change_leaves_the_design_that_it_was_made_from_alone(stacked):
    before = stacked.fingerprint

    after = with_part(stacked, 2, "place", None, height_mm=82.5)

    assert stacked.fingerprint == before
    assert after.document.layers[2].place == Place(height_mm=82.5)
    assert after.fingerprint != before


def test_a_change_back_gives_the_same_fingerprint(stacked):
    away = with_layer(stacked, 3, thickness_mm=0.5)

    assert with_layer(away, 3, thickness_mm=0.8).fingerprint == stacked.fingerprint


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda d: with_layer(d, 3, thickness_mm=-1.0), "is too small. Give more than 0.005 mm"),
        (lambda d: with_layer(d, 2, text=""), "empty"),
        (lambda d: with_part(d, 1, "coverage", 0, to_mm=-20.0), "not above from_mm"),
        (lambda d: with_layer(d, 2, width_mm=30.0), "one size"),
        (lambda d: with_layer(d, 0, swatch="lettering"), "is a metal"),
        (lambda d: with_document(d, palette="no-such"), "no palette is named"),
        (lambda d: with_document(d, title="a\nb"), "not text on one line"),
        (lambda d: with_layer(d, 1, mix=()), "it is empty"),
    ],
)
def test_a_change_that_makes_no_design_is_refused_with_a_sentence(stacked, change, says):
    with pytest.raises((DesignError, UnknownName), match=says):
        change(stacked)


def test_none_takes_a_field_out(stacked):
    sized = with_layer(stacked, 2, letter_height_mm=None, width_mm=60.0)

    word = sized.document.layers[2]
    assert (word.letter_height_mm, word.width_mm) == (None, 60.0)


def test_parts_of_a_layer_change_one_at_a_time(stacked):
    two = with_layer(
        stacked, 1, coverage=(*stacked.document.layers[1].coverage,
                              Band(from_mm=10, to_mm=20, coverage=0.5))
    )  # fmt: skip

    changed_ = with_part(two, 1, "coverage", 1, coverage=0.25)

    first, second = changed_.document.layers[1].coverage
    assert first == two.document.layers[1].coverage[0]
    assert second == Band(from_mm=10, to_mm=20, coverage=0.25)


@given(data=st.data())
@settings(max_examples=40, deadline=None)
def test_moving_there_and_back_changes_nothing(data):
    palettes = find_palettes(shipped("palettes"))
    design = fresh_design("cup", SLIM, palettes, palette="deep-water")
    for n in range(4):
        design = inserted_layer(design, n + 1, CoatLayer(thickness_mm=0.1 * (n + 1)))
    start, end = (data.draw(st.integers(0, 4)) for _ in range(2))

    back = moved_layer(moved_layer(design, start, end), end, start)

    assert back.document == design.document


def test_a_layer_is_copied_next_further_out(stacked):
    assert kinds(copied_layer(stacked, 1)) == ["base", "glitter", "glitter", "decal", "coat"]


def test_the_last_layer_cannot_be_taken_off(stacked, fresh):
    assert kinds(removed_layer(stacked, 1)) == ["base", "decal", "coat"]
    with pytest.raises(DesignError, match="bare steel"):
        removed_layer(fresh, 0)


def test_sixty_layers_are_enough(fresh):
    coat = CoatLayer(thickness_mm=0.1)
    for n in range(59):
        fresh = inserted_layer(fresh, n, coat)

    with pytest.raises(DesignError, match="61 layers are too many"):
        inserted_layer(fresh, 0, coat)


def test_files_get_plain_names_and_never_one_another_s(fresh):
    one, first = with_asset(fresh, "../Wave & foam.svg", b"<svg/>")
    two, second = with_asset(one, "Wave & foam.svg", b"<svg></svg>")
    again, third = with_asset(two, "copy.svg", b"<svg/>")

    assert (first, second) == ("assets/Wave-foam.svg", "assets/Wave-foam-2.svg")
    assert third == first
    assert again is two


def test_a_file_that_no_layer_names_any_more_is_left_out(fresh):
    held, name = with_asset(fresh, "word.svg", b"<svg/>")
    shape = DecalLayer(swatch="lettering", svg=name, width_mm=40, place=Place(height_mm=60))
    laid = inserted_layer(held, 1, shape)
    assert set(laid.assets) == {name}

    assert set(removed_layer(laid, 1).assets) == set()
    with pytest.raises(AssetError, match="missing"):
        inserted_layer(fresh, 1, shape)


def test_another_swatch_is_the_order_s_own_and_can_be_seen(stacked, palettes):
    name = stacked.document.palette
    green = PigmentSwatch(kind="pigment", srgb="#1e7f5c")

    mine = with_swatch(stacked, "base", green)

    assert mine.palette.roles["base"] == green
    assert palettes[name].roles["base"] != green
    assert mine.fingerprint != stacked.fingerprint
    read = design_from_files(design_files(mine), palettes=palettes)
    assert read.palette.roles["base"] == green


def test_paint_cannot_become_a_metal(stacked):
    with pytest.raises(DesignError, match="is a metal"):
        with_swatch(stacked, "base", MetalSwatch(kind="metal", metal="gold"))


def test_another_blank_keeps_the_layers(stacked):
    mine = with_blank(stacked, StraightBlank(diameter_mm=74, wall_height_mm=190))

    assert mine.document.layers == stacked.document.layers
    with pytest.raises(DesignError, match="one measure"):
        changed(mine.document.blank, "blank", {"circumference_mm": 230.0})
