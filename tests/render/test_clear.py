"""Clear films as sheets and as flakes, through the real renderer: what they pass and send back.

A film that swallows nothing returns R and passes 1 - R, so that in even light white paint below it
stays white, whatever R is.
"""

from dataclasses import replace

import numpy as np
import pytest

from mockup.material.coat import K1, K2, coated_mirror_reflectance
from mockup.material.fresnel import fresnel_dielectric
from mockup.shading.table import HEXAGON, ROW_SHEETS, flake_heights
from tests.render.cups import (
    BANDS,
    DEPTH_MM,
    RADIUS_MM,
    Bands,
    band_cup,
    metal,
    pigment,
    request,
    rows_at,
)

IOR = 1.5
_PATCH = {"target": (0.0, -RADIUS_MM, 80.0), "field_mm": 14.0}


def film(reflectance, passed=None, alpha=0.02):
    """A film that returns one share of light at every angle and passes another, or all the rest."""
    passes = 1 - reflectance if passed is None else passed
    return replace(metal(reflectance, alpha), transmittance=np.full(3, float(passes)))


@pytest.fixture(scope="module")
def cup():
    return band_cup("bands")


def _middle(seen, bands, asked, band="foil"):
    patch = seen[rows_at(bands, asked, *BANDS[band]), 60:90]
    assert patch[..., 3].min() == 1
    return patch[..., :3]


@pytest.mark.parametrize("depth_mm", [DEPTH_MM, 0.0], ids=["under resin", "bare"])
@pytest.mark.parametrize("reflectance", [0.05, 0.3, 0.6])
def test_white_paint_under_a_film_that_swallows_nothing_stays_white(
    radiance, reflectance, depth_mm
):
    bands = band_cup(f"clear {depth_mm}", depth_mm=depth_mm)
    asked = request(bands, bands.table(foil=film(reflectance)), samples=4, foil=(16, 0))
    seen = radiance(bands, asked)

    np.testing.assert_allclose(_middle(seen, bands, asked), 1, atol=0.015)
    assert seen[..., :3].max() <= 1.02


@pytest.mark.parametrize(("reflectance", "passed"), [(0.3, 0.7), (0.1, 0.5), (0.5, 0.1)])
def test_over_black_a_film_shows_its_own_reflection_alone(cup, radiance, reflectance, passed):
    """As a pile of plates: the face and the film (Stokes 1862)."""
    table = cup.table(foil=film(reflectance, passed), paint=pigment(0.0))
    asked = request(cup, table, samples=4, foil=(16, 0))
    expected = coated_mirror_reflectance(1.0, IOR, reflectance)

    seen = _middle(radiance(cup, asked), cup, asked)

    np.testing.assert_allclose(seen.mean((0, 1)), expected, atol=0.01)


def _slab(rho, reflectance, passed, angles=400):
    """Body of paint under a film under the face, seen straight on in even light.

    Light in each direction inside is followed between paint and the stack of film and face: a film
    and a face together reflect r + t² f / (1 - r f) and pass t (1 - f) / (1 - r f); the paint sends
    all that reaches it about evenly (Lambert).
    """
    nodes, weights = np.polynomial.legendre.leggauss(angles)
    inside = (nodes + 1) / 2
    counted = weights * inside  # ∫ 2 μ dμ over [0, 1]
    sine2 = IOR**2 * (1 - inside**2)
    face = np.ones(angles)
    leaves = sine2 < 1
    face[leaves] = fresnel_dielectric(np.sqrt(1 - sine2[leaves]), IOR)
    back = reflectance + passed**2 * face / (1 - reflectance * face)
    through = passed * (1 - face) / (1 - reflectance * face)
    comes = (counted * through).sum() * IOR**2  # radiance 1 outside is n² inside its cone
    sent = comes * rho / (1 - rho * (counted * back).sum())
    one = fresnel_dielectric(1.0, IOR)
    return sent * passed * (1 - one) / (1 - reflectance * one) / IOR**2


def test_the_slab_without_a_film_is_saundersons():
    """The test's own reckoning, held to the closed form."""
    one = fresnel_dielectric(1.0, IOR)
    expected = (1 - one) * (1 - K1(IOR)) / IOR**2 * 0.5 / (1 - 0.5 * K2(IOR))

    assert _slab(0.5, 0.0, 1.0) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("rho", [0.1, 0.5, 0.9])
