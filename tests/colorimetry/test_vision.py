import numpy as np
import pytest

from mockup.colorimetry.vision import MACHADO_2009, VISIONS, linear_srgb_as_seen
from tests.published_tables import rows

DICHROMATS = VISIONS[1:]


def published(vision):
    lines = [row for row in rows("machado_2009_dichromacy") if row["vision"] == vision]
    return np.array([[float(line[f"from_{c}"]) for c in "rgb"] for line in lines])


@pytest.mark.parametrize("vision", DICHROMATS)
def test_matrices_are_those_of_machado_2009(vision):
    """To all 6 decimals."""
    np.testing.assert_array_equal(MACHADO_2009[vision], published(vision))


@pytest.mark.parametrize(
    ("vision", "there"),
    [("protan", "Protanomaly"), ("deutan", "Deuteranomaly"), ("tritan", "Tritanomaly")],
)
def test_the_typed_table_agrees_with_colour_science(vision, there):
    """Which holds the authors' tables too; so that a slip of the keys would show."""
    from colour.blindness import CVD_MATRICES_MACHADO2010

    np.testing.assert_allclose(published(vision), CVD_MATRICES_MACHADO2010[there][1.0], atol=5e-7)


@pytest.mark.parametrize("vision", VISIONS)
def test_greys_stay_grey(vision):
    """Every vision agrees on greys; rows of the matrices sum to 1 within their 6 decimals."""
    greys = np.linspace(0, 1, 5)[:, None] * np.ones(3)

    np.testing.assert_allclose(linear_srgb_as_seen(greys, vision), greys, atol=2e-6)


@pytest.mark.parametrize("vision", DICHROMATS)
def test_two_kinds_of_cones_see_a_plane_of_colours(vision):
    """A dichromat's colours have two dimensions: the matrix nearly loses one of its three."""
    sizes = np.linalg.svd(MACHADO_2009[vision], compute_uv=False)

    assert sizes[-1] < 0.13 * sizes[0]


def test_red_darkens_for_protans_alone():
    """Why red on black is advised against in WCAG: long waves are lost on them."""
    from mockup.colorimetry.contrast import relative_luminance

    red = np.array([1.0, 0.0, 0.0])
    luminance = {v: relative_luminance(linear_srgb_as_seen(red, v)) for v in VISIONS}

    assert luminance["protan"] < 0.6 * luminance["normal"]
    assert luminance["deutan"] > luminance["normal"]
