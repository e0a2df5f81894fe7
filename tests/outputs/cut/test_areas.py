"""What is cut is as large as what is drawn: three independent ways to the same area."""

import io

import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image

from mockup.design.document import Asset
from mockup.errors import AssetError
from mockup.outputs.cut.curves import curves_from
from mockup.outputs.pieces import pieces
from mockup.skin.outline import outline_from_svg, sized
from tests.outputs.cut.corpus import DRAWINGS
from tests.outputs.cut.cups import STRAIGHT, built, decal, design_of

LONG_SIDE_PX = 900


def px_per_unit(svg):
    """Pixels per user unit, from the root's own view box and size."""
    root = svg.decode().split(">")[0]
    box = [float(v) for v in root.split('viewBox="')[1].split('"')[0].split()]
    if 'width="' in root:  # fitted, centred: the smaller scale rules
        width = float(root.split(' width="')[1].split('"')[0])
        height = float(root.split(' height="')[1].split('"')[0])
        return LONG_SIDE_PX / width * min(width / box[2], height / box[3])
    return LONG_SIDE_PX / box[2]


def path_area(paths):
    """Area within closed paths by the shoelace formula, holes counted off by even-odd."""
    rings = [ring for path in paths for ring in path.flattened(64)]
    solids = [shapely.Polygon(ring) for ring in rings]
    depth = [
        sum(solid is not other and other.contains(shapely.Point(ring[0])) for other in solids)
        for solid, ring in zip(solids, rings, strict=True)
    ]
    return sum(s.area * (-1) ** d for s, d in zip(solids, depth, strict=True))


def test_the_corpus_is_large_enough():
    assert len(DRAWINGS) >= 60


@pytest.mark.parametrize("name", DRAWINGS)
def test_areas_agree_within_a_five_hundredth(name):
    """Shapely's area of the shape, the counted pixels of resvg's picture, and the cut curves."""
    svg = DRAWINGS[name]
    shape = outline_from_svg(Asset(f"assets/{name}.svg", svg), where="layers[0]")
    png = resvg_py.svg_to_bytes(svg_string=svg.decode(), width=LONG_SIDE_PX)
    alpha = np.asarray(Image.open(io.BytesIO(bytes(png))).convert("RGBA"))[..., 3]
    painted = alpha.sum(dtype=np.float64) / 255 / px_per_unit(svg) ** 2

    assert shape.area == pytest.approx(painted, rel=2e-3)
    on_cup = sized(shape, width_mm=60.0)
    assert path_area(curves_from(on_cup)) == pytest.approx(on_cup.area, rel=2e-3)


@pytest.mark.parametrize(
    "svg",
    [
        b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0L9',
        b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0Lx9"/></svg>',
        b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"/>',
        b"no drawing at all",
    ],
    ids=["cut short", "not a number", "empty", "text"],
)
def test_a_malformed_drawing_is_one_sentence_with_its_place(svg):
    design = design_of(decal(svg="assets/bad.svg", width_mm=20.0), bad=svg)

    with pytest.raises(AssetError, match=r"^design\.toml: layers\[1\]\.svg: assets/bad\.svg .+\.$"):
        pieces(design, built(STRAIGHT))