@pytest.mark.parametrize(("reflectance", "passed"), [(0.3, 0.7), (0.1, 0.6), (0.4, 0.3)])
def test_paint_under_a_film_is_what_an_exact_slab_sends(radiance, rho, reflectance, passed):
    """Two ways: the shader's closed form, and light followed direction by direction."""
    bands = band_cup("thin", depth_mm=0.02)  # no bend of the wall under the resin
    table = bands.table(foil=film(reflectance, passed), paint=pigment(rho))
    asked = request(bands, table, samples=4, foil=(16, 0))
    mirrored = coated_mirror_reflectance(1.0, IOR, reflectance)

    seen = _middle(radiance(bands, asked), bands, asked).mean()

    assert seen - mirrored == pytest.approx(_slab(rho, reflectance, passed), abs=0.012)


@pytest.mark.parametrize("reflectance", [0.1, 0.4])
def test_clear_flakes_that_swallow_nothing_leave_white_paint_white(cup, radiance, reflectance):
    asked = request(cup, cup.table(flake=film(reflectance)), samples=16)
    seen = _middle(radiance(cup, asked), cup, asked, "glitter")

    np.testing.assert_allclose(seen.mean((0, 1)), 1, atol=0.012)
    assert seen.max() <= 1.04


def test_clear_flakes_that_swallow_light_darken_and_never_brighten(cup, radiance):
    """The more a flake swallows, the less comes back; a flake of air is none."""
    levels = []
    for passed in (1.0, 0.7, 0.4, 0.0):
        table = cup.table(flake=film(0.0, passed))
        asked = request(cup, table, samples=16)
        levels.append(_middle(radiance(cup, asked), cup, asked, "glitter").mean())

    assert levels[0] == pytest.approx(1, abs=0.005)
    assert levels == sorted(levels, reverse=True)
    assert levels[-1] < 0.5


@pytest.mark.parametrize("passed", [0.5, 0.8])
def test_light_passes_a_flake_that_lies_on_the_paint_twice(radiance, passed):
    """A huge flake seen straight on: paint below it at T², but for light thrown about by the face.

    Paint of little reflectance throws little about; half of the light under a flake that lies some
    way over the paint comes in beside it.
    """
    bands = band_cup("large flakes", cut_mm=3.9, field=lambda up, turn: 0.12)
    paint = pigment(0.1)
    asked = request(bands, bands.table(flake=film(0.0, passed), paint=paint), samples=4)
    bare = request(bands, bands.table(flake=film(0.0, 1.0), paint=paint), samples=4)
    face = fresnel_dielectric(1.0, IOR)
    rows = rows_at(bands, asked, 20.0, 35.0)
    share = [(radiance(bands, one)[rows, 60:90, 1] - face) for one in (asked, bare)]
    ratio = share[0] / share[1]

    single = np.median(ratio[(ratio < passed) & (ratio > passed**2 * 0.9)])
    assert passed**2 - 0.02 <= single <= passed**2 + 0.12


@pytest.mark.parametrize("role", ["foil", "flake"])
def test_a_film_that_passes_next_to_nothing_is_metal(cup, radiance, role):
    """The programs of clear films and those without them draw the same where both can."""
    opaque = metal(0.6)
    almost = replace(opaque, transmittance=np.full(3, 1e-5))
    asked = request(cup, cup.table(**{role: opaque}), samples=4, foil=(16, 0))
    band = "foil" if role == "foil" else "glitter"
    both = [
        _middle(radiance(cup, replace(asked, table=table)), cup, asked, band)
        for table in (asked.table, cup.table(**{role: almost}))
    ]

    np.testing.assert_allclose(both[0], both[1], atol=0.008)  # two steps of the frame


def _two_sheets(depth_mm=DEPTH_MM):
    """The foil's band with a film over all of it, flakes below, between or over them: 3 cups."""
    cups = {}
    for name, order in (("below", 2), ("between", 4), ("over", 6)):
        bands = band_cup(f"two sheets {name}", cut_mm=0.8, field=lambda up, turn: 0.3)
        skin = bands.model.skin
        sheets = (skin.sheets[0], replace(skin.sheets[0], name="film", role="film", order=5))
        edges = np.repeat(skin.edge_distance, 2, axis=-1)
        skin = replace(
            skin,
            sheets=sheets,
            edge_distance=edges,
            flakes=(replace(skin.flakes[0], order=order),),
        )
        cups[name] = Bands(replace(bands.model, skin=skin, key=f"two sheets {name}"), bands.blank)
    return cups


