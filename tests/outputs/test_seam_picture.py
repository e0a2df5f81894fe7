"""The seam's figure: nothing where the pattern runs on, the colours' difference where it breaks."""

import io

import numpy as np
import pytest
from PIL import Image

from mockup.blank.wall import build_blank
from mockup.colorimetry.difference import (
    delta_e_2000,
    lab_from_linear_srgb,
    lab_from_rgb8,
)
from mockup.colorimetry.srgb import linear_from_srgb
from mockup.design.blanks import StraightBlank, TaperedBlank
from mockup.design.document import Asset, Design, Document
from mockup.design.layers import BaseLayer, WrapLayer
from mockup.design.palette import Palette, PigmentSwatch
from mockup.outputs.seam_picture import BESIDE_MM, seam_break
from mockup.skin.compile import compile_skin

WHITE = (255, 255, 255)
STRAIGHT = StraightBlank(diameter_mm=73, wall_height_mm=100)
TAPERED = TaperedBlank(foot_diameter_mm=66, rim_diameter_mm=86, wall_height_mm=100)


def wrapped(picture, blank=STRAIGHT, **more):
    """A cup wrapped once round with `picture`, (rows, columns, 3) uint8, and its seam."""
    file = io.BytesIO()
    Image.fromarray(picture).save(file, "PNG")
    layer = WrapLayer(artwork="assets/wrap.png", overlap_mm=0, **more)
    palette = Palette(name="p", roles={"base": PigmentSwatch(kind="pigment", srgb="#ffffff")})
    document = Document(
        format=1, title="seam", blank=blank, palette="p", layers=(BaseLayer(swatch="base"), layer)
    )
    asset = Asset("assets/wrap.png", file.getvalue())
    design = Design(document, {"p": palette}, {asset.name: asset})
    made = build_blank(blank, where="blank")
    skin = compile_skin(design, made, texel_mm=0.2)
    return seam_break(skin, made.wall, layer, WHITE)


def picture(colour_at):
    """400 × 100 px by a function from the share of the way round to a colour."""
    row = np.array([colour_at((i + 0.5) / 400) for i in range(400)], np.uint8)
    return np.broadcast_to(row, (100, 400, 3)).copy()


def test_a_pattern_that_closes_breaks_by_its_own_slope_alone():
    """A grey wave of whole periods: across the seam it changes as the sine itself does there."""

    def grey(u):
        return (128 + 60 * np.sin(2 * np.pi * 3 * u),) * 3

    aside = BESIDE_MM / (np.pi * 73)
    low, high = (lab_from_linear_srgb(linear_from_srgb(np.array(grey(u)) / 255))
                 for u in (-aside, aside))  # fmt: skip

    found = wrapped(picture(grey))

    assert found.delta_e == pytest.approx(float(delta_e_2000(low, high)), abs=0.1)
    assert found.delta_e < 2 * found.elsewhere


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED])
def test_two_halves_differ_at_the_seam_by_their_own_difference(blank):
    """Blue meets orange at the back: the figure is ΔE00 of the two, by the formula itself."""
    blue, orange = (20, 40, 160), (230, 140, 30)
    told = delta_e_2000(
        lab_from_rgb8(np.array(blue, np.uint8)), lab_from_rgb8(np.array(orange, np.uint8))
    )

    found = wrapped(picture(lambda u: blue if u < 0.5 else orange), blank)

    assert found.delta_e == pytest.approx(float(told), rel=0.02)
    assert found.elsewhere < found.delta_e / 20  # the front's one border lies among 71 places


def test_the_seam_is_measured_where_it_is_laid():
    """Turned by a quarter, the same sheet breaks at that quarter and no more at the back."""
    blue, orange = (20, 40, 160), (230, 140, 30)
    halves = picture(lambda u: blue if u < 0.5 else orange)

    at_back, at_right = (wrapped(halves, seam_deg=deg) for deg in (180.0, 90.0))

    assert at_right.delta_e == pytest.approx(at_back.delta_e, rel=0.02)


def test_the_picture_shows_left_and_right_of_the_seam():
    blue, orange = (20, 40, 160), (230, 140, 30)

    found = wrapped(picture(lambda u: blue if u < 0.5 else orange))

    rows, columns, _ = found.rgb8_srgb.shape
    row = found.rgb8_srgb[rows // 2]
    left, right = row[columns // 4], row[-columns // 4]
    np.testing.assert_allclose(left, orange, atol=2)  # what ends there lies to the seam's left
    np.testing.assert_allclose(right, blue, atol=2)
    assert found.pixel_mm * rows == pytest.approx(np.pi * 73 / 4, abs=0.5)  # 4 to 1, once round
    assert found.pixel_mm * columns == pytest.approx(48, abs=1)


def test_a_band_is_judged_on_its_own_rows():
    """The sheet covers the lower half; bare base coat above does not water the figure down."""
    blue, orange = (20, 40, 160), (230, 140, 30)
    halves = picture(lambda u: blue if u < 0.5 else orange)

    whole, half = wrapped(halves), wrapped(halves, to_mm=50.0)

    assert half.delta_e == pytest.approx(whole.delta_e, rel=0.02)
    assert BESIDE_MM < 1
