"""Contrast of a decal with what lies behind it, worked out again from the compiled maps."""

import numpy as np
import pytest
import shapely

from mockup.blank.flat import sheet_from_wall
from mockup.checks.contrast import ContrastKey, contrast_of, limit_of
from mockup.checks.decal_shape import decal_shapes
from mockup.checks.stations import REACH_MM, stations_along
from mockup.colorimetry.contrast import FLARE, relative_luminance
from mockup.material.chip import MIRRORED
from mockup.material.coat import coated_body_reflectance
from mockup.material.fresnel import fresnel_dielectric
from mockup.material.optics import fresnel_at
from mockup.pipeline.cup import build_cup
from mockup.shading.even_light import even_colours
from mockup.skin.skin import FIELD_STEP
from tests.checks.cups import (
    BASE,
    COAT,
    DEEP,
    GOLD,
    INK,
    NAVY,
    PALE_GOLD,
    SILVER,
    design,
    fade,
    glitter,
    scatter,
    word,
)
from tests.skin.cups import TAPERED

DAY = ContrastKey("D65", "normal")


def contrasts(made, **asked):
    """(cup, contrast of every decal)."""
    cup = build_cup(made)
    skin, wall = cup.model.skin, cup.blank.wall
    return cup, [
        contrast_of(shape, stations_along(shape, skin, wall), skin, cup.table, **asked)
        for shape in decal_shapes(made, skin)
    ]


