"""The pictures of a proof show what they say: true sizes in the elevation, lettering close up."""

import math
from dataclasses import replace

import numpy as np
import pytest

from mockup import pipeline
from mockup.design.read import read_design
from mockup.files import shipped
from mockup.pipeline.proof_views import close_up_of, elevation_of
from mockup.render.process import RenderProcess


@pytest.fixture(scope="module")
def regatta():
    return read_design(shipped("textures", "regatta"))


@pytest.fixture(scope="module")
def cup(regatta):
    return pipeline.build_cup(regatta)


def without(design, *kinds):
    """The same cup without layers of these kinds."""
    kept = tuple(layer for layer in design.document.layers if layer.kind not in kinds)
    return replace(design, document=design.document.model_copy(update={"layers": kept}))


def test_the_elevation_can_be_measured(cup):
    """The cup fills its height, and is as wide as it is: 73.0 and 199.0 mm, within a pixel."""
    with RenderProcess() as renderer:
        seen = elevation_of(cup, renderer, "softbox")
    mm_per_px = seen.height_mm / seen.rgb8_srgb.shape[0]
    shown = (seen.rgb8_srgb != 255).any(-1)

    assert seen.height_mm == pytest.approx(199.0, abs=0.01)
    assert seen.widest_mm == pytest.approx(73.0, abs=0.01)
    assert seen.rgb8_srgb.shape[1] * mm_per_px == pytest.approx(seen.width_mm)
    widths_mm = shown[100:-100].sum(1) * mm_per_px
    assert np.median(widths_mm) == pytest.approx(73.0, abs=2 * mm_per_px)
    assert shown[[1, -2]].any(1).all()  # from the rim to the table
    columns = np.flatnonzero(shown.any(0))
    assert columns[0] + columns[-1] == pytest.approx(shown.shape[1] - 1, abs=1.5)  # in the middle


def test_the_close_up_holds_the_crew_s_name_and_the_boat(cup):
    """SEAGLASS stands at 103 mm, letters of 18 mm; EIGHT at 85 mm, of 5.6; both in front."""
    aim = close_up_of(cup)

    assert aim.label == "The lettering, close up"
    assert aim.turn_rad == pytest.approx(0, abs=0.03)
    assert aim.height_mm - aim.field_mm / 2 < 85 - 5.6 / 2
    assert aim.height_mm + aim.field_mm / 2 > 103 + 18 / 2


def only(design, name):
    """The same cup with one of its decals."""
    kept = tuple(
        layer for layer in design.document.layers if layer.kind != "decal" or layer.name == name
    )
    return replace(design, document=design.document.model_copy(update={"layers": kept}))


def test_without_lettering_a_drawing_is_shown(regatta):
    """The wave border at 68 mm; 190 mm long, it is not shown round the corner."""
    aim = close_up_of(pipeline.build_cup(only(regatta, "wave border"), texel_mm=1.0))

    assert aim.label == "Close up"
    assert aim.height_mm == pytest.approx(68, abs=6)
    assert aim.field_mm < 100


def test_a_bare_wall_is_shown_at_the_front(regatta):
    aim = close_up_of(pipeline.build_cup(without(regatta, "decal"), texel_mm=1.0))

    assert (aim.label, aim.turn_rad) == ("Close up", 0.0)
    assert 0 < aim.height_mm < 185


def test_lettering_across_the_seam_is_looked_at_where_it_is(regatta):
    """The seat's number stands at the back, where turns jump from 180 to −180."""
    aim = close_up_of(pipeline.build_cup(only(regatta, "seat number"), texel_mm=1.0))

    assert abs(math.remainder(aim.turn_rad - math.pi, 2 * math.pi)) < 0.05
