import pytest

from mockup.colorimetry.oklab import oklab_from_rgb8
from mockup.colorimetry.srgb import rgb8_from_hex
from mockup.design.palette import MetalSwatch, Palette, PigmentSwatch
from mockup.design.read import find_palettes
from mockup.errors import DesignError
from mockup.files import shipped
from mockup.material.chip import chip_hex
from mockup.material.dress import colour_list, dressed

SHIPPED = find_palettes(shipped("palettes"))
SEVEN = ("#e8e2d0", "#10243c", "#cf7a55", "#2f7286", "#8cc5b3", "#dcae62", "#5a1f2a")


def _lightness(srgb):
    return oklab_from_rgb8(rgb8_from_hex(srgb))[0]


def _placed(palette):
    return {
        role: swatch.tint_srgb if isinstance(swatch, MetalSwatch) else swatch.srgb
        for role, swatch in palette.roles.items()
        if role != "lettering"
    }


def test_colours_take_their_places_from_dark_to_light():
    """Six places of deep-water take colours, the copper stays; none of the six is lost."""
    palette = SHIPPED["deep-water"]
    found = dressed(palette, SEVEN, "like the photo")

    assert found.roles["lettering"] == palette.roles["lettering"]
    assert sorted(_placed(found).values()) == sorted(SEVEN[:6])
    before = {role: _lightness(chip_hex(palette.roles[role])) for role in _placed(found)}
    after = {role: _lightness(srgb) for role, srgb in _placed(found).items()}
    assert sorted(before, key=before.get) == sorted(after, key=after.get)


@pytest.mark.parametrize("count", [1, 2, 5])
def test_fewer_colours_than_places_are_spread_over_them(count):
    """All places differ, and lie between the darkest and the lightest of two or more colours."""
    colours = SEVEN[:count]
    placed = _placed(dressed(SHIPPED["deep-water"], colours, "few"))

    assert len(set(placed.values())) == 6
    if count > 1:
        ends = sorted(_lightness(srgb) for srgb in colours)
        spread = [_lightness(srgb) for srgb in placed.values()]
        assert (min(spread), max(spread)) == pytest.approx((ends[0], ends[-1]), abs=0.005)


@pytest.mark.parametrize("name", sorted(SHIPPED))
def test_every_palette_keeps_its_roles_and_kinds_of_metal(name):
    found = dressed(SHIPPED[name], SEVEN, "again")

    assert list(found.roles) == list(SHIPPED[name].roles)
    for role, swatch in SHIPPED[name].roles.items():
        assert found.roles[role].metallic == swatch.metallic


def test_nothing_to_dress_or_to_dress_with_is_told():
    gold = Palette(name="gold", roles={"foil": MetalSwatch(metal="gold")})

    with pytest.raises(DesignError, match="no colour of the picture has a place"):
        dressed(gold, SEVEN, "x")
    with pytest.raises(DesignError, match="no colour of the picture has a place"):
        dressed(SHIPPED["deep-water"], (), "x")


def test_a_list_calls_each_colour_by_a_name_of_its_own():
    palette = colour_list(("#0d2348", "#102850", "#ffffff"), "three")

    assert list(palette.roles) == ["very dark blue", "very dark blue 2", "white"]
    assert palette.roles["white"] == PigmentSwatch(label="white", srgb="#ffffff")
