"""The shader's flakes are its numpy twin's, seen where light under resin on a round wall goes.

The shading source is edited as it is read: in place of radiance it writes what is asked for, 24
bits a pixel, under the exponent that stands for 1.
"""

from dataclasses import replace

import numpy as np
import pytest

from mockup.blank.wall import Wall
from mockup.render import host
from mockup.shading.flakes import pcg3d, top_flake
from tests.render.cups import BANDS, DEPTH_MM, RADIUS_MM, band_cup, request

IOR = 1.5
TAPERED = Wall("cone", (0.0, 100.0), (28.0, 40.0))
STRAIGHT = Wall("cylinder", (0.0, 100.0), (RADIUS_MM, RADIUS_MM))
UNDER = "under_resin(p.wall, slope, param(ROW_FLAKES, 2).y, p.radius)"
ASKED = {
    "flake": "hit ? pcg3d(found.id).x >> 8u : 0u",
    "turn": f"uint(({UNDER}.x / (2.0 * PI) + 0.5) * 16777216.0)",
    "height": f"uint(({UNDER}.y + 64.0) / 256.0 * 16777216.0)",
    "radius": "uint(p.radius / 64.0 * 16777216.0)",
}


def _once(text, old, new):
    assert text.count(old) == 1, f"the shading source has no single {old!r}"
    return text.replace(old, new)


def _asking(source, what):
    source = "vec4 probe_ = vec4(0.0);\n" + source
    asked = f"""#if FLAKES > 0 && WITH_FLAKES == 1
  uint asked_ = {ASKED[what]};
  probe_ = vec4(vec3((uvec3(asked_) >> uvec3(16u, 8u, 0u)) & 255u), 128.0) / 255.0;
#endif
  return seen + face;"""
    source = _once(source, "  return seen + face;", asked)
    return _once(
        source, "return vec4(radiance * exp2(-e / 8.0), (e + 128.0) / 255.0);", "return probe_;"
    )


@pytest.fixture
def probed(radiance, monkeypatch):
    """Draw a view and read every number of `ASKED`: arrays over the pixels of the wall."""
    true_source = host.source_text("mockup.shading", "shade.glsl")

    def look(bands, table, **view):
        found = {}
        for what in ASKED:
            edited = _asking(true_source, what)
            monkeypatch.setattr(host, "source_text", lambda *_, edited=edited: edited)
            keyed = replace(bands, model=replace(bands.model, key=f"{bands.model.key} {what}"))
            shown = radiance(keyed, request(keyed, table, **view))
            code = np.rint(shown[..., :3] * 255).astype(np.int64)
            found[what] = code[..., 0] << 16 | code[..., 1] << 8 | code[..., 2]
            on_wall = shown[..., 3] > 0
        found["on_wall"] = on_wall
        found["turn"] = (found["turn"] / 2**24 - 0.5) * 2 * np.pi
        found["height"] = found["height"] / 2**24 * 256 - 64
        found["radius"] = found["radius"] / 2**24 * 64
        return found

    return look


def _same_flake(bands, table, seen):
    """Share of the wall's pixels, away from the foil, whose top flake is the twin's; and hits."""
    low, high = BANDS["foil"]
    clear = seen["on_wall"] & ((seen["height"] < low - 3) | (seen["height"] > high + 3))
    points = (seen[name][clear] for name in ("turn", "height", "radius"))
    turn, height, radius = points
    twin = top_flake(bands.model.skin, table, 0, turn, height, radius - DEPTH_MM)
    expected = np.where(twin.hit, pcg3d(twin.ids)[:, 0] >> np.uint32(8), 0)
    return clear.sum(), (seen["flake"][clear] == expected).mean(), twin.hit.mean()


def test_the_shader_shows_the_flakes_of_its_twin(probed):
    """A tapered cup with its seam in front, bare at the foot and dense at the rim."""
    bands = band_cup("twin", wall=TAPERED, field=lambda up, turn: 0.02 + 0.93 * up / 100)
    table = bands.table()

    seen = probed(bands, table, turn_rad=np.pi, elevation_deg=15.0)
    count, same, hidden = _same_flake(bands, table, seen)

    assert count > 5000
    assert 0.3 < hidden < 0.7
    assert same > 0.99


@pytest.mark.parametrize(("z_mm", "share"), [(8.0, 0.02), (104.0, 0.9)], ids=["foot", "rim"])
def test_a_field_ends_at_the_walls_ends(probed, z_mm, share):
    """The rim's dense field shows nowhere at the sparse foot, nor the other way round."""
    bands = band_cup("ends", field=lambda up, turn: np.where(up < 50, 0.02, 0.9), cut_mm=0.2)
    table = bands.table()

    seen = probed(bands, table, target=(0.0, -RADIUS_MM, z_mm), field_mm=6.0)
    near_end = np.minimum(np.abs(seen["height"]), np.abs(seen["height"] - 100)) < 0.3
    there = near_end & seen["on_wall"]
    _, same, _ = _same_flake(bands, table, seen)

    assert there.sum() > 300
    assert (seen["flake"][there] > 0).mean() == pytest.approx(share, abs=0.12)
    assert same > 0.99


def test_the_flakes_are_where_refraction_shows_them(probed):
    """Snell's law at the round outer face, then straight on to the layer's own cylinder."""
    bands = band_cup("snell", field=lambda up, turn: 0.5)
    asked = request(bands, bands.table())
    seen = probed(bands, bands.table())
    rows, columns = np.nonzero(seen["on_wall"])
    right, up, forward = asked.camera.axes()
    half = np.tan(np.radians(asked.camera.fov_deg) / 2)
    u = ((columns + 0.5) / 150 * 2 - 1) * 150 / 200 * half
    v = (1 - (rows + 0.5) / 200 * 2) * half
    ray = forward + u[:, None] * right + v[:, None] * up
    ray /= np.linalg.norm(ray, axis=1, keepdims=True)

    def on_cylinder(start, along, radius):
        a, b = (along[:, :2] ** 2).sum(1), (start[:, :2] * along[:, :2]).sum(1)
        c = (start[:, :2] ** 2).sum(1) - radius**2
        return start + ((-b - np.sqrt(np.maximum(b * b - a * c, 0))) / a)[:, None] * along

    outer = on_cylinder(np.broadcast_to(asked.camera.position_mm, ray.shape), ray, RADIUS_MM)
    normal = outer * [1, 1, 0] / RADIUS_MM
    mu = -(ray * normal).sum(1)
    inside = np.sqrt(1 - (1 - mu**2) / IOR**2)
    bent = ray / IOR + (mu / IOR - inside)[:, None] * normal
    place = on_cylinder(outer, bent, RADIUS_MM - DEPTH_MM)
    clear = mu > 0.4

    turn = np.arctan2(place[:, 0], -place[:, 1])
    off_turn = (seen["turn"][rows, columns] - turn) * RADIUS_MM
    off_height = seen["height"][rows, columns] - (place[:, 2] - bands.blank.wall_foot_z_mm)
    # the wall is taken as flat over the resin's depth: off by about slope · depth² / radius
    assert np.abs(off_turn[clear]).max() < 0.05
    assert np.abs(off_height[clear]).max() < 0.05
