"""The mesh is a closed cup whose vertices, normals and coordinates are those of the surface."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings

from mockup.blank.flat import flat_from_wall, object_from_wall
from mockup.blank.library import blank_names, find_blank
from mockup.blank.mesh import build_mesh
from mockup.blank.outline import CupPart, cup_outline
from mockup.errors import GeometryError
from tests.blank.walls import blanks

MOST_ROWS = 120
LIBRARY = [(name, lid) for name in blank_names() for lid in (False, True)]


@pytest.fixture(scope="module", params=LIBRARY, ids=lambda p: f"{p[0]}{', lid' * p[1]}")
def cup(request):
    name, lid = request.param
    blank = find_blank(name, lid=lid)
    return blank, build_mesh(blank)


def merged(mesh):
    """Triangles over vertices that are told apart by place alone: (m, 3)."""
    _, number = np.unique(mesh.positions, axis=0, return_inverse=True)
    return number.reshape(-1)[mesh.triangles]


def assert_closed(mesh):
    """Every edge is walked once each way, by two triangles: closed, and wound alike."""
    triangles = merged(mesh)
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    walked, times = np.unique(edges, axis=0, return_counts=True)
    back = np.unique(edges[:, ::-1], axis=0)

    assert (edges[:, 0] != edges[:, 1]).all()
    assert times.max() == 1
    np.testing.assert_array_equal(walked, back)


def volume(mesh, parts):
    """Divergence theorem: (1/6) Σ a · (b × c); positive if wound outward."""
    a, b, c = np.moveaxis(mesh.positions[mesh.triangles[np.isin(mesh.part, parts)]], 1, 0)
    return float(np.einsum("ij,ij->", a.astype(float), np.cross(b, c).astype(float))) / 6


def euler_characteristic(mesh):
    triangles = merged(mesh)
    edges = np.sort(
        np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1
    )
    return len(np.unique(triangles)) - len(np.unique(edges, axis=0)) + len(triangles)


def test_the_cup_is_closed_and_faces_outward(cup):
    blank, mesh = cup

    assert_closed(mesh)
    assert euler_characteristic(mesh) == 2 * (1 + blank.lid)
    assert volume(mesh, [CupPart.WALL, CupPart.STEEL]) > 0
    assert (volume(mesh, [CupPart.LID]) > 0) == blank.lid


def test_the_mesh_of_the_wall_has_the_area_of_the_wall(cup):
    blank, mesh = cup
    corners = mesh.positions[mesh.triangles[mesh.part == CupPart.WALL]].astype(float)

    area = np.linalg.norm(
        np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1
    ).sum()

    assert area / 2 == pytest.approx(blank.wall.area_mm2, rel=1e-3)


def test_vertices_of_the_wall_are_where_their_coordinates_say(cup):
    """Tolerance: float32 of 100 mm and of 3 rad on a 50 mm radius."""
    blank, mesh = cup
    on_wall = np.unique(mesh.triangles[mesh.part == CupPart.WALL])
    turn, height = mesh.turn_height[on_wall].astype(float).T

    np.testing.assert_allclose(
        mesh.positions[on_wall], object_from_wall(blank, turn, height), atol=5e-5
    )
    np.testing.assert_allclose(
        mesh.flat_mm[on_wall], flat_from_wall(blank.wall, turn, height), atol=1e-4
    )
    assert turn.min() == pytest.approx(-np.pi)
    assert turn.max() == pytest.approx(np.pi)
    assert height.min() == 0
    assert height.max() == pytest.approx(blank.wall.length_mm)


def test_bare_steel_goes_on_flush_with_the_wall(cup):
    """In the gaps, too, coordinates lead to the place: below 0 and above the wall's length."""
    blank, mesh = cup
    height = mesh.turn_height[:, 1].astype(float)
    steel = np.zeros(len(height), dtype=bool)
    steel[np.unique(mesh.triangles[mesh.part == CupPart.STEEL])] = True
    length, lip = blank.wall.length_mm, blank.lip_height_mm
    flush = steel & (((height > -1) & (height < 0)) | ((height > length) & (height <= lip + 1e-4)))

    assert flush.any()
    np.testing.assert_allclose(
        mesh.positions[flush],
        object_from_wall(blank, mesh.turn_height[flush, 0].astype(float), height[flush]),
        atol=1e-4,
    )


def test_normals_of_the_wall_are_exact(cup):
    """Cross product of central differences of the surface itself."""
    blank, mesh = cup
    on_wall = np.unique(mesh.triangles[mesh.part == CupPart.WALL])[::37]
    turn, height = mesh.turn_height[on_wall].astype(float).T
    height = np.clip(height, 0.01, blank.wall.length_mm - 0.01)
    by_turn = object_from_wall(blank, turn + 1e-5, height) - object_from_wall(
        blank, turn - 1e-5, height
    )
    by_height = object_from_wall(blank, turn, height + 1e-3) - object_from_wall(
        blank, turn, height - 1e-3
    )
    across = np.cross(by_turn, by_height)

    expected = across / np.linalg.norm(across, axis=1, keepdims=True)
    np.testing.assert_allclose(mesh.normals[on_wall], expected, atol=2e-3)


