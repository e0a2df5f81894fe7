"""The cut through the wall tells the stack as it is."""

import pytest

from mockup.design.edit import with_layer
from mockup.design.layers import layer_title
from mockup.outputs.wall_section import (
    FLAKE_MM,
    FOIL_MM,
    STEEL_MM,
    VINYL_MM,
    wall_section,
)
from mockup.pipeline import demo_design
from mockup.skin.relief import SHEET_MM


@pytest.fixture(scope="module")
def demo():
    return demo_design()


def test_bands_run_from_the_steel_outward(demo):
    bands = wall_section(demo)

    assert [band.index for band in bands] == [None, *range(len(demo.document.layers))]
    assert [band.kind for band in bands[1:]] == [layer.kind for layer in demo.document.layers]
    assert bands[0].thickness_mm == STEEL_MM


def test_a_coat_is_as_thick_as_the_document_says_all_else_is_typical(demo):
    bands = wall_section(demo)

    for band in bands[1:]:
        layer = demo.document.layers[band.index]
        assert band.typical == (layer.kind != "coat")
        if layer.kind == "coat":
            assert band.thickness_mm == layer.thickness_mm
        if layer.kind == "wrap":
            assert band.thickness_mm == SHEET_MM[layer.sheet]
        if layer.kind == "glitter":
            assert (band.thickness_mm, band.flake_mm) == (FLAKE_MM, layer.flake_width_mm)


def test_foil_over_vinyl_is_as_thick_as_both(demo):
    crew = next(i for i, layer in enumerate(demo.document.layers) if layer.name == "crew name")

    band = wall_section(demo)[crew + 1]

    assert band.thickness_mm == pytest.approx(FOIL_MM + VINYL_MM)
    assert len(band.colours) == 2


def test_shares_of_colours_sum_to_one(demo):
    for band in wall_section(demo):
        assert sum(share for _, share in band.colours) == pytest.approx(1)


def test_coverage_is_the_union_where_it_is_densest(demo):
    """1 − (1 − .93)(1 − .5): two shapes of one glitter hide independently."""
    glitter = next(i for i, layer in enumerate(demo.document.layers) if layer.kind == "glitter")
    shapes = demo.document.layers[glitter].coverage
    scatter = {"shape": "scatter", "coverage": 0.5}

    two = with_layer(demo, glitter, coverage=(*shapes, scatter))

    assert wall_section(demo)[glitter + 1].covers == pytest.approx(0.93)
    assert wall_section(two)[glitter + 1].covers == pytest.approx(1 - 0.07 * 0.5)


@pytest.mark.parametrize(
    ("name", "called"),
    [("crew name", "“SEAGLASS”"), ("final coats", "Clear coat"), ("pennant bunting", "Wrap")],
)
def test_a_layer_without_a_name_is_called_by_what_it_is(demo, name, called):
    index = next(i for i, layer in enumerate(demo.document.layers) if layer.name == name)

    assert layer_title(demo.document.layers[index]) == name
    assert layer_title(with_layer(demo, index, name="").document.layers[index]) == called


def test_another_cut_shows(demo):
    glitter = next(i for i, layer in enumerate(demo.document.layers) if layer.kind == "glitter")

    band = wall_section(with_layer(demo, glitter, cut_mm=1.6))[glitter + 1]

    assert (band.note, band.flake_mm) == ("1.6 mm cut", 1.6)
