"""The colours of even light, held to what the renderer draws in it."""

from dataclasses import replace

import numpy as np
import pytest

from mockup.material.chip import MIRRORED
from mockup.material.fresnel import fresnel_dielectric
from mockup.render.lights import WHITE_CARD, find_light
from mockup.render.room import COLUMNS, ROWS
from mockup.shading.even_light import even_colours
from tests.render.cups import band_cup, metal, pigment, request, rows_at


@pytest.mark.parametrize(
    ("paint", "foil", "flake"),
    [(0.2, 0.9, 0.8), (0.02, 0.6, 0.6), (0.8, 0.9, 0.3), (0.03, 0.5, 0.9), (0.5, 0.5, 0.1)],
)
def test_colours_of_even_light_are_those_that_are_drawn(radiance, paint, foil, flake):
    """Means of bands in uniform light, less the face's reflection.

    Paint within 5 %, of which the wall's curvature makes 3; foil within 1 %; glitter of coverage
    .6 within 4 %: pale flakes on dark paint, and dark ones that shade white paint.
    """
    bands = band_cup("even light")
    table = bands.table(paint=pigment(paint), foil=metal(foil), flake=metal(flake))
    shot = request(bands, table, samples=4)
    picture = radiance(bands, shot)
    face = float(fresnel_dielectric(1.0, 1.5))

    def drawn(low_mm, high_mm):
        return picture[rows_at(bands, shot, low_mm, high_mm), 60:90, 0].mean() - face

    even = even_colours(bands.model.skin, table, mirrored=1.0)

    bare, cover = np.zeros(3), np.array([0.6])
    assert even.paint(bare, np.zeros(()))[0] == pytest.approx(drawn(29, 36), rel=0.05)
    assert even.sheets[0, 0] == pytest.approx(drawn(42, 58), rel=0.01)
    mixed = 0.6 * even.flakes[0, 0] + 0.4 * even.paint(bare, np.zeros(()), cover)[0]
    assert mixed == pytest.approx(drawn(77, 88), rel=0.04)


@pytest.mark.parametrize("below", [0.05, 0.4, 0.9])
@pytest.mark.parametrize(("film", "passed"), [(0.08, 0.92), (0.3, 0.7), (0.3, 0.4)])
def test_what_is_seen_through_a_clear_film_is_what_is_drawn(radiance, below, film, passed):
    """Means of a band of film over paint in uniform light, less the face's reflection."""
    bands = band_cup("even light")
    clear = replace(metal(film), transmittance=np.full(3, passed))
    table = bands.table(paint=pigment(below), foil=clear)
    shot = request(bands, table, samples=4)
    drawn = radiance(bands, shot)[rows_at(bands, shot, 42, 58), 60:90, 0].mean()

    even = even_colours(bands.model.skin, table, mirrored=1.0)

    paint = even.paint(np.zeros(3), np.zeros(()))
    expected = drawn - float(fresnel_dielectric(1.0, 1.5))
    assert even.sheets[0, 0] + even.through(0, paint)[0] == pytest.approx(expected, rel=0.04)


def test_metals_count_what_a_wall_mirrors_of_our_lights():
    """The mean of our lights where an upright wall sends the eye's ray, a white card being 1.

    Over eyes level, 10° and 30° up, 60° to either side, facets tilted by 7°.
    """
    rng = np.random.default_rng(6)
    beside = np.radians(rng.uniform(-60, 60, 100_000))
    still = 0 * beside
    right = np.stack([np.cos(beside), np.sin(beside), still], -1)
    out = np.stack([np.sin(beside), -np.cos(beside), still], -1)
    tilt = rng.normal(0, np.tan(np.radians(7)), (len(beside), 2))
    facets = out + tilt[:, :1] * right + tilt[:, 1:] * np.array([0, 0, 1.0])
    facets /= np.linalg.norm(facets, axis=-1, keepdims=True)
    rows, columns = ROWS // 8, COLUMNS // 8
    means = []
    for name in ("evening", "kitchen", "market", "softbox", "window"):
        light = find_light(name)
        coarse = light.radiance.reshape(rows, 8, columns, 8, 3).mean((1, 3))  # bulbs are small
        shown = coarse @ np.array([0.2126, 0.7152, 0.0722]) * light.exposure / WHITE_CARD
        for up_deg in (0, 10, 30):
            up = np.radians(up_deg)
            eye = np.array([0, -np.cos(up), np.sin(up)])
            ray = 2 * (facets @ eye)[:, None] * facets - eye
            row = (0.5 - np.arcsin(ray[:, 2]) / np.pi) * rows
            column = (np.arctan2(ray[:, 0], -ray[:, 1]) / (2 * np.pi) + 0.5) * columns
            seen = shown[row.astype(int).clip(0, rows - 1), column.astype(int) % columns]
            means.append(seen.mean())

    assert np.mean(means) == pytest.approx(MIRRORED, abs=0.05)
