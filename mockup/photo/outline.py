"""The outline of a cup as a camera sees it: where the line of sight grazes the cup.

On a surface of revolution the grazing points at one height follow in closed form from the normal,
so the whole outline is a pass over the half section. What another part of the cup hides is left
out: the filled cup is a stack of discs, and a point is hidden if its ray passes through one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mockup.blank.outline import CupPart, Run, cup_outline
from mockup.blank.wall import Blank
from mockup.photo.camera import Pose

__all__ = ["HalfSection", "Outline", "half_section", "hidden", "outline_seen"]

Floats = NDArray[np.float64]

# how well each part's own shape is known, σ; the wall's ends are where the maker masked them
WALL_MM, STEEL_MM, LID_MM, BORDER_MM = 0.15, 0.35, 0.7, 0.4
_FINE_MM = 0.25  # spacing along the section before the outline is thinned
_ROUND_RAD = 0.002  # and between normals: towards the front the outline runs fast
_DISCS = 48
_LED_ON_RAD = 0.6  # towards front and back the outline runs too fast for its steps
_BORDER_RAD = 1.2  # of the wall's ends, to either side of what faces the camera
_BEFORE_MM = 4.0  # what hides a point of the near side lies so far before it
_INSIDE_MM = 0.12  # a ray that passes a disc's edge by less grazes it: chords of round edges


@dataclass(frozen=True, slots=True, eq=False)
class HalfSection:
    """Places along the outside of a cup, foot first: (n, 2) points (r, z) mm and unit normals.

    `sigma_mm` : (n,), how well the shape is known there; `discs` : (m, 2), radii and heights of
    discs that fill the cup; `borders` : (2, 2), the same of the wall's two ends, foot and rim.
    """

    points_mm: Floats
    normals: Floats
    sigma_mm: Floats
    discs: Floats
    borders: Floats
    middle_mm: float

    def every(self, stride: int) -> "HalfSection":
        """The same with fewer places."""
        return replace(
            self,
            points_mm=self.points_mm[::stride],
            normals=self.normals[::stride],
            sigma_mm=self.sigma_mm[::stride],
        )


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """Points of the outline: (n, 3) mm in the stage's frame, (n, 2) px, unit normals outward in px.

    `sigma_px` : (n,), how well the cup's own shape tells where the point falls. `border` : (n,),
    whether it lies within, where the wall ends; outward is then towards the bare steel.
    """

    points_mm: Floats
    pixel: Floats
    normal: Floats
    sigma_px: Floats
    border: NDArray[np.bool_]

    def where(self, chosen: NDArray[np.bool_]) -> "Outline":
        """Some of the points."""
        return Outline(
            self.points_mm[chosen],
            self.pixel[chosen],
            self.normal[chosen],
            self.sigma_px[chosen],
            self.border[chosen],
        )


def half_section(blank: Blank, *, lid: bool | None = None) -> HalfSection:
    """The outside of a blank, with or without its lid; None takes it as the blank tells."""
    if lid is not None:
        blank = replace(blank, lid=lid)
    runs = [r for r in cup_outline(blank) if _outside(r)]
    parts = [_fine(run) for run in runs]
    points = np.concatenate([p for p, _ in parts])
    normals = np.concatenate([n for _, n in parts])
    sigma = [_sigma(run, len(p)) for run, (p, _) in zip(runs, parts, strict=True)]
    along = np.unique(np.linspace(0, len(points) - 1, _DISCS).astype(np.intp))
    widest = [int(np.argmax(points[:, 0])), int(np.argmax(points[:, 1]))]
    discs = points[np.unique(np.concatenate([along, widest]))]
    ends = np.array([0.0, blank.wall.length_mm])
    borders = np.stack(
        [blank.wall.radius_at(ends), blank.wall_foot_z_mm + blank.wall.z_at(ends)], axis=-1
    )
    middle = blank.lip_z_mm / 2
    return HalfSection(points, normals, np.concatenate(sigma), discs, borders, middle)


def _outside(run: Run) -> bool:
    """Whether any of a run can be seen against the background; the inside cannot."""
    return bool(np.any(run.normals[:, 0] > 1e-6)) and len(run.points_mm) > 1


def _sigma(run: Run, count: int) -> Floats:
    known = {CupPart.WALL: WALL_MM, CupPart.STEEL: STEEL_MM, CupPart.LID: LID_MM}
    return np.full(count, known[run.part])


def _fine(run: Run) -> tuple[Floats, Floats]:
    """A run in small steps of way and of normal; only what faces outward."""
    points, normals = run.points_mm, run.normals
    way = np.linalg.norm(np.diff(points, axis=0), axis=1)
    bend = np.arccos(np.clip((normals[1:] * normals[:-1]).sum(axis=1), -1, 1))
    steps = np.maximum(np.ceil(np.maximum(way / _FINE_MM, bend / _ROUND_RAD)), 1).astype(int)
    at = np.concatenate([i + np.arange(n) / n for i, n in enumerate(steps)] + [[len(steps)]])
    index = np.arange(len(points))
    p = np.stack([np.interp(at, index, points[:, k]) for k in (0, 1)], axis=-1)
    n = np.stack([np.interp(at, index, normals[:, k]) for k in (0, 1)], axis=-1)
    n /= np.linalg.norm(n, axis=1, keepdims=True)
    outward = n[:, 0] > 1e-6
    return p[outward], n[outward]


def outline_seen(
    section: HalfSection, pose: Pose, *, step_px: float, borders: bool = False
) -> Outline:
    """The outline from a camera, a point about every `step_px`; with the wall's ends if asked."""
    eye = pose.eye_mm
    r, z = section.points_mm.T
    across, up = section.normals.T
    # N · (eye − P) = 0 with N = (across sin φ, −across cos φ, up), P = (r sin φ, −r cos φ, z)
    cosine = (across * r - up * (eye[2] - z)) / (across * -eye[1])
    grazed = np.flatnonzero(np.abs(cosine) <= 1)
    chains = []
    for piece in np.split(grazed, np.flatnonzero(np.diff(grazed) > 1) + 1):
        places = np.column_stack([section.points_mm, section.normals, section.sigma_mm])[piece]
        turn = np.arccos(cosine[piece])
        places, turn = _closed(places, turn)
        chains += [_spaced(section, pose, places, side * turn, step_px) for side in (-1.0, 1.0)]
    if borders:
        chains += [_border(section, pose, nth, step_px) for nth in (0, 1)]
    return _joined(chains)


