"""Cut lines are the shape's own curves: no chord, no pixel, within 0.02 mm of the source."""

import font_source_sans_pro
import numpy as np
import pytest
import shapely
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.design.document import Asset
from mockup.outputs.cut.curves import curves_from
from mockup.outputs.pieces import pieces
from mockup.skin.lettering import outline_from_text
from mockup.skin.outline import outline_from_svg, sized
from tests.outputs.cut.cups import DISC, TAPERED, built, decal, design_of


def words_of(paths):
    return "".join(word for path in paths for word, _ in path.commands)


def along(paths, steps=40):
    return np.concatenate([c for path in paths for c in path.flattened(steps)])


def test_a_circle_is_a_few_cubics_that_stay_round():
    """Ø 60 mm: 30 mm from the middle within 0.02 mm all along."""
    circle = sized(outline_from_svg(Asset("assets/d.svg", DISC), where=""), width_mm=60.0)

    paths = curves_from(circle)

    assert set(words_of(paths)) == set("MCZ")
    assert words_of(paths).count("C") <= 16
    assert np.abs(np.hypot(*along(paths).T) - 30.0).max() < 0.02


def test_straight_edges_stay_straight():
    (path,) = curves_from(shapely.box(-30, -10, 30, 10))

    assert words_of([path]) == "MLLLLZ"
    assert path.bounds() == (-30.0, -10.0, 30.0, 10.0)


def test_a_tangent_line_is_not_bent_into_its_arc():
    """A slot: two straight sides and two half rounds."""
    slot = shapely.LineString([(-20, 0), (20, 0)]).buffer(5.0, quad_segs=64)

    paths = curves_from(slot)

    sides = [points for path in paths for word, points in path.commands if word == "L"]
    assert len(sides) == 2
    assert shapely.hausdorff_distance(shapely.LineString(along(paths)), slot.exterior) < 0.02


@pytest.mark.parametrize("letter", ["S", "g", "8", "&"])
def test_a_glyph_is_cut_along_its_own_curves(letter):
    """Points of the font's own splines, evaluated here, lie within 0.02 mm of the cut lines.

    Capital height 30 mm, a large letter for a cup.
    """
    shape = outline_from_text(letter, font="Source Sans Pro Bold", letter_height_mm=30.0, where="")
    with TTFont(font_source_sans_pro.font_files_ttf["SourceSansProBold"]) as font:
        glyphs = font.getGlyphSet()
        name = font.getBestCmap()[ord(letter)]
        pen = DecomposingRecordingPen(glyphs)
        glyphs[name].draw(pen)
        cap = cap_height(glyphs, font)
    source = spline_points(pen.value) * (30.0 / cap)
    west, south, east, north = shape.bounds
    source += [(west + east) / 2 - np.mean(extent(source[:, 0])), 0]
    source += [0, (south + north) / 2 - np.mean(extent(source[:, 1]))]

    paths = curves_from(shape)

    cut = shapely.MultiLineString([c for p in paths for c in p.flattened(60)])
    assert "C" in words_of(paths)
    assert shapely.distance(shapely.points(source), cut).max() < 0.02


def cap_height(glyphs, font):
    """Height of the font's capital H, by its drawn extent, in font units."""
    pen = DecomposingRecordingPen(glyphs)
    glyphs[font.getBestCmap()[ord("H")]].draw(pen)
    return float(np.ptp([p[1] for _, points in pen.value for p in points]))


def extent(values):
    return np.array([values.min(), values.max()])


def spline_points(commands):
    """Points along TrueType quadratics (with implied on-curve points) and cubics."""
    t = np.linspace(0, 1, 60)[:, None]
    s = 1 - t
    found, here, start = [], None, None
    for word, points in commands:
        p = [np.array(q, float) for q in points if q is not None]
        if word == "moveTo":
            here = start = p[0]
        elif word == "lineTo":
            found.append(s * here + t * p[0])
            here = p[0]
        elif word == "curveTo":
            found.append(s**3 * here + 3 * s * s * t * p[0] + 3 * s * t * t * p[1] + t**3 * p[2])
            here = p[2]
        elif word == "qCurveTo":
            for i, control in enumerate(p[:-1]):
                end = p[-1] if i == len(p) - 2 else (control + p[i + 1]) / 2
                found.append(s * s * here + 2 * s * t * control + t * t * end)
                here = end
        elif word == "closePath":
            found.append(s * here + t * start)
    return np.concatenate(found)


def test_an_outset_and_bent_piece_is_smooth_too():
    """On a cone with an outset of 2 mm: within 0.02 mm of the piece, mostly cubics."""
    design = design_of(decal(text="Seat 7", letter_height_mm=16.0, outset_mm=2.0), blank=TAPERED)
    (piece,) = pieces(design, built(TAPERED))

    paths = curves_from(piece.outline)

    points = shapely.points(along(paths))
    assert shapely.distance(points, piece.outline.boundary).max() < 0.02
    back = shapely.points(shapely.get_coordinates(shapely.segmentize(piece.outline.boundary, 0.2)))
    cut = shapely.MultiLineString([c for p in paths for c in p.flattened(40)])
    assert shapely.distance(back, cut).max() < 0.02
    assert len(words_of(paths)) < len(shapely.get_coordinates(piece.outline)) / 3


@given(
    st.lists(
        st.tuples(st.floats(-40, 40), st.floats(-40, 40), st.floats(0.3, 12)),
        min_size=1,
        max_size=6,
    ),
    st.floats(-1.5, 3.0),
)
@settings(max_examples=40, deadline=None)
def test_any_outline_is_followed_both_ways(discs, offset_mm):
    """Blobs of discs and boxes, grown or shrunk: no cut line strays, no part of it is left out."""
    parts = [
        shapely.Point(x, y).buffer(r, quad_segs=24)
        if i % 2 == 0
        else shapely.box(x - r, y - r, x + r, y + r)
        for i, (x, y, r) in enumerate(discs)
    ]
    shape = shapely.union_all(parts).buffer(offset_mm, quad_segs=24)
    shape = shapely.MultiPolygon([p for p in shapely.get_parts(shape) if p.area > 0.01])
    if shape.is_empty:
        return

    paths = curves_from(shape)

    assert shapely.distance(shapely.points(along(paths)), shape.boundary).max() < 0.02
    back = shapely.points(shapely.get_coordinates(shapely.segmentize(shape.boundary, 0.2)))
    cut = shapely.MultiLineString([c for p in paths for c in p.flattened(40)])
    assert shapely.distance(back, cut).max() < 0.02
