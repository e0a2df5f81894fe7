"""The files of a cup's cut sheets, and what is on them."""

import itertools
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import shapely
from shapely import affinity

from mockup.errors import GeometryError
from mockup.outputs.cut.drawing import KINDS, Drawing
from mockup.outputs.cut.framed import frame_of, framed
from mockup.outputs.cut.make import PDF_NAME, cut_files
from mockup.outputs.cut.pages import OVERLAP_MM, tiling
from mockup.outputs.cut.panels import Panel, WrapCut
from mockup.outputs.cut.path import at, quarter_turn
from mockup.outputs.cut.strip import placement_strip
from mockup.outputs.cut.template import round_template
from mockup.outputs.pieces import pieces
from tests.outputs.cut.cups import SHELF, STRAIGHT, TAPERED, built, decal, design_of, wrap

SVG = "{http://www.w3.org/2000/svg}"
LAYERED = decal(text="Four", letter_height_mm=20.0, backing=[{"swatch": "ivory", "outset_mm": 1.5}])


def made_of(*layers, blank=STRAIGHT, **options):
    return cut_files(design_of(*layers, blank=blank), built(blank), SHELF, **options)


def outline_of(drawing, name):
    (path,) = [s.path for s in drawing.strokes if s.name == name]
    rings = [shapely.Polygon(ring) for ring in path.flattened(32)]
    area = rings[0]
    for ring in rings[1:]:
        area = area.symmetric_difference(ring)
    return area


def template_of(*layers, blank):
    design = design_of(*layers, blank=blank)
    (piece,) = pieces(design, built(blank))
    cut = WrapCut.of(piece, design.document.layers[1], built(blank))
    return piece, round_template(piece, cut, Panel("", -np.pi, np.pi), built(blank))


def frames_of(blank, *, mirrored):
    found = pieces(design_of(LAYERED, blank=blank), built(blank))
    wall = built(blank).wall
    sides = zip(found, mirrored, strict=True)
    return found, [
        framed(piece, frame_of(piece, found, 4.0), wall, mirrored=side) for piece, side in sides
    ]


def test_there_is_one_pdf_and_an_svg_for_each_sheet():
    made = made_of(wrap(fit="tile", width_mm=40.0), LAYERED)

    assert list(made.files) == [
        PDF_NAME,
        "template-1-assets-wave-svg.svg",
        "vinyl-ivory.svg",
        "foil-copper.svg",
        "placement-strip-and-rule.svg",
    ]


def test_the_same_design_gives_the_same_bytes():
    first, second = (made_of(LAYERED, blank=TAPERED).files for _ in range(2))

    assert first == second


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
def test_foil_is_cut_as_in_a_mirror(blank):
    """The drawn cut, mirrored and turned y up, is the piece; vinyl is the piece as it is."""
    found, (vinyl, foil) = frames_of(blank, mirrored=(False, True))

    for piece, drawing, side in ((found[0], vinyl, 1), (found[1], foil, -1)):
        drawn = outline_of(drawing, f"piece-{piece.order + 1}")
        seen = affinity.scale(drawn, side, -1, origin=(0, 0))
        shift = np.array(piece.outline.bounds[:2]) - seen.bounds[:2]
        apart = affinity.translate(seen, *shift).symmetric_difference(piece.outline)
        assert apart.area < 0.01 * piece.outline.length  # the curves' tolerance along the edge


def test_a_word_in_foil_is_not_the_word_as_seen():
    """The mirror matters: face up and from behind are different shapes."""
    _, (_, behind) = frames_of(STRAIGHT, mirrored=(False, True))
    _, (_, face) = frames_of(STRAIGHT, mirrored=(False, False))

    assert outline_of(behind, "piece-2").symmetric_difference(outline_of(face, "piece-2")).area > 50