def _border(section: HalfSection, pose: Pose, nth: int, step_px: float) -> Outline:
    """The near side of the wall's foot (0) or rim (1)."""
    radius, z = section.borders[nth]
    scale = float(pose.px_per_mm(np.array([0.0, -radius, z])))
    count = max(8, int(2 * _BORDER_RAD * radius * scale / step_px))
    turn = np.linspace(-_BORDER_RAD, _BORDER_RAD, count)
    points = np.stack([radius * np.sin(turn), -radius * np.cos(turn), np.full(count, z)], axis=-1)
    pixel = pose.pixel_from_stage(points)
    way = np.gradient(pixel, axis=0)
    normal = np.stack([-way[:, 1], way[:, 0]], axis=-1)  # down in the picture: to the foot
    normal *= (1.0 if nth == 0 else -1.0) / np.linalg.norm(normal, axis=1, keepdims=True)
    shown = ~hidden(section.discs, pose.eye_mm, points, before_mm=_BEFORE_MM)
    sigma = BORDER_MM * pose.px_per_mm(points)
    return Outline(points, pixel, normal, sigma, np.ones(count, bool)).where(shown)


def _closed(places: Floats, turn: Floats) -> tuple[Floats, Floats]:
    """A piece of outline, led on to the front or back where it stops just before it."""
    for end in (0, -1):
        middle = 0.0 if turn[end] < np.pi / 2 else np.pi
        if 0 < abs(turn[end] - middle) < _LED_ON_RAD:
            at = 0 if end == 0 else len(turn)
            places = np.insert(places, at, places[end], axis=0)
            turn = np.insert(turn, at, middle)
    return places, turn


def _spaced(
    section: HalfSection, pose: Pose, places: Floats, turn: Floats, step_px: float
) -> Outline:
    """One side of a piece of outline at even steps; `places` are (n, 5) r, z, normal, σ in mm."""
    points, _ = _turned(places, turn)
    way = np.append(0.0, np.linalg.norm(np.diff(pose.pixel_from_stage(points), axis=0), axis=1))
    way = way.cumsum()
    at = np.arange(0.5 * step_px, way[-1], step_px)
    places = np.stack([np.interp(at, way, column) for column in places.T], axis=-1)
    points, normals = _turned(places, np.interp(at, way, turn))
    facing = normals @ pose.camera_from_stage.T[:, :2]
    facing = facing / np.maximum(np.linalg.norm(facing, axis=1, keepdims=True), 1e-12)
    sigma = places[:, 4] * pose.px_per_mm(points)
    within = np.zeros(len(points), bool)
    whole = Outline(points, pose.pixel_from_stage(points), facing, sigma, within)
    return whole.where(~hidden(section.discs, pose.eye_mm, points))


def _turned(places: Floats, turn: Floats) -> tuple[Floats, Floats]:
    """Points and normals, (n, 3) each, of places of the section at turns round the axis."""
    sine, cosine = np.sin(turn), np.cos(turn)
    r, z, across, up = places.T[:4]
    points = np.stack([r * sine, -r * cosine, z], axis=-1)
    return points, np.stack([across * sine, -across * cosine, up], axis=-1)


def hidden(
    discs: Floats, eye: Floats, points: Floats, *, before_mm: float | None = None
) -> NDArray[np.bool_]:
    """Whether the ray to each point passes through a disc; if told, so far before the point."""
    ray = points - eye
    rise = np.where(np.abs(ray[:, 2]) < 1e-9, 1e-9, ray[:, 2])
    t = (discs[:, 1] - eye[2])[None, :] / rise[:, None]
    x, y = eye[0] + t * ray[:, :1], eye[1] + t * ray[:, 1:2]
    inside = (t > 0) & (np.hypot(x, y) < discs[:, 0] - _INSIDE_MM)
    if before_mm is not None:
        inside &= t < 1 - before_mm / np.linalg.norm(ray, axis=1)[:, None]
    return np.asarray(inside.any(axis=1))


def _joined(chains: Sequence[Outline]) -> Outline:
    return Outline(
        np.concatenate([c.points_mm for c in chains]),
        np.concatenate([c.pixel for c in chains]),
        np.concatenate([c.normal for c in chains]),
        np.concatenate([c.sigma_px for c in chains]),
        np.concatenate([c.border for c in chains]),
    )
