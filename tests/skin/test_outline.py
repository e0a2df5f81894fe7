import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from mockup.design.document import Asset
from mockup.errors import AssetError
from mockup.skin.outline import outline_from_svg, sized
from mockup.skin.outline_fill import FlatteningPen, filled
from mockup.skin.svg_length import length_px, transform_from


def drawing(content, attributes='viewBox="0 0 100 100"', name="assets/a.svg"):
    text = f'<svg xmlns="http://www.w3.org/2000/svg" {attributes}>{content}</svg>'
    return Asset(name, text.encode())


def outline(content, attributes='viewBox="0 0 100 100"', **more):
    return outline_from_svg(
        drawing(content, attributes), where="design.toml: layers[1].svg", **more
    )


def refusal(content, attributes='viewBox="0 0 100 100"'):
    with pytest.raises(AssetError) as caught:
        outline(content, attributes)
    sentence = str(caught.value)
    assert sentence.startswith("design.toml: layers[1].svg: assets/a.svg ")
    assert "\n" not in sentence
    return sentence


def test_a_circle_has_the_area_of_a_circle():
    """π r², to well under the 0.1 % that a blade could follow."""
    assert outline('<circle cx="50" cy="50" r="40"/>').area == pytest.approx(
        math.pi * 40**2, rel=2e-4
    )


def test_two_arcs_are_the_circle_they_are_of():
    arcs = outline('<path d="M10 50a40 40 0 0 1 80 0 40 40 0 0 1-80 0z"/>')
    assert arcs.area == pytest.approx(math.pi * 40**2, rel=2e-4)


def test_an_elliptical_ring_is_outer_less_inner():
    """A round stroke has no effect on the law: π (a b − c d)."""
    ring = outline(
        '<path fill-rule="evenodd" d="M10 50a40 30 0 0 1 80 0 40 30 0 0 1-80 0z'
        'M30 50a20 10 0 0 1 40 0 20 10 0 0 1-40 0z"/>'
    )
    assert ring.area == pytest.approx(math.pi * (40 * 30 - 20 * 10), rel=3e-4)
    assert len(ring.geoms[0].interiors) == 1


def test_an_even_odd_hole_is_exact():
    """Straight edges are not flattened, so the area is exact."""
    shape = outline('<path fill-rule="evenodd" d="M0 0h30v30H0zM10 10h10v10H10z"/>')
    assert shape.area == 800.0


def test_a_stroked_circle_is_an_annulus():
    """π ((r + w/2)² − (r − w/2)²) = 2 π r w."""
    shape = outline('<circle cx="50" cy="50" r="30" fill="none" stroke="red" stroke-width="6"/>')
    assert shape.area == pytest.approx(2 * math.pi * 30 * 6, rel=5e-4)


def test_dashes_have_the_length_that_was_asked():
    """A line of 90 with dashes of 10 and gaps of 5 shows six dashes of 10 × 4."""
    shape = outline('<path d="M5 50h90" stroke="#000" stroke-width="4" stroke-dasharray="10 5"/>')
    assert len(shape.geoms) == 6
    assert shape.area == pytest.approx(6 * 10 * 4, rel=1e-5)


def test_y_points_up():
    shape = outline('<rect x="10" y="20" width="30" height="5"/>')
    assert shape.bounds == (10, -25, 40, -20)


def test_units_are_the_drawings_own_whatever_its_size_on_paper():
    shape = outline(
        '<rect x="-5" y="2" width="7" height="6"/>', 'viewBox="-10 0 20 20" width="70mm"'
    )
    assert shape.bounds == pytest.approx((-5, -8, 2, -2))


def test_a_small_shape_on_a_large_page_stays_smooth():
    """Chords follow the shape's size, not the page's."""
    shape = outline('<circle cx="50" cy="50" r=".1"/>')
    assert shape.area == pytest.approx(math.pi * 0.01, rel=1e-3)


@given(st.floats(0.001, 2.0))
def test_no_chord_leaves_its_curve_by_more_than_the_tolerance(tolerance):
    """All points of a flattened circle lie on it, and all chords within the tolerance of it."""
    shape = outline('<circle cx="50" cy="50" r="40"/>', tolerance=tolerance)
    ring = np.array(shape.geoms[0].exterior.coords) - (50, -50)
    middles = (ring[1:] + ring[:-1]) / 2
    assert np.hypot(*ring.T) == pytest.approx(40, abs=1e-4)
    assert (40 - np.hypot(*middles.T)).max() <= tolerance + 1e-4


@given(st.floats(1, 500), st.floats(-1e3, 1e3), st.floats(-1e3, 1e3))
def test_sizing_keeps_proportions_and_centres(width_mm, x, y):
    shape = sized(shapely.MultiPolygon([shapely.box(x, y, x + 4, y + 3)]), width_mm=width_mm)
    half = np.array([width_mm / 2, width_mm * 3 / 8])
    np.testing.assert_allclose(shape.bounds, [*-half, *half], rtol=1e-6, atol=1e-9)


