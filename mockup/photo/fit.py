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

# level of the pyramid, samples to either side, their spacing in px of the level, the way in px of
# the level from which on a point does not count,
# rounds: what lies far out is let go late, or an end of the cup that is off by much never comes in
ROUGH = ((2, 12, 1.0, 14.0, 5), (2, 8, 1.0, 7.0, 4))
FINE = (
    (1, 12, 1.0, 12.0, 3),
    (1, 8, 1.0, 6.0, 4),
    (0, 8, 1.0, 7.0, 3),
    (0, 10, 0.5, 3.5, 4),
)
STEP_PX = 3.0  # between points of the outline
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
    """

    pose: Pose
    covariance: Floats
    support: float
    within: float
    residual_px: float
    merit: float


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
    both = _fit(levels, section, plain.pose, lens, FINE[-2:], borders=True)
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
        level = levels[min(nth, len(levels) - 1)]
        for _ in range(times):
            seen = outline_seen(
                section, pose, step_px=STEP_PX / level.scale, borders=borders and nth == 0
            )
            edges = edges_near(level, seen, reach=reach, step=step_of)
            normal, pull = _equations(pose, seen, edges, lens, limit / level.scale)
            step = np.linalg.solve(normal, pull)
            step *= min(1.0, 0.25 / max(np.abs(step[[0, 1, 2, 5]]).max(), 1e-9))
            pose = pose.with_numbers(pose.numbers() + step)
    return _judged(levels, section, pose, normal, rounds[-1])


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
    level = levels[min(last[0], len(levels) - 1)]
    seen = outline_seen(section, pose, step_px=STEP_PX / level.scale)
    edges = edges_near(level, seen, reach=last[1], step=last[2])
    if not len(seen.pixel):
        return Fit(pose, np.asarray(np.linalg.inv(normal), np.float64), 0.0, 0.0, np.inf, -np.inf)
    near = 1.5 / level.scale + seen.sigma_px
    way = np.abs(edges.offset_px) / near
    on_edge = edges.inside & (edges.size > 0) & (way < 1)
    worth = on_edge * (1 - way**2) * np.minimum(edges.size / _PLAIN_STEP, 1.0)
    width, height = pose.size_px
    within = ((seen.pixel > 0) & (seen.pixel < np.array([width, height]))).all(axis=1)
    return Fit(
        pose=pose,
        covariance=np.asarray(np.linalg.inv(normal), np.float64),
        support=float(on_edge.sum() / max(within.sum(), 1)),
        within=float(within.mean()),
        residual_px=float(np.median(np.abs(edges.offset_px[on_edge]))) if on_edge.any() else np.inf,
        merit=float(worth.sum() / max(within.sum(), 1)),
    )