def brute_force(cup, decal, station):
    """Contrast ratio at a station, texel by texel: every texel within reach, one after the other.

    Which of them are the decal is told by the outline, the rest by the stack's order. Colours are
    those of paint and flakes under resin; foil and flakes' shade are held in `test_even_light`.
    """
    skin, wall = cup.model.skin, cup.blank.wall
    optics = cup.optics()
    face = float(fresnel_dielectric(1.0, 1.5))

    def metal(reflectance):
        return MIRRORED * (1 - face) ** 2 * reflectance / (1 - face * reflectance)

    turn0, height0 = decal.stations.turn_rad[station], decal.stations.height_mm[station]
    even = even_colours(skin, cup.table())
    sides = {True: [], False: []}
    rows = np.flatnonzero(np.abs(skin.grid.heights_mm() - height0) <= REACH_MM)
    beside = (skin.grid.turns_rad() - turn0 + np.pi) % (2 * np.pi) - np.pi
    columns = np.flatnonzero(np.abs(beside) * skin.grid.radius_max_mm <= 1.5 * REACH_MM)
    for row in rows:
        for column in columns:
            height, turn = skin.grid.heights_mm()[row], skin.grid.turns_rad()[column]
            x, y = sheet_from_wall(wall, turn0, height0, turn, height)
            if np.hypot(x, y) > REACH_MM:
                continue
            spot = decal.shape.spot
            radius = wall.radius_at(spot.height_mm)
            at = shapely.Point((turn - spot.turn_rad) * radius, height - spot.height_mm)
            inside = decal.shape.outline.contains(at)
            if decal.shape.outline.boundary.distance(at) < skin.grid.row_mm / 2:
                continue
            if inside:
                sides[True].append(even.sheets[0])
                continue
            stored = skin.flake_coverage[row // FIELD_STEP, column // FIELD_STEP]
            colour = coated_body_reflectance(optics["base"].reflectance, 1.0, 1.5)
            cover = stored / 255
            shaded = even.paint(np.zeros(3), np.zeros(()), cover) / even.paint(
                np.zeros(3), np.zeros(())
            )
            colour = colour * shaded
            for i in np.argsort([flakes.order for flakes in skin.flakes]):
                role = skin.flakes[i].mix[0][0]
                flake = metal(fresnel_at(optics[role].fresnel_coated, 0.97))
                colour = cover[i] * flake + (1 - cover[i]) * colour
            sides[False].append(colour)
    lights = [relative_luminance(np.mean(sides[side], axis=0)) + FLARE for side in (True, False)]
    return max(lights) / min(lights)


@pytest.mark.parametrize("blank", [None, TAPERED], ids=["straight", "tapered"])
def test_contrast_over_a_fade_equals_a_count_of_every_texel(blank):
    """Within 2 %: points 0.13 mm apart against all texels of 0.1 mm."""
    layers = [
        BASE,
        glitter(fade(24, 38, 0.9, 0.0)),
        glitter(fade(10, 50, 0.0, 0.3), mix=[{"swatch": "other"}], seed=2),
        word("I", letter_height_mm=16),
        COAT,
    ]
    made = design(
        layers, base=NAVY, flake=PALE_GOLD, other=DEEP, foil=SILVER,
        **({"blank": blank} if blank else {}),
    )  # fmt: skip
    cup, (decal,) = contrasts(made, illuminants=("D65",), visions=("normal",))
    stations = range(0, len(decal.stations.part), 3)

    expected = [brute_force(cup, decal, station) for station in stations]

    assert max(expected) > 2 * min(expected)
    np.testing.assert_allclose(decal.ratio[DAY][::3], expected, rtol=0.02)


def test_a_fade_is_judged_along_it_and_not_by_the_swatch_beside_it():
    """Silver on pale gold glitter that fades to navy: low at the dense end, high at the bare one.

    The figure of swatch against swatch would be one for all.
    """
    made = design(
        [BASE, glitter(fade(20, 40, 0.95, 0.0)), word("I", letter_height_mm=24), COAT],
        base=NAVY, flake=PALE_GOLD, foil=SILVER,
    )  # fmt: skip
    cup, (decal,) = contrasts(made)
    even = even_colours(cup.model.skin, cup.table())
    foil, flake = (relative_luminance(c[0]) + FLARE for c in (even.sheets, even.flakes))
    swatches = max(foil, flake) / min(foil, flake)
    height = decal.stations.height_mm

    ratio = decal.ratio[DAY]

    upward = np.argsort(height)
    assert ratio[upward[:5]].max() < 1.5
    assert ratio[upward[-5:]].min() > 6
    assert ratio.max() > 4 * swatches
    assert decal.worst().height_mm < 20
    assert 0.3 < decal.share_below(DAY) < 0.8


def test_what_lies_on_the_decal_itself_counts():
    """Glitter strewn over the word hides it."""
    layers = [BASE, word(), glitter(scatter(0.6), mix=[{"swatch": "base"}]), COAT]
    _, (bare,) = contrasts(design([BASE, word(), COAT], base=NAVY, foil=GOLD))
    _, (strewn,) = contrasts(design(layers, base=NAVY, foil=GOLD))

    assert bare.covered == pytest.approx(0.0, abs=0.01)
    assert strewn.covered == pytest.approx(0.6, abs=0.01)
    assert np.median(strewn.ratio[DAY]) < 0.5 * np.median(bare.ratio[DAY])


def test_a_backing_counts_by_how_far_it_reaches():
    """Of the half disc beside a straight edge, a strip of width b is (b √(1 − b²) + asin b) 2/π.

    b in parts of the reach; half a texel at the edge, which belongs to neither side, is taken off.
    """

    def strip(b):
        return 2 / np.pi * (b * np.sqrt(1 - b * b) + np.arcsin(b))

    backed = {"swatch": "ink", "outset_mm": 0.5}
    layers = [BASE, glitter(scatter(0.9)), word("I", backing=[backed]), COAT]
    cup, (decal,) = contrasts(design(layers, base=NAVY, flake=PALE_GOLD, foil=GOLD, ink=INK))
    edge = strip(cup.model.skin.grid.row_mm / 2 / REACH_MM)
    expected = (strip(0.5 / REACH_MM) - edge) / (1 - edge)
    side = np.argsort(np.abs(decal.stations.height_mm - 30))[:2]
    ink = 1 + [sheet.role for sheet in cup.model.skin.sheets].index("ink")

    np.testing.assert_allclose(decal.stations.around.layers[side, ink], expected, atol=0.02)


def test_a_piece_of_the_same_foil_is_no_background():
    """Two bars that nearly touch: each is judged by the wall, not by the other."""
    beside = word("II", letter_spacing_mm=0.0)
    lone, pair = word("I"), beside
    _, (one,) = contrasts(design([BASE, lone, COAT], base=NAVY, foil=GOLD))
    _, both = contrasts(
        design([BASE, pair, word("I", name="third", place={"height_mm": 41.0}), COAT],
               base=NAVY, foil=GOLD)
    )  # fmt: skip

    for decal in both:
        np.testing.assert_allclose(np.nanmin(decal.ratio[DAY]), one.ratio[DAY].min(), rtol=0.02)


def test_artwork_is_seen_behind_a_decal():
    """Over the dark half of a print the word stands out, over the pale half it does not."""
    wrap = {"kind": "wrap", "artwork": "assets/halves.png", "fit": "round"}
    halves = np.full((40, 40, 3), 20, np.uint8)
    halves[:, 20:] = 220  # the right half of the print: right of the front
    from tests.skin.cups import png

    made = design([BASE, wrap, word("OAR", letter_height_mm=10), COAT], base=NAVY, foil=SILVER)
    made.assets["assets/halves.png"] = type(made.assets["assets/f.svg"])(
        "assets/halves.png", png(halves)
    )
    _, (decal,) = contrasts(made)
    turn, ratio = decal.stations.turn_rad, decal.ratio[DAY]

    assert ratio[turn < -0.1].min() > 6
    assert ratio[turn > 0.1].max() < 2.5


@pytest.mark.parametrize(
    ("layer", "limit"),
    [
        (word(letter_height_mm=7.0, font="Source Sans Pro"), 3.0),
        (word(letter_height_mm=5.5, font="Source Sans Pro"), 4.5),
        (word(letter_height_mm=5.5, font="Source Sans Pro Bold"), 3.0),
        (word(letter_height_mm=4.5, font="Source Sans Pro Bold"), 4.5),
        (word(None, svg="assets/disc.svg", letter_height_mm=None, width_mm=3.0), 3.0),
    ],
)
def test_the_limit_is_that_of_wcag_for_the_size(layer, limit):
    """18 point, or 14 point bold, seen at 28 inches are capitals of 6.25 and 4.86 mm at 1 m."""
    made = design([BASE, layer, COAT], base=NAVY, foil=GOLD)

    (shape,) = decal_shapes(made, build_cup(made).model.skin)

    assert limit_of(shape) == limit


def test_weak_colour_vision_counts():
    """Red on black is what WCAG warns of: it darkens for protans alone."""
    from mockup.design.palette import PigmentSwatch

    red = PigmentSwatch(srgb="#e01010", label="red vinyl")
    _, (decal,) = contrasts(design([BASE, word(), COAT], base=INK, foil=red))
    worst = decal.worst()

    assert worst.key.vision == "protan"
    assert worst.ratio < 0.75 * decal.worst(("normal",)).ratio