def test_crosses_of_all_layers_stand_in_the_same_places_about_the_shape():
    """Laid cross on cross (foil seen from behind, so mirrored back), the layers fall together."""
    found, drawings = frames_of(TAPERED, mirrored=(False, True))
    about = []
    for piece, drawing, side in zip(found, drawings, (1, -1), strict=True):
        crosses = [s.path.bounds() for s in drawing.strokes if s.kind == "register"]
        assert len(crosses) == 4
        middle = np.array([[(b[0] + b[2]) / 2, (b[1] + b[3]) / 2] for b in crosses])
        west, _, east, north = piece.outline.bounds
        drawn = outline_of(drawing, f"piece-{piece.order + 1}").bounds
        anchor = (drawn[0] - west if side > 0 else drawn[0] + east), drawn[1] + north
        about.append(np.sort(((middle - anchor) * [side, 1]).round(3), axis=0))

    np.testing.assert_allclose(about[0], about[1], atol=0.02)  # the curves' own tolerance


@pytest.mark.parametrize("turned", [False, True])
def test_laying_on_a_sheet_moves_and_turns_without_a_mirror(turned):
    _, (vinyl, _) = frames_of(STRAIGHT, mirrored=(False, True))
    place = quarter_turn(7.0, 9.0, vinyl.height_mm) if turned else at(7.0, 9.0)
    frame = next(s for s in vinyl.strokes if s.kind == "cut" and not s.name)

    left, top, right, foot = frame.path.moved(place).bounds()
    a, b, c, d, *_ = place

    assert (left, top) == pytest.approx((7.0, 9.0))
    sides = (vinyl.height_mm, vinyl.width_mm) if turned else (vinyl.width_mm, vinyl.height_mm)
    assert (right - left, foot - top) == pytest.approx(sides)
    assert a * d - b * c == 1  # a turn; −1 would be a mirror


def test_every_kind_of_line_has_its_own_stroke_and_words():
    styles = [(style.dash_mm, style.words) for style in KINDS.values()]

    assert len({dash for dash, _ in styles if dash}) == 3  # guide, centre, measure
    assert [kind for kind, style in KINDS.items() if not style.dash_mm] == ["cut", "register"]
    svg = made_of(LAYERED).files["foil-copper.svg"].decode()
    for style in KINDS.values():
        assert style.words in svg


def test_an_svg_says_its_size_in_mm_and_groups_lines_by_kind():
    files = made_of(LAYERED, wrap(fit="tile", width_mm=40.0)).files
    for name, data in files.items():
        if name.endswith(".svg"):
            root = ET.fromstring(data)
            box = [float(v) for v in root.get("viewBox").split()]
            assert root.get("width") == f"{box[2]:.4f}mm"
            assert root.get("height") == f"{box[3]:.4f}mm"
            groups = [g.get("id") for g in root.findall(f"{SVG}g")]
            assert groups[0] == "cut"
            assert groups[-1] == "notes"
            assert "NOT APPROVED" in {text.text for text in root.iter(f"{SVG}text")}


def test_words_in_a_name_that_mean_something_to_xml_are_written_safely():
    layer = decal(name='Bow & "Stern" <3', text="7", letter_height_mm=20.0)

    root = ET.fromstring(made_of(layer).files["foil-copper.svg"])

    assert any("Bow & " in (text.text or "") for text in root.iter(f"{SVG}text"))


def test_a_template_has_its_front_seam_trims_and_direction():
    layer = wrap(fit="tile", width_mm=40.0, seam_deg=90.0)
    piece, drawing = template_of(layer, blank=TAPERED)

    words = {note.text for note in drawing.notes}
    assert {"front", "pattern and grain up"} <= words
    assert any(text.startswith("seam") for text in words)
    assert sum(text.startswith("trim at the") for text in words) == 2
    assert [s.kind for s in drawing.strokes].count("centre") == 1
    cut = outline_of(drawing, "piece-1")
    wall = built(TAPERED).wall
    trims = 2.0 * float(wall.circumference_mm(0) + wall.circumference_mm(wall.length_mm))
    assert cut.area == pytest.approx(piece.area_mm2 + trims, rel=1e-3)


def test_a_band_inside_the_wall_needs_no_trim():
    layer = wrap(fit="tile", width_mm=40.0, from_mm=20.0, to_mm=60.0)
    piece, drawing = template_of(layer, blank=STRAIGHT)

    assert not any(note.text.startswith("trim") for note in drawing.notes)
    assert outline_of(drawing, "piece-1").area == pytest.approx(piece.area_mm2, rel=1e-6)


