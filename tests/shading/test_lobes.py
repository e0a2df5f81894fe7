"""Light between rough metal and the face: shares that add up, and their table."""

import numpy as np
import pytest

from mockup.material.fresnel import fresnel_dielectric
from mockup.shading.lobes import ALPHAS, COAT_IOR, LOWEST_COSINE, find_lobes, slant, walk

OUTSIDE = np.linspace(0.05, 1, 16)
INSIDE = np.sqrt(1 - (1 - OUTSIDE**2) / COAT_IOR**2)
FACE = fresnel_dielectric(OUTSIDE, COAT_IOR)


def _table(alpha):
    """(a1, a2, r) over `INSIDE` as the shader works them out."""
    terms = find_lobes(alpha).coated
    return np.vander(slant(INSIDE), len(terms), increasing=True) @ terms[:, :3]


def _whole(shares, reflectance):
    """Reflectance of metal, face included."""
    a1, a2, r = shares.T
    below = a1 * reflectance + a2 * reflectance**2 / (1 - r * reflectance)
    return FACE + (1 - FACE) * below


def test_a_smooth_mirror_leaves_by_the_faces_own_law():
    """No roughness: T leaves at once, T F at the second bounce, F times less at each later one."""
    for inside, face in zip(INSIDE[::6], FACE[::6], strict=True):
        a1, a2, r, _, _ = walk(inside, 1e-6, ior=COAT_IOR)
        assert a1 == pytest.approx(1 - face, abs=2e-3)
        assert a2 == pytest.approx((1 - face) * face, abs=2e-3)
        assert r == pytest.approx(face, abs=0.02)


def test_a_smooth_mirror_in_air_gives_all_back_at_once():
    a1, a2, *_ = walk(0.7, 1e-4, ior=1.0)

    assert (a1, a2) == pytest.approx((1.0, 0.0), abs=1e-6)


@pytest.mark.parametrize("alpha", [0.01, 0.015, 0.025, 0.05, 0.12, 0.25, 0.49])
def test_the_table_never_gives_back_more_than_it_gets(alpha):
    """White metal; 1 % is what six terms leave at the smoothest foil."""
    assert _whole(_table(alpha), 1.0).max() <= 1.01


@pytest.mark.parametrize("alpha", [0.013, 0.05, 0.25])
def test_between_its_rows_the_table_is_what_walks_find(alpha):
    """Another seed and more rays, at roughnesses that the table was not made from."""
    walks = [walk(c, alpha, ior=COAT_IOR, count=20_000, seed=11)[:3] for c in INSIDE]
    found, expected = _whole(_table(alpha), 0.9), _whole(np.array(walks), 0.9)

    assert alpha not in ALPHAS
    np.testing.assert_allclose(found, expected, rtol=0.022)
    assert np.sqrt(np.mean((found / expected - 1) ** 2)) < 0.011


def test_rougher_metal_loses_more_between_its_facets():
    """Walks that leave the surface between facets end: GGX without multiple scattering."""
    shares = [_whole(_table(alpha), 1.0)[-1] for alpha in ALPHAS]

    assert (np.diff(shares) < 0).all()


def test_slant_runs_from_straight_down_to_the_grazing_view():
    ends = slant(np.array([1.0, LOWEST_COSINE, 0.3]))

    assert ends[0] == 0
    assert ends[1] == ends[2] == pytest.approx(1.02, abs=0.01)
