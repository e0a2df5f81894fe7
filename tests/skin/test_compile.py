"""The whole stack: its order, what covers what, which shapes share a channel, and its limits."""

import typing

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.blank.wall import build_blank
from mockup.design.layers import AnyLayer
from mockup.design.read import read_design
from mockup.errors import AssetError, DesignError
from mockup.files import shipped
from mockup.skin.compile import LAY, compile_skin
from mockup.skin.skin import FIELD_STEP, MOST_POPULATIONS, MOST_SHEETS
from tests.skin.cups import BASE, GLITTER, STRAIGHT, area_mm2, cup, edges_mm, png, wall_of

SCATTER = GLITTER | {"coverage": [{"shape": "scatter", "coverage": 0.5}]}
SHEET = {"kind": "wrap", "artwork": "assets/art.png", "fit": "tile", "width_mm": 30}
GREY = png(np.full((40, 80, 3), 120, np.uint8))
THIN_COAT = {"kind": "coat", "thickness_mm": 0.2}


def disc(angle_deg=0.0, swatch="foil", **keys):
    place = {"height_mm": 30.0, "angle_deg": angle_deg}
    whole = {"kind": "decal", "svg": "assets/disc.svg", "swatch": swatch, "width_mm": 10.0}
    return whole | {"place": place} | keys


def roles(skin):
    return [sheet.role for sheet in skin.sheets]


def test_every_kind_of_layer_is_laid():
    union = typing.get_args(AnyLayer)[0]
    kinds = {kind.model_fields["kind"].default for kind in typing.get_args(union)}

    assert set(LAY) == kinds


def test_layers_keep_their_order():
    layers = [BASE, SCATTER, disc(0), SCATTER, disc(40, "vinyl"), SCATTER]
    skin = cup(layers)

    orders = [skin.flakes[0], skin.sheets[0], skin.flakes[1], skin.sheets[1], skin.flakes[2]]
    assert [laid.order for laid in orders] == sorted({laid.order for laid in orders})


def test_a_decal_alters_nothing_below_it_nor_does_glitter():
    """Which of them is on top is told by their order, point by point."""
    alone = cup([BASE, SCATTER])
    under = cup([BASE, SCATTER, disc()])
    over = cup([BASE, disc(), SCATTER])

    np.testing.assert_array_equal(alone.flake_coverage, under.flake_coverage)
    np.testing.assert_array_equal(alone.flake_coverage, over.flake_coverage)
    np.testing.assert_array_equal(under.edge_distance, over.edge_distance)
    assert under.sheets[0].order > under.flakes[0].order
    assert over.sheets[0].order < over.flakes[0].order


def test_shapes_of_one_role_side_by_side_share_a_channel():
    """Together they are as large as both, and each lies where it would alone."""
    together = cup([BASE, disc(-60), disc(60)])
    alone = [cup([BASE, disc(angle)]) for angle in (-60, 60)]

    assert roles(together) == ["foil"]
    nearest = np.minimum(*(skin.edge_distance for skin in alone))
    np.testing.assert_array_equal(together.edge_distance, nearest)


def test_decals_with_backings_side_by_side_need_two_channels():
    backed = {"backing": [{"swatch": "w", "outset_mm": 1.5}]}

    assert roles(cup([BASE, disc(-80, **backed), disc(0, **backed), disc(80, **backed)])) == [
        "w",
        "foil",
    ]


@pytest.mark.parametrize("between", [SCATTER, SHEET, THIN_COAT], ids=["flakes", "sheet", "coat"])
def test_shapes_with_a_layer_between_keep_their_channels(between):
    skin = cup([BASE, disc(-60), between, disc(60)], art=png(np.zeros((4, 8, 4), np.uint8)))

    assert roles(skin) == ["foil", "foil"]


def test_a_shape_that_hides_another_role_keeps_its_channel():
    """Foil, vinyl across it, foil again on the vinyl: the last must lie on top."""
    skin = cup([BASE, disc(0), disc(10, "vinyl"), disc(20)])

    assert roles(skin) == ["foil", "vinyl", "foil"]
    assert roles(cup([BASE, disc(0), disc(10, "vinyl"), disc(90)])) == ["foil", "vinyl"]