def test_every_triangle_faces_the_way_of_its_normals(cup):
    """Rows on round edges are 30° apart at most, so a facet is within 15° of its corners."""
    _, mesh = cup
    a, b, c = np.moveaxis(mesh.positions[mesh.triangles].astype(float), 1, 0)
    face = np.cross(b - a, c - a)
    face /= np.linalg.norm(face, axis=1, keepdims=True)
    towards = np.einsum("ij,ikj->ik", face, mesh.normals[mesh.triangles])

    np.testing.assert_allclose(np.linalg.norm(mesh.normals, axis=1), 1.0, atol=1e-6)
    assert towards.min() > np.cos(np.radians(16))


def test_the_mesh_stands_on_the_table_and_ends_at_its_height(cup):
    """Tolerance: the crest of a tilted lip falls between two of its rows."""
    blank, mesh = cup

    assert mesh.positions[:, 2].min() == 0
    assert mesh.positions[:, 2].max() == pytest.approx(blank.total_height_mm, abs=0.02)
    assert mesh.total_height_mm == blank.total_height_mm


def test_the_mesh_is_no_heavier_than_it_need_be(cup):
    _, mesh = cup

    assert len(mesh.positions) <= 257 * MOST_ROWS
    assert (np.diff(mesh.part.astype(int)) >= 0).all()


def test_the_vertices_of_the_seam_are_doubled(cup):
    _, mesh = cup
    turn = mesh.turn_height[:, 0]
    left, right = mesh.positions[turn == turn.min()], mesh.positions[turn == turn.max()]

    np.testing.assert_array_equal(left, right)
    assert len(left) > 40


def test_pyvista_holds_the_same(cup):
    _, mesh = cup

    np.testing.assert_array_equal(mesh.surface.points, mesh.positions)
    np.testing.assert_array_equal(mesh.surface.faces.reshape(-1, 4)[:, 1:], mesh.triangles)
    np.testing.assert_array_equal(mesh.surface.cell_data["part"], mesh.part)
    for name in ("normals", "turn_height", "flat_mm"):
        np.testing.assert_array_equal(mesh.surface.point_data[name], getattr(mesh, name))
        assert mesh.surface.point_data[name].dtype == np.float32


@pytest.mark.parametrize("name", blank_names())
def test_the_outside_is_smooth_from_the_table_over_the_lip_to_the_floor(name):
    """Only the edges of the ring below and of the lid are creases.

    Tolerance: a profile's slope over the millimetre at its lip.
    """
    runs = cup_outline(find_blank(name))

    bends = [
        float(np.degrees(np.arccos(np.clip(a.normals[-1] @ b.normals[0], -1, 1))))
        for a, b in pairwise(runs)
    ]

    assert bends[0] > 30
    assert bends[1] > 30
    assert max(bends[2:]) < 0.5


@settings(max_examples=40)
@given(blanks())
def test_whatever_a_maker_measures_makes_a_closed_cup(blank):
    runs = cup_outline(blank)
    mesh = build_mesh(blank, columns=8)

    assert_closed(mesh)
    assert min(run.points_mm[:, 0].min() for run in runs) >= 0
    assert volume(mesh, [CupPart.WALL, CupPart.STEEL]) > 0
    assert np.isfinite(mesh.flat_mm).all()
    assert np.isfinite(mesh.normals).all()
    assert mesh.positions[:, 2].max() <= blank.total_height_mm + 1e-3


@given(blanks())
def test_the_lip_ends_the_rim_gap_or_stands_on_the_wall(blank):
    """Furthest along the wall's own direction, the lip reaches the end of the rim gap."""
    wall = blank.wall
    rim = np.array(
        [
            float(wall.radius_at(wall.length_mm)),
            blank.wall_foot_z_mm + float(wall.z_at(wall.length_mm)),
        ]
    )
    onward = np.array([float(part) for part in wall.slope_at(wall.length_mm)])
    points = np.concatenate([r.points_mm for r in cup_outline(blank) if r.part == CupPart.STEEL])
    near = np.linalg.norm(points - rim, axis=1) < blank.rim_gap_mm + blank.steel_mm

    reach = ((points[near] - rim) @ onward).max()

    assert reach == pytest.approx(max(blank.rim_gap_mm, blank.steel_mm / 2), abs=1e-9)


def test_too_few_columns_are_refused():
    with pytest.raises(GeometryError, match="3 columns make no round cup"):
        build_mesh(find_blank("tapered 20 fl oz"), columns=3)
