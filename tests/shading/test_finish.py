"""A satin face blurs what lies below it less than its own mirror image: rays through both."""

from dataclasses import replace

import numpy as np
import pytest

from mockup.shading.finish import FINISH_SIGMA_DEG, mirrored_spread, seen_alphas, seen_spread
from mockup.shading.table import ROW_FLAKES, ROW_SHEETS
from mockup.skin.skin import Clear, Sheet
from tests.shading.trial import DEPTH_MM, STRAIGHT, metal, strewn, tables

IOR = 1.5


def _normals(spread, count, rng):
    slopes = rng.normal(0, spread, (count, 2))
    m = np.concatenate([slopes, np.ones((count, 1))], axis=1)
    return m / np.linalg.norm(m, axis=1, keepdims=True)


def _refracted(ray, m, ratio):
    """Snell's law as vectors; `ratio` is the index before over the one after, `ray` goes down."""
    cosine = -(ray * m).sum(1)
    after = np.sqrt(1 - ratio**2 * (1 - cosine**2))
    return ratio * ray + (ratio * cosine - after)[:, None] * m


def _spread(rays):
    """Root mean square of angles about each of two axes, rad."""
    return np.arctan2(rays[:, :2], rays[:, 2:]).std(axis=0).mean()


@pytest.mark.parametrize(("finish", "off"), [("satin", 0.03), ("flat", 0.08)])
def test_rays_through_a_rough_face_and_back_from_a_mirror_spread_as_told(finish, off):
    """50,000 rays through facets, off a mirror, through others; slopes of 13° are not small."""
    rng, count = np.random.default_rng(3), 50_000
    facets = mirrored_spread(finish) / 2
    down = np.tile([0.0, 0.0, -1.0], (count, 1))

    first = _normals(facets, count, rng)
    mirrored = down - 2 * (down * first).sum(1, keepdims=True) * first
    inside = _refracted(down, first, 1 / IOR)
    up = inside * [1, 1, -1]
    m = _normals(facets, count, rng)
    with np.errstate(invalid="ignore"):
        out = _refracted(up * -1, m, IOR)  # leaving upward is coming down, turned over
    out = -out[~np.isnan(out).any(axis=1)]

    assert _spread(mirrored) == pytest.approx(mirrored_spread(finish), rel=off)
    assert _spread(out) == pytest.approx(seen_spread(finish, IOR), rel=off)


@pytest.mark.parametrize("finish", FINISH_SIGMA_DEG)
def test_a_mirror_below_is_as_blurred_as_facets_of_its_alpha_blur(finish):
    """A facet that leans by s turns the image outside by 2 n s; alpha² = 2 σ²."""
    mirror = metal(1.0, 0.0)

    along, across = seen_alphas(mirror, finish, IOR)

    assert along == across
    assert 2 * IOR * along / np.sqrt(2) == pytest.approx(seen_spread(finish, IOR))


def test_glossy_coats_leave_a_sheet_as_it_is():
    brushed = replace(metal(1.0, 0.06), stretch=(0.5, 1.2))

    assert seen_alphas(brushed, "gloss", IOR) == pytest.approx((0.03, 0.072))


def _skin(finish, depth_mm):
    skin = strewn(STRAIGHT, 0.5)
    edges = np.zeros((*skin.grid.shape, 1), np.uint8)
    return replace(
        skin,
        sheets=(Sheet("foil", "flake", 9, depth_mm),),
        edge_distance=edges,
        clear=Clear(DEPTH_MM, finish),
    )


def test_the_table_blurs_what_lies_under_a_satin_coat_and_nothing_else():
    flat, satin, gloss = (tables(_skin(f, DEPTH_MM), STRAIGHT) for f in ("flat", "satin", "gloss"))
    bare = tables(_skin("flat", 0.0), STRAIGHT)

    widths = [table[ROW_SHEETS, 0, 3] for table in (gloss, satin, flat)]
    assert widths == sorted(widths)
    assert gloss[ROW_SHEETS, 0, 3] == bare[ROW_SHEETS, 0, 3] == np.float32(0.06)
    assert [t[ROW_FLAKES, 2, 2] for t in (gloss, satin, flat)] == pytest.approx(
        [0, seen_spread("satin", IOR), seen_spread("flat", IOR)]
    )
