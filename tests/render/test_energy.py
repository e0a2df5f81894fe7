"""White furnace and the laws of coated paint and metal, through the real renderer.

Under a light of radiance 1 from everywhere a surface shows its reflectance, and none may show more
than 1. A drawn value is true to half a step of the frame's mantissa, 1/2 · 1/255 · 2^(1/8) = .21 %.
"""

from dataclasses import replace

import numpy as np
import pytest

from mockup.blank.wall import Wall
from mockup.material.coat import coated_mirror_reflectance, coated_reflectance
from mockup.material.fresnel import fresnel_dielectric
from mockup.skin.skin import Clear
from tests.render.cups import (
    BANDS,
    BETWEEN,
    DEPTH_MM,
    RADIUS_MM,
    band_cup,
    metal,
    pigment,
    request,
    rows_at,
)

IOR = 1.5
STEP = 0.5 / 255 * 2 ** (1 / 8)
TAPERED = Wall("cone", (0.0, 100.0), (28.0, 40.0))
EVERYWHERE = BANDS | BETWEEN


@pytest.fixture(scope="module")
def cup():
    return band_cup("bands")


def _middle(bands, asked, seen, band):
    """Mean radiance over the middle columns of a band: (3,)."""
    patch = seen[rows_at(bands, asked, *EVERYWHERE[band]), 73:77]
    assert patch[..., 3].min() == 1
    return patch[..., :3].mean((0, 1))


@pytest.mark.parametrize("wall", [None, TAPERED], ids=["straight", "tapered"])
@pytest.mark.parametrize("depth_mm", [DEPTH_MM, 0.0], ids=["under resin", "bare"])
@pytest.mark.parametrize("elevation_deg", [0.0, 40.0])
def test_no_material_gives_back_more_than_it_gets(radiance, wall, depth_mm, elevation_deg):
    """White paint, film, vinyl-smooth foil, flakes and steel that swallow nothing."""
    bands = band_cup(f"furnace {depth_mm} {wall}", depth_mm=depth_mm, wall=wall)
    for alpha in (0.02, 0.1, 0.3):
        table = bands.table(of_steel=metal(1.0, 0.2), foil=metal(1.0, alpha))
        seen = radiance(bands, request(bands, table, samples=4, elevation_deg=elevation_deg))

        whole = seen[..., 3] == 1
        assert whole.sum() > 3000
        assert seen[whole][:, :3].max() <= 1 + 2 * STEP


@pytest.mark.parametrize("finish", ["satin", "flat"])
def test_under_a_rough_face_nothing_gives_back_more_than_it_gets(radiance, finish):
    """The same white cup under a satin or flat coat."""
    glossy = band_cup(f"furnace {finish}")
    skin = replace(glossy.model.skin, clear=Clear(DEPTH_MM, finish))
    bands = replace(glossy, model=replace(glossy.model, skin=skin))
    table = bands.table(of_steel=metal(1.0, 0.2), foil=metal(1.0, 0.06))
    seen = radiance(bands, request(bands, table, samples=4))

    whole = seen[..., 3] == 1
    assert whole.sum() > 3000
    assert seen[whole][:, :3].max() <= 1 + 2 * STEP


def test_white_paint_and_flakes_give_back_all_that_they_get(cup, radiance):
    """Not less either: what the face holds back comes out in the end."""
    asked = request(cup, cup.table(), samples=4)
    seen = radiance(cup, asked)

    for band in ("wrap", "base", "base above"):
        np.testing.assert_allclose(_middle(cup, asked, seen, band), 1, atol=STEP)
    np.testing.assert_allclose(_middle(cup, asked, seen, "glitter"), 1, atol=0.01)
    np.testing.assert_allclose(_middle(cup, asked, seen, "foil"), 1, atol=0.02)


@pytest.mark.parametrize("rho", [0.2, 0.5, 0.8])
def test_coated_paint_is_saundersons(cup, radiance, rho):
    """At the middle and out to slanting views, gloss and the wall's curvature included."""
    asked = request(cup, cup.table(paint=pigment(rho)))
    seen = radiance(cup, asked)
    line = seen[rows_at(cup, asked, *EVERYWHERE["base"])].mean(0)
    camera, half = asked.camera, np.tan(np.radians(asked.camera.fov_deg) / 2)
    distance = -camera.position_mm[1]
    angle = np.arctan(((np.arange(150) + 0.5) / 150 * 2 - 1) * 150 / 200 * half)
    slant = np.abs(np.sin(angle)) * distance / RADIUS_MM  # sine at the wall, by the law of sines
    on_wall = slant < 0.95
    assert on_wall.sum() > 40

    mu = np.sqrt(1 - slant[on_wall] ** 2)
    expected = coated_reflectance(rho, mu, IOR, DEPTH_MM / (RADIUS_MM - DEPTH_MM))

    # the pixel's middle row lies up to 4° above or below the level: .3 % of F at the slant's end
    np.testing.assert_allclose(line[on_wall, 1], expected, rtol=0.01)