@given(st.lists(st.tuples(st.integers(0, 5), st.sampled_from("abc")), min_size=2, max_size=6))
@settings(max_examples=20, deadline=None)
def test_sharing_channels_never_changes_what_is_on_top(placed):
    """The uppermost role at each point is that of the last decal whose shape holds it."""
    layers = [disc(25.0 * step, role) for step, role in placed]
    skin = cup([BASE, *layers], texel_mm=0.5)

    top = np.full(skin.grid.shape, "", object)
    for sheet in sorted(skin.sheets, key=lambda sheet: sheet.order):
        top[edges_mm(skin, skin.sheets.index(sheet)) < 0] = sheet.role

    expected = np.full(skin.grid.shape, "", object)
    for layer in layers:
        expected[edges_mm(cup([BASE, layer], texel_mm=0.5)) < 0] = layer["swatch"]
    np.testing.assert_array_equal(top, expected)


def test_artwork_over_a_shape_cuts_it():
    """A sheet that ends in the disc's middle leaves its upper half, with a clean edge."""
    skin = cup([BASE, disc(), SHEET | {"to_mm": 30.0}], STRAIGHT, 0.1, art=GREY)
    edges, wall = edges_mm(skin), wall_of(STRAIGHT)

    assert area_mm2(skin, wall) == pytest.approx(np.pi * 25 / 2, rel=0.01)
    front = skin.grid.columns // 2
    row_at_cut = round(30.0 / skin.grid.row_mm)
    np.testing.assert_allclose(
        edges[row_at_cut - 5 : row_at_cut + 5, front],
        -(np.arange(-5, 5) + 0.5) * skin.grid.row_mm,
        atol=0.006,
    )


def test_clear_artwork_over_a_shape_leaves_it():
    clear = png(np.zeros((4, 8, 4), np.uint8))
    over, alone = cup([BASE, disc(), SHEET], art=clear), cup([BASE, disc()])

    np.testing.assert_array_equal(over.edge_distance, alone.edge_distance)


def test_what_is_hidden_altogether_takes_no_channel():
    skin = cup([BASE, disc(), SCATTER, SHEET], art=GREY)

    assert skin.sheets == skin.flakes == ()


def test_too_many_sheets_are_told_with_a_remedy():
    """Discs of nine roles, or of one role parted by coats."""
    many = [disc(40.0 * k, f"role {k}", width_mm=4.0) for k in range(MOST_SHEETS)]
    assert len(cup([BASE, *many]).sheets) == MOST_SHEETS
    with pytest.raises(DesignError, match=r"layers\[9\]: 9 kinds of cut sheet.*show 8"):
        cup([BASE, *many, disc(0, "one more", width_mm=4.0)])


def test_too_many_glitters_are_told_with_a_remedy():
    assert len(cup([BASE, *[SCATTER] * MOST_POPULATIONS], texel_mm=1.0).flakes) == 8
    with pytest.raises(DesignError, match=r"layers\[9\]: 9 glitters.*one layer's mix"):
        cup([BASE, *[SCATTER] * (MOST_POPULATIONS + 1)], texel_mm=1.0)


def test_a_missing_asset_is_told_with_its_layer():
    with pytest.raises(AssetError, match=r"design\.toml: layers\[1\]\.artwork.*is missing"):
        cup([BASE, SHEET])
    with pytest.raises(AssetError, match=r"design\.toml: layers\[1\]\.svg.*is missing"):
        cup([BASE, disc(svg="assets/none.svg")])


def test_progress_runs_from_nothing_to_all():
    told = []
    cup([BASE, SCATTER, THIN_COAT], progress=lambda share, what: told.append((share, what)))

    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, 1.0)
    assert all(what for _, what in told)


def test_the_same_design_gives_the_same_bytes():
    layers = [BASE, SHEET | {"sheet": "fabric", "sealed": False}, SCATTER, disc(), THIN_COAT]
    first, second = cup(layers, art=GREY), cup(layers, art=GREY)

    for name in ("art_rgba8_srgb", "relief", "edge_distance", "flake_coverage"):
        np.testing.assert_array_equal(getattr(first, name), getattr(second, name))


def test_the_demo_compiles_to_maps_of_the_right_shapes():
    design = read_design(shipped("textures") / "regatta" / "design.toml")
    blank = build_blank(design.document.blank, where="blank")
    skin = compile_skin(design, blank, texel_mm=0.25)
    rows, columns = skin.grid.shape

    assert skin.art_rgba8_srgb.shape == (rows, columns, 4)
    assert skin.edge_distance.shape == (rows, columns, len(skin.sheets))
    assert skin.flake_coverage.shape == (
        rows // FIELD_STEP,
        columns // FIELD_STEP,
        len(skin.flakes),
    )
    for name in ("art_rgba8_srgb", "edge_distance", "flake_coverage"):
        assert getattr(skin, name).dtype == np.uint8
    assert len(skin.flakes) == 3
    assert set(roles(skin)) == {"backing", "lettering"}