@pytest.mark.parametrize("blank", [STRAIGHT, TAPERED], ids=["straight", "tapered"])
def test_the_strip_goes_once_round_at_the_foot_and_laps(blank):
    """Its area: 24 mm times the mean way round, and the lap of 10 mm at the foot."""
    found = pieces(design_of(LAYERED, blank=blank), built(blank))
    drawing = placement_strip(found, built(blank).wall)

    wall = built(blank).wall
    lap = 1 + 10.0 / float(wall.circumference_mm(0.0))  # by angle, as the strip is
    expected = lap * float(wall.circumference_mm([0.0, 24.0]).mean()) * 24.0
    assert outline_of(drawing, "strip").area == pytest.approx(expected, rel=1e-4)
    words = {note.text for note in drawing.notes}
    assert {"0° front", "180° back", "+90°", "−90°", "foot of the wall along this edge"} <= words
    assert {"Four · 75 mm", "75  Four"} <= words  # on the strip and on the rule


def test_names_on_the_strip_never_lie_on_one_another():
    """A dozen decals at neighbouring angles; where names have no room, numbers stand for them."""
    layers = [
        decal(
            name=f"mark number {i}", place={"height_mm": 30.0 + 5 * (i % 3), "angle_deg": 2.0 * i}
        )
        for i in range(12)
    ]
    drawing = placement_strip(pieces(design_of(*layers), built(STRAIGHT)), built(STRAIGHT).wall)

    names = [note for note in drawing.notes if note.strong and note.turn_deg == 0.0]
    assert [note.text for note in names] == [f"{i + 1}" for i in range(12)]
    for first, second in itertools.combinations(names, 2):
        apart = abs(first.x_mm - second.x_mm) > 1.2 * 2.2
        assert apart or abs(first.y_mm - second.y_mm) > 2.2


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("size", [(150.0, 100.0), (260.0, 120.0), (290.0, 60.0), (600.0, 400.0)])
def test_tiles_cover_the_drawing_and_overlap(paper, size):
    plan = tiling(Drawing(*size), paper)

    last = plan.corner(plan.columns - 1, plan.rows - 1)
    assert last[0] + plan.width_mm >= size[0]
    assert last[1] + plan.height_mm >= size[1]
    if plan.columns > 1:
        assert plan.corner(1, 0)[0] == pytest.approx(plan.width_mm - OVERLAP_MM)
        assert plan.corner(plan.columns - 1, 0)[0] < size[0]


def test_a_decal_that_does_not_fit_the_wall_is_told():
    with pytest.raises(GeometryError, match="beyond the wall's rim"):
        made_of(decal(place={"height_mm": 148.0}))


def test_a_design_with_nothing_to_cut_still_has_its_strip():
    assert list(made_of().files) == [PDF_NAME, "placement-strip-and-rule.svg"]


def test_a_template_tells_what_its_dashed_lines_are_for():
    """A seam is lapped, not trimmed; only what stands over foot or rim is trimmed."""

    def told(**place):
        blank = STRAIGHT | {"foot_gap_mm": 4.0, "rim_gap_mm": 8.0}
        files = made_of(wrap(**place), blank=blank).files
        (svg,) = (data for name, data in files.items() if name.startswith("template-1"))
        return " ".join(" ".join(ET.fromstring(svg).itertext()).split())

    assert "the other end's edge comes to the dashed seam." in told(from_mm=40.0, to_mm=80.0)
    assert "over at the foot and the rim is trimmed at the dashed lines once" in told(
        fit="tile", width_mm=40.0
    )


def test_the_rule_names_every_decal_at_a_height():
    layers = [
        decal(name="crew name", place={"height_mm": 60, "angle_deg": 0}),
        decal(name="seat number", place={"height_mm": 60, "angle_deg": 180}),
    ]
    drawing = placement_strip(pieces(design_of(*layers), built(STRAIGHT)), built(STRAIGHT).wall)
    named = [note for note in drawing.notes if note.strong and note.turn_deg]

    assert {note.text for note in named} == {"60  crew name, seat", "number"}
    assert len({(note.x_mm, note.y_mm) for note in named}) == 2
