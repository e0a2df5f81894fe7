from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from mockup.colorimetry.clusters import DUPLICATES_DELTA_E, picture_colours
from mockup.colorimetry.difference import delta_e_2000, lab_from_rgb8
from mockup.errors import DesignError

NAVY, CREAM, CORAL, SEA = (11, 32, 56), (242, 232, 213), (207, 122, 85), (140, 197, 179)
rgba_pictures = arrays(np.uint8, st.tuples(st.integers(1, 12), st.integers(1, 12), st.just(4)))


def _stripes(*parts):
    """A picture of stripes: (colour, rows) each, 40 columns wide, opaque."""
    rows = [np.broadcast_to(np.array((*c, 255), np.uint8), (n, 40, 4)) for c, n in parts]
    return np.concatenate(rows)


def _lab(srgb):
    return lab_from_rgb8(np.frombuffer(bytes.fromhex(srgb[1:]), np.uint8))


def _hex(rgb8):
    return "#" + bytes(rgb8).hex()


def test_flat_artwork_gives_its_very_colours_and_shares():
    found = picture_colours(_stripes((NAVY, 50), (CREAM, 25), (CORAL, 15), (SEA, 10)))

    assert [colour.srgb for colour in found] == [_hex(c) for c in (NAVY, CREAM, CORAL, SEA)]
    assert [colour.share for colour in found] == pytest.approx([0.50, 0.25, 0.15, 0.10])


def test_one_colour_is_one_colour():
    (only,) = picture_colours(_stripes((CORAL, 9)))

    assert (only.srgb, only.share) == (_hex(CORAL), 1.0)


def test_where_pixels_stand_does_not_matter():
    picture = _stripes((NAVY, 5), (CREAM, 3), (SEA, 2)).reshape(-1, 4)
    shuffled = np.random.default_rng(3).permutation(picture).reshape(-1, 20, 4)

    assert picture_colours(shuffled) == picture_colours(picture[:, None])


def test_transparent_pixels_weigh_nothing_and_half_opaque_ones_half():
    """50 rows that nobody sees, 20 at half, 10 whole: the shares are equal."""
    picture = _stripes((CORAL, 50), (NAVY, 20), (CREAM, 10))
    picture[:50, :, 3] = 0
    picture[50:70, :, 3] = 127
    half = 20 * 127 / 255

    found = {colour.srgb: colour.share for colour in picture_colours(picture)}

    assert set(found) == {_hex(NAVY), _hex(CREAM)}
    assert found[_hex(NAVY)] == pytest.approx(half / (half + 10))


def test_shades_that_nobody_tells_apart_are_one():
    """Camera noise of a few codes round two colours leaves two, near their means."""
    rng = np.random.default_rng(11)
    picture = _stripes((NAVY, 60), (SEA, 40))
    picture[..., :3] = np.clip(picture[..., :3] + rng.normal(0, 3, picture[..., :3].shape), 0, 255)

    found = picture_colours(picture)

    assert [colour.share for colour in found] == pytest.approx([0.6, 0.4], abs=1e-9)
    for colour, true in zip(found, (NAVY, SEA), strict=True):
        assert delta_e_2000(_lab(colour.srgb), lab_from_rgb8(np.array(true, np.uint8))) < 1.0


def test_the_smooth_edges_of_artwork_are_no_colours_of_their_own():
    """A row between two areas, mixed of both, is 0.2 % of the picture and joins one of them."""
    picture = _stripes((NAVY, 300), (CREAM, 199))
    mixed = np.full((1, 40, 4), (126, 132, 134, 255), np.uint8)

    found = picture_colours(np.concatenate([picture, mixed]))

    assert [colour.srgb for colour in found] == [_hex(NAVY), _hex(CREAM)]


@given(rgba_pictures, st.integers(1, 12))
@settings(max_examples=60, deadline=None)
def test_shares_make_a_whole_and_no_two_colours_are_alike(picture, most):
    if not picture[..., 3].any():
        return
    found = picture_colours(picture, most=most)

    assert 1 <= len(found) <= most
    assert sum(colour.share for colour in found) == pytest.approx(1.0)
    assert all(a.share >= b.share > 0 for a, b in pairwise(found))
    assert picture_colours(picture, most=most) == found
    lab = np.array([_lab(colour.srgb) for colour in found])
    apart = delta_e_2000(lab[:, None], lab[None, :])
    assert apart[~np.eye(len(found), dtype=bool)].min(initial=np.inf) >= DUPLICATES_DELTA_E


def test_fewer_colours_keep_the_large_areas():
    found = picture_colours(_stripes((NAVY, 50), (CREAM, 30), (CORAL, 12), (SEA, 8)), most=2)

    assert found[0].srgb == _hex(NAVY)
    assert [colour.share for colour in found] == pytest.approx([0.5, 0.5])


@pytest.mark.parametrize("most", [0, -1, 25])
def test_a_count_that_makes_no_sense_is_refused(most):
    with pytest.raises(DesignError, match="Ask for 1 to 24"):
        picture_colours(_stripes((NAVY, 5)), most=most)


def test_a_picture_of_nothing_is_refused():
    with pytest.raises(DesignError, match="transparent throughout"):
        picture_colours(np.zeros((4, 4, 4), np.uint8))
