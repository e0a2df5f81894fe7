"""Walls and blanks for property tests: what a maker may measure, far beyond the usual."""

import numpy as np
from hypothesis import strategies as st

from mockup.blank.wall import Blank, Wall, build_blank
from mockup.design.blanks import ProfileBlank, StraightBlank, TaperedBlank

__all__ = ["blank_of", "blanks", "cones", "frustums", "profiles", "turns"]

turns = st.floats(-np.pi, np.pi)
_radii = st.floats(12.0, 90.0)
_heights = st.floats(40.0, 300.0)


def blank_of(wall: Wall) -> Blank:
    """A blank that carries `wall`."""
    return Blank(wall, 6.0, 8.0, False, None, "for trial", "")


def _cone(foot_mm: float, rim_mm: float, height_mm: float) -> Wall:
    kind = "cylinder" if foot_mm == rim_mm else "cone"
    return Wall(kind, (0.0, height_mm), (foot_mm, rim_mm))


@st.composite
def cones(draw):
    """Tapered walls, widening or narrowing, from hair-fine tapers to strong ones."""
    foot, height = draw(_radii), draw(_heights)
    taper = draw(st.sampled_from([-1.0, 1.0])) * 10 ** draw(st.floats(-12.0, np.log10(0.5)))
    rim = foot + taper * min(foot, height)
    return _cone(foot, rim, height)


frustums = st.one_of(st.builds(lambda r, h: _cone(r, r, h), _radii, _heights), cones())


@st.composite
def profiles(draw):
    """Smooth and knobbly profiles without nearly flat places."""
    steps = draw(st.lists(st.floats(8.0, 30.0), min_size=2, max_size=7))
    z = np.append(0.0, np.cumsum(steps))
    radius = [draw(st.floats(25.0, 50.0))]
    for step in steps:
        radius.append(float(np.clip(radius[-1] + step * draw(st.floats(-0.7, 0.7)), 18, 80)))
    return Wall("profile", tuple(map(float, z)), tuple(radius))


_gaps = {
    "foot_gap_mm": st.one_of(st.just(0.0), st.floats(0.0, 15.0)),
    "rim_gap_mm": st.one_of(st.just(0.0), st.floats(0.0, 15.0)),
    "lid": st.booleans(),
}


@st.composite
def blanks(draw):
    """Blanks of every shape, with and without gaps and lid."""
    gaps = {name: draw(gap) for name, gap in _gaps.items()}
    wall = draw(st.one_of(frustums, profiles()))
    foot, rim = 2 * wall.radius_mm[0], 2 * wall.radius_mm[-1]
    if wall.kind == "profile":
        points = tuple(zip(wall.z_mm, wall.radius_mm, strict=True))
        spec = ProfileBlank(points_mm=points, **gaps)
    elif wall.kind == "cylinder":
        spec = StraightBlank(diameter_mm=foot, wall_height_mm=wall.height_mm, **gaps)
    else:
        spec = TaperedBlank(
            foot_diameter_mm=foot, rim_diameter_mm=rim, wall_height_mm=wall.height_mm, **gaps
        )
    return build_blank(spec, where="trial")
