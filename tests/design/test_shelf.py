"""The maker's shelf is read strictly, and the typical one says what it is worth."""

import tomllib

import pytest

from mockup.design.products import Drying
from mockup.design.shelf import (
    Epoxy,
    Foil,
    Glitter,
    Shelf,
    read_shelf,
    shelf_path,
    typical_shelf_text,
)
from mockup.errors import DesignError


@pytest.fixture
def typical(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return read_shelf()


def _changed(tmp_path, old, new):
    text = typical_shelf_text()
    assert old in text
    path = tmp_path / "shelf.toml"
    path.write_text(text.replace(old, new, 1))
    return path


def test_every_typical_figure_says_that_it_is_typical(typical):
    parts = [*typical.products, typical.rates, typical.workshop, typical.handling]

    assert all(part.source.startswith("typical; from your") for part in parts)


def test_the_typical_shelf_has_every_kind_of_product(typical):
    kinds = {product["kind"] for product in tomllib.loads(typical_shelf_text())["products"]}

    assert {product.kind for product in typical.products} == kinds
    assert len(kinds) == 12


def test_the_makers_own_shelf_is_taken_where_there_is_one(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    shelf_path().parent.mkdir(parents=True)
    shelf_path().write_text(typical_shelf_text().replace("typical shelf", "boathouse shelf"))

    assert read_shelf().name == "boathouse shelf"


def test_a_named_shelf_stands_above_the_own_one(tmp_path):
    assert read_shelf(_changed(tmp_path, '"typical shelf"', '"loft"')).name == "loft"


def test_half_again_as_long_for_each_step_colder():
    """Slower by about half for each 5 to 8 °C colder: 1.5 times at 6.5 °C below, 2.25 at 13."""
    drying = Drying(touch_dry_h=1, recoat_from_h=4, cure_h=72, least_c=0)

    assert [drying.factor(c) for c in (22.0, 15.5, 9.0, 28.5)] == pytest.approx(
        [1, 1.5, 2.25, 1 / 1.5]
    )


def test_a_product_for_a_role_goes_before_one_for_any():
    generic = {"kind": "foil", "pack_price_minor": 900, "sheet_width_mm": 305.0}
    generic |= {"sheet_height_mm": 305.0}
    raw = tomllib.loads(typical_shelf_text()) | {
        "products": [
            generic | {"name": "any"},
            generic | {"name": "copper", "suits": ["Copper foil"]},
        ]
    }
    shelf = Shelf.model_validate(raw)

    assert shelf.product(Foil, "lettering", "copper foil").name == "copper"
    assert shelf.product(Foil, "lettering", "silver foil").name == "any"
    with pytest.raises(DesignError, match="no epoxy"):
        shelf.product(Epoxy)


def test_a_glitters_film_is_typical_where_none_is_given():
    jar = Glitter(name="jar", pack_price_minor=1, pack_g=1.0)

    assert (jar.film_thickness_mm, jar.density_g_per_cm3) == (0.04, 1.38)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("format = 1", "", "Write format = 1"),
        ("format = 1", 'format = "1"', "Write format = 1"),
        ("coat_mm = 0.5", "coat_um = 500", "Use coat_mm"),
        ("ratio_a = 1.0", 'ratio_a = "one"', "not a number"),
        ("ratio_a = 1.0", "ratio_a = 0", "too small"),
        ('kind = "epoxy"', 'kind = "epxy"', "Use 'epoxy'"),
        ("recoat_until_h = 12", "recoat_until_h = 3", "recoat_until_h is not after"),
        ("cure_h = 120", "cure_h = 1", "cure_h is before"),
        ('name = "mixing cups"', 'name = "Stirring Sticks"', "Rename one of them"),
        ('currency = "EUR"', 'currency = "euro"', "three capital letters"),
        ("hourly_rate_minor = 2000", "hourly_rate_minor = 20.5", "not a whole number"),
        ("fees_share = 0.03\nmargin_share = 0.2", "fees_share = 0.4\nmargin_share = 0.6", "noth"),
        ("quantities = [1, 2, 4, 8]", "quantities = [4, 2]", "do not rise"),
        ("closes_h = 17.0", "closes_h = 8.0", "closes_h is not after"),
        ("room_c = 22.0", "room_c = 95", "95 °C is too large"),
        ("smallest_batch_ml = 20", "smallest_batch_ml = 300", "smallest_batch_ml is above"),
    ],
)  # fmt: skip
def test_a_fault_of_the_shelf_is_told_in_one_sentence(tmp_path, old, new, told):
    with pytest.raises(DesignError, match=told) as caught:
        read_shelf(_changed(tmp_path, old, new))

    assert "shelf.toml" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_shelf_that_is_not_there_is_told(tmp_path):
    with pytest.raises(DesignError, match="cannot be read"):
        read_shelf(tmp_path / "none.toml")
    with pytest.raises(DesignError, match="cannot be read"):
        read_shelf(tmp_path)
