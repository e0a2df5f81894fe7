"""The camera that fits an outline best: Gauss-Newton on the way from outline to edges.

A grazing point slides along the cup as the camera moves, but only along the outline; across it the
outline moves as if its points were fixed to the cup, so the derivatives are those of fixed points.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mockup.photo.camera import Pose
from mockup.photo.edges import Edges, Level, edges_near
from mockup.photo.lens import Lens
from mockup.photo.outline import HalfSection, Outline, outline_seen

__all__ = ["Fit", "fit_outline", "fit_roughly"]

Floats = NDArray[np.float64]
_Round = tuple[int, int, float, float, int]

# doublings of the smallest copy of the photo, samples to either side, their spacing in px of the
# copy, the way in px of the copy from which on a point does not count,
# rounds: what lies far out is let go late, or an end of the cup that is off by much never comes in
ROUGH = ((0, 12, 1.0, 14.0, 5), (0, 8, 1.0, 7.0, 4))
_WHOLE = 9  # doublings that no photo has: all of its pixels
FINE = (
    (1, 12, 1.0, 12.0, 3),
    (1, 8, 1.0, 6.0, 4),
    (2, 8, 1.0, 7.0, 3),
    (2, 10, 0.5, 3.5, 4),
    (_WHOLE, 10, 0.5, 3.5, 3),
)
ENDS = ((2, 12, 1.0, 12.0, 3), *FINE[2:])  # with the wall's ends
STEP_PX = 3.0  # between points of the outline
JUDGED = 2  # doublings of the copy in which a fit is judged, so that larger photos are judged alike
_KINSHIP = 20.0  # so many neighbouring points err alike: of the cup's shape, glints, grain
# from further off, and with other elevations, the number that a fit gets caught by
_OTHER_TRIES = ((FINE, 0.0), (FINE[2:], 0.05), (FINE[2:], -0.05))
_LED_AWAY = 0.04  # of the merit
_PLAIN_STEP = 0.08  # a step from which on an edge is as plain as any
_TRIAL = np.array([1e-5, 1e-5, 1e-5, 1e-2, 1e-2, 1e-5])
# σ by which numbers may differ from plain ones, to keep a fit in bounds: elevation, roll
_ELEVATION, _ROLL = (0.25, 0.6), (0.0, 0.3)


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A pose that was fitted.

    Attributes
    ----------
    covariance : (6, 6) float64
        Of `Pose.numbers`.
    support
        Share of the outline within the picture that lies on an edge.
    within
        Share of the outline that lies within the picture.
    residual_px
        Median way from outline to edge, where there is one.
    merit
        Mean over the outline of how near an edge lies, and how plain it is: at most 1.
    ends
        The same of the wall's two ends, where paint gives way to bare steel; low where a maker
        lets the coat run to the lip.
    """

    pose: Pose
    covariance: Floats
    support: float
    within: float
    residual_px: float
    merit: float
    ends: float


def fit_roughly(levels: tuple[Level, ...], section: HalfSection, pose: Pose, lens: Lens) -> Fit:
    """Bring a guess near, on a quarter of the photo."""
    return _fit(levels, section, pose, lens, ROUGH, borders=False)


def fit_outline(
    levels: tuple[Level, ...],
    section: HalfSection,
    pose: Pose,
    lens: Lens,
    *,
    thorough: bool = False,
) -> Fit:
    """Fit to a fraction of a pixel, with the wall's ends unless they lead away from the outline.

    `thorough` tries from other starts too.
    """
    plain = _fit(levels, section, pose, lens, FINE[1:], borders=False)
    for rounds, more in _OTHER_TRIES if thorough else ():
        start = replace(pose, elevation_rad=pose.elevation_rad + more)
        other = _fit(levels, section, start, lens, rounds, borders=False)
        plain = max(plain, other, key=lambda fit: fit.merit)
    both = _fit(levels, section, plain.pose, lens, ENDS, borders=True)
    return both if both.merit > plain.merit - _LED_AWAY else plain