def test_both_sizes_stretch_and_none_only_centres():
    box = shapely.MultiPolygon([shapely.box(1, 2, 5, 5)])
    assert sized(box, width_mm=8, height_mm=12).bounds == (-4, -6, 4, 6)
    assert sized(box).bounds == (-2, -1.5, 2, 1.5)
    assert sized(box, height_mm=6).bounds == (-4, -3, 4, 3)


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=3, max_size=9))
def test_fill_rules_agree_with_counting_windings(points):
    """Any tangle of lines: areas by our faces and by the winding number of each lattice cell.

    The lattice is ten times finer and shifted off every line, so its count is near, not exact:
    it may miss by half a cell (0.05) along each edge.
    """
    tangle = np.array(points, dtype=float)
    cells = (np.stack(np.meshgrid(*[np.arange(0.05, 9, 0.1)] * 2), axis=-1) + 0.00137).reshape(
        -1, 2
    )
    closed = np.concatenate([tangle, tangle[:1]])
    angle = np.unwrap(np.arctan2(*(closed[:, None] - cells).T[::-1]), axis=1)
    winding = np.rint((angle[:, -1] - angle[:, 0]) / (2 * math.pi)).astype(int)
    edge_mm = np.hypot(*np.diff(closed, axis=0).T).sum()

    for rule, counted in (("nonzero", winding != 0), ("evenodd", winding % 2 == 1)):
        region = filled([tangle], rule)
        assert region.is_valid
        assert region.area == pytest.approx(counted.sum() * 0.01, abs=0.05 * edge_mm)


def test_letters_drawn_over_one_another_are_one_piece():
    shape = outline(
        '<rect width="10" height="10" fill="red"/>'
        '<rect x="5" y="5" width="10" height="10" fill="#fff"/>'
    )
    assert len(shape.geoms) == 1
    assert shape.area == 175


@pytest.mark.parametrize(
    ("content", "named"),
    [
        ('<image href="data:image/png;base64,AAAA" width="9" height="9"/>', "picture"),
        ('<filter id="f"/><rect width="9" height="9" filter="url(#f)"/>', "filter"),
        ('<mask id="m"/><g mask="url(#m)"><rect width="9" height="9"/></g>', "mask"),
        ('<pattern id="p"/><rect width="9" height="9" fill="url(#p)"/>', "pattern"),
        ('<marker id="k"/><path d="M0 0h9" marker-end="url(#k)" stroke="red"/>', "markers"),
        ('<path d="M0 0h9" stroke="red" vector-effect="non-scaling-stroke"/>', "does not scale"),
        ('<rect width="9" height="9" clip-path="circle(3px)"/>', "clipped by"),
        ('<text x="5" y="5">Bow</text>', "Turn text into paths"),
        ("<style>rect:hover{fill:red}</style><rect width='9' height='9'/>", "rect:hover"),
        ("<style>@media print{rect{fill:none}}</style><rect width='9' height='9'/>", "@media"),
        ('<rect width="3em" height="9"/>', "3em"),
        ('<path d="M0 0 L 5 5 wave"/>', "wave"),
        ('<path d="M0 0 L 5"/>', "Not enough coordinates"),
        ('<path d="L 5 5 6 6"/>', "moveto"),
        ('<rect width="9" height="9" transform="turn(4)"/>', "turn(4)"),
        ('<rect width="9" height="9" opacity="half"/>', "half"),
        ('<path d="M0 0H1e300V9z"/>', "too large"),
        ('<path d="M0 0h99" stroke="red" stroke-dasharray=".001"/>', "dashes"),
        ('<rect width="9" height="9" fill="none"/>', "paints nothing"),
        ("", "paints nothing"),
        ('<rect x="200" width="9" height="9"/>', "paints nothing"),
    ],
)
def test_what_cannot_be_cut_is_named(content, named):
    assert named in refusal(content)


@pytest.mark.parametrize("attributes", ["", 'viewBox="0 0 0 5"', 'width="5"', 'width="3em"'])
def test_a_drawing_without_a_size_is_refused(attributes):
    assert refusal('<rect width="9" height="9"/>', attributes)


def test_transforms_apply_from_the_right():
    """SVG 2, sec. 8.5: translate(10) scale(2) moves after it scales."""
    both = transform_from("translate(10, 0) scale(2) rotate(90)")
    assert both.transformPoint((1, 0)) == pytest.approx((10, 2))


@pytest.mark.parametrize(
    ("text", "px"),
    [("1in", 96), ("25.4mm", 96), ("2.54cm", 96), ("72pt", 96), ("6pc", 96), ("7", 7)],
)
def test_lengths_are_css_lengths(text, px):
    """CSS Values and Units 3, sec. 5.2."""
    assert length_px(text, None) == pytest.approx(px)


def test_a_pens_quadratics_are_flattened_within_tolerance():
    """The parabola y = x² from −1 to 1 with control point (0, −1): area under the chord is 4/3."""
    pen = FlatteningPen(1e-5)
    pen.moveTo((-1, 1))
    pen.qCurveTo((0, -1), (1, 1))
    pen.closePath()
    (points,) = pen.contours
    np.testing.assert_allclose(points[:, 1], points[:, 0] ** 2, atol=1e-12)
    assert filled(pen.contours, "nonzero").area == pytest.approx(4 / 3, rel=2e-5)