@pytest.mark.parametrize("reflectance", [0.3, 0.6, 0.95])
def test_nearly_smooth_foil_under_resin_is_a_pile_of_plates(cup, radiance, reflectance):
    """Face, metal and everything thrown back between them, all passes summed (Stokes 1862)."""
    asked = request(cup, cup.table(foil=metal(reflectance, 0.02)), samples=4)
    seen = radiance(cup, asked)
    face = coated_mirror_reflectance(1.0, IOR, reflectance)

    np.testing.assert_allclose(_middle(cup, asked, seen, "foil"), face, rtol=0.012)


def test_twice_the_light_is_twice_the_radiance(cup, radiance):
    table = cup.table(paint=pigment(0.3), foil=metal(0.7), flake=metal(0.5))
    once = radiance(cup, request(cup, table))
    twice = radiance(cup, request(cup, table, light="twofold"))

    assert once[..., :3].max() > 0.3
    np.testing.assert_allclose(twice[..., :3], 2 * once[..., :3], rtol=0.0025)


@pytest.mark.parametrize("band", EVERYWHERE)
def test_black_under_resin_shows_the_face_alone(radiance, band):
    """Paint, print, foil and flakes that swallow everything leave Fresnel's 4 % at n = 1.5."""
    bands = band_cup("black", art_code=0)
    black = bands.table(paint=pigment(0.0), foil=metal(0.0), flake=metal(0.0))
    asked = request(bands, black)
    seen = radiance(bands, asked)

    expected = fresnel_dielectric(1.0, IOR)
    assert expected == pytest.approx(0.04)
    np.testing.assert_allclose(_middle(bands, asked, seen, band), expected, rtol=0.01)


def test_black_flakes_leave_no_more_than_the_gaps_let_through(radiance):
    """Paint between flakes that hide .6 of it sends out at most .4, less what they shade."""
    bands = band_cup("black flakes", cut_mm=0.4)
    asked = request(bands, bands.table(flake=metal(0.0)), samples=16)
    seen = radiance(bands, asked)
    patch = seen[rows_at(bands, asked, 77.0, 88.0), 60:90, :3]
    face = fresnel_dielectric(1.0, IOR)

    assert 0.0 < (patch.mean() - face) / (1 - face) < 0.4


def test_a_picture_under_even_light_has_no_left_and_right(cup, radiance):
    """The cup is a solid of revolution; foil and flakes, which are strewn, are left out."""
    asked = request(cup, cup.table(paint=pigment(0.4)))
    seen = radiance(cup, asked)
    for band in ("wrap", "base", "base above"):
        line = seen[rows_at(cup, asked, *EVERYWHERE[band])]
        inside = (line[..., 3] * line[:, ::-1, 3]) == 1
        np.testing.assert_allclose(line[inside], line[:, ::-1][inside], rtol=2 * STEP)


def test_a_table_changes_the_picture_and_no_map(cup, radiance):
    """Another palette is another table under the same key."""
    one = radiance(cup, request(cup, cup.table(paint=pigment(0.2))))
    two = radiance(cup, request(cup, cup.table(paint=pigment(0.6))))
    again = radiance(cup, request(cup, cup.table(paint=pigment(0.2))))

    np.testing.assert_array_equal(one, again)
    assert (two > one)[..., :3].any()
    np.testing.assert_array_equal(one[..., 3], two[..., 3])


def test_every_cup_is_drawn_from_its_own_maps(cup, radiance):
    """Two cups in turn, by their keys: neither leaves its maps to the other."""
    other = band_cup("other", field=lambda up, turn: 0.0)
    one = radiance(cup, request(cup, cup.table(flake=metal(0.0))))
    between = radiance(other, request(other, other.table(flake=metal(0.0))))
    again = radiance(cup, request(cup, cup.table(flake=metal(0.0))))

    np.testing.assert_array_equal(one, again)
    assert np.abs(between - one).max() > 0.5
    assert replace(cup.model, key="other").key == other.model.key