def _fit(
    levels: tuple[Level, ...],
    section: HalfSection,
    pose: Pose,
    lens: Lens,
    rounds: tuple[_Round, ...],
    *,
    borders: bool,
) -> Fit:
    normal = np.eye(6)
    for nth, reach, step_of, limit, times in rounds:
        level = _copy(levels, nth)
        for _ in range(times):
            seen = outline_seen(
                section, pose, step_px=STEP_PX / level.scale, borders=borders and nth > 1
            )
            edges = edges_near(level, seen, reach=reach, step=step_of)
            normal, pull = _equations(pose, seen, edges, lens, limit / level.scale)
            step = np.linalg.solve(normal, pull)
            step *= min(1.0, 0.25 / max(np.abs(step[[0, 1, 2, 5]]).max(), 1e-9))
            pose = pose.with_numbers(pose.numbers() + step)
    return _judged(levels, section, pose, normal, rounds[-1])


def _copy(levels: tuple[Level, ...], doublings: int) -> Level:
    """The copy of the photo so many doublings above the smallest, or the whole photo."""
    return levels[max(len(levels) - 1 - doublings, 0)]


def _equations(
    pose: Pose, seen: Outline, edges: Edges, lens: Lens, limit_px: float
) -> tuple[Floats, Floats]:
    slope = _slopes(pose, seen)
    weight = _weights(seen, edges, limit_px)
    normal = (slope * weight[:, None]).T @ slope
    pull = (slope * weight[:, None]).T @ edges.offset_px
    numbers = pose.numbers()
    for at, expected, sigma in (
        (1, *_ELEVATION),
        (2, *_ROLL),
        (5, float(np.log(lens.focal_px(pose.size_px))), lens.log_sigma),
    ):
        normal[at, at] += sigma**-2
        pull[at] += (expected - numbers[at]) * sigma**-2
    return normal + np.diag(1e-9 * np.diag(normal) + 1e-9), pull


def _slopes(pose: Pose, seen: Outline) -> Floats:
    """How far each point of the outline moves outward for each of the pose's numbers: (n, 6)."""
    numbers = pose.numbers()
    found = []
    for nth, trial in enumerate(_TRIAL):
        more = pose.with_numbers(numbers + np.eye(6)[nth] * trial)
        moved = more.pixel_from_stage(seen.points_mm) - seen.pixel
        found.append((moved * seen.normal).sum(axis=1) / trial)
    return np.stack(found, axis=-1)


def _weights(seen: Outline, edges: Edges, limit_px: float) -> Floats:
    """1 / px² that a point counts: by its σ, less the further it lies out (Tukey's biweight)."""
    sigma2 = edges.sigma_px**2 + seen.sigma_px**2
    there = edges.inside & (edges.size > 0)
    near = np.clip(1 - (edges.offset_px / limit_px) ** 2, 0, 1) ** 2
    return np.asarray(there * near / sigma2 / _KINSHIP)


def _judged(
    levels: tuple[Level, ...],
    section: HalfSection,
    pose: Pose,
    normal: Floats,
    last: _Round,
) -> Fit:
    level = _copy(levels, min(last[0], JUDGED))
    every = outline_seen(section, pose, step_px=STEP_PX / level.scale, borders=True)
    if every.border.all():
        return Fit(pose, np.asarray(np.linalg.inv(normal)), 0.0, 0.0, np.inf, -np.inf, 0.0)
    worth, on_edge, offset_px = _worth(level, every, last)
    width, height = pose.size_px
    inside_px = (every.pixel > 0) & (every.pixel < np.array([width, height]))
    within = np.asarray(inside_px.all(axis=1))
    outline = ~every.border
    inside = max(int((within & outline).sum()), 1)
    there = on_edge & outline
    return Fit(
        pose=pose,
        covariance=np.asarray(np.linalg.inv(normal), np.float64),
        support=float(there.sum() / inside),
        within=float(within[outline].mean()),
        residual_px=float(np.median(np.abs(offset_px[there]))) if there.any() else np.inf,
        merit=float(worth[outline].sum() / inside),
        ends=float(worth[every.border].mean()) if every.border.any() else 0.0,
    )


def _worth(level: Level, seen: Outline, last: _Round) -> tuple[Floats, NDArray[np.bool_], Floats]:
    """Of each point how near an edge lies and how plain it is; whether one does; the way to it."""
    edges = edges_near(level, seen, reach=last[1], step=last[2])
    way = np.abs(edges.offset_px) / (1.5 / level.scale + seen.sigma_px)
    on_edge = edges.inside & (edges.size > 0) & (way < 1)
    worth = on_edge * (1 - way**2) * np.minimum(edges.size / _PLAIN_STEP, 1.0)
    return np.asarray(worth), np.asarray(on_edge), edges.offset_px