def test_a_film_over_foil_passes_light_to_it_and_back(radiance):
    """Two mirrors one over the other: R + T² ρ / (1 - R ρ), and what lies between is seen."""
    cups, seen = _two_sheets(), {}
    for name, bands in cups.items():
        table = bands.table(foil=metal(0.5, 0.02), film=film(0.3), flake=metal(0.0))
        asked = request(bands, table, samples=4, foil=(16, 0))
        seen[name] = _middle(radiance(bands, asked), bands, asked)
    pile = 0.3 + 0.7**2 * 0.5 / (1 - 0.3 * 0.5)
    clear, mirror = coated_mirror_reflectance(1.0, IOR, np.array([pile, 0.3]))

    np.testing.assert_allclose(seen["below"].mean((0, 1)), clear, atol=0.02)
    assert np.percentile(seen["between"], 99) == pytest.approx(clear, abs=0.03)
    assert np.percentile(seen["between"], 1) == pytest.approx(mirror, abs=0.03)
    assert np.percentile(seen["over"], 1) < 0.06  # a black flake under the face alone
    assert np.percentile(seen["over"], 99) == pytest.approx(clear, abs=0.03)


def test_a_clear_glitter_keeps_its_light_from_near_to_far(radiance):
    """A patch of 14 mm from a quarter of a flake to two and a half a pixel, in even light."""
    bands = band_cup("zoom", cut_mm=0.5, field=lambda up, turn: 0.6)
    table = bands.table(flake=film(0.2, 0.5), paint=pigment(0.5))
    means = []
    for size_px in (120, 24, 12):
        asked = request(bands, table, samples=16, size_px=(size_px, size_px), **_PATCH)
        means.append(radiance(bands, asked)[2:-2, 2:-2, 1].mean())

    assert means == pytest.approx([means[0]] * 3, rel=0.02)


def _paths(bands, passed, count=6000):
    """Share of light that reaches the eye from paint under clear discs: by chance, path by path.

    Discs lie level, at random in the layer's height; the eye looks straight down, light comes in
    through the face about evenly. Each disc that the way in or the way out crosses leaves `passed`.
    """
    flakes = bands.model.skin.flakes[0]
    rng = np.random.default_rng(4)
    radius = np.sqrt(HEXAGON * flakes.cut_mm**2 / np.pi)
    low, high = flake_heights(flakes)
    reach = radius + high
    per_mm2 = -np.log(1 - 0.6) / (np.pi * radius**2)
    total, weights = 0.0, 0.0
    for _ in range(count):
        number = rng.poisson(per_mm2 * (2 * reach) ** 2)
        at = rng.uniform(-reach, reach, (number, 2))
        height = rng.uniform(low, high, number)
        mu = np.sqrt(rng.uniform(size=12))  # Lambert's cosine law
        turn = rng.uniform(0, 2 * np.pi, 12)
        weight = 1 - fresnel_dielectric(mu, IOR)
        tangent = np.sqrt(1 - mu**2) / IOR / np.sqrt(1 - (1 - mu**2) / IOR**2)
        way = tangent[:, None] * np.stack([np.cos(turn), np.sin(turn)], -1)
        out = ((at**2).sum(-1) < radius**2).sum()
        apart = at[None] - way[:, None] * height[None, :, None]
        into = ((apart**2).sum(-1) < radius**2).sum(-1)
        total += (weight * passed ** (out + into)).sum()
        weights += weight.sum()
    return total / weights


@pytest.mark.parametrize("passed", [0.3, 0.7])
def test_paint_under_clear_flakes_gets_the_light_that_paths_find(radiance, passed):
    """Two ways: the shader's gaps and flakes, and ways through discs thrown at random.

    For flakes that pass nothing the two differ by 7 %, as the discs are not tilted.
    """
    bands = band_cup("paths", cut_mm=0.8, field=lambda up, turn: 0.6)
    dark = pigment(0.05)  # so dark that hardly any light goes to and fro
    face = fresnel_dielectric(1.0, IOR)
    levels = []
    for share in (passed, 1.0):
        table = bands.table(flake=film(0.0, share), paint=dark)
        asked = request(bands, table, samples=16, size_px=(100, 100), **_PATCH)
        levels.append(radiance(bands, asked)[..., 1].mean() - face)

    assert levels[0] / levels[1] == pytest.approx(_paths(bands, passed), rel=0.055)


def test_a_crinkled_film_passes_as_much_as_a_flat_one(cup, radiance):
    """Its crinkle bends what it mirrors, not what it lets through."""
    table = cup.table(foil=film(0.1, 0.8))
    flat = table.copy()
    flat[ROW_SHEETS, 1, 3] = 0
    asked = request(cup, table, samples=4, foil=(16, 0))
    levels = [
        _middle(radiance(cup, replace(asked, table=one)), cup, asked).mean()
        for one in (table, flat)
    ]

    assert levels[0] == pytest.approx(levels[1], abs=0.004)
