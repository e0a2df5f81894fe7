"""How a cup stands in a photo: searched for, fitted, and judged; each fault in its own sentence."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from mockup.blank.wall import Blank
from mockup.errors import PhotoError
from mockup.photo.camera import Pose
from mockup.photo.edges import Level, pyramid
from mockup.photo.fit import Fit, fit_outline, fit_roughly
from mockup.photo.lens import USUAL_35MM, Lens, lens_told
from mockup.photo.outline import HalfSection, half_section
from mockup.photo.search import SIDE_PX, Guess, guesses

__all__ = ["TURN_UPRIGHT", "UPSIDE_DOWN", "Stand", "find_cup"]

Light = NDArray[np.float32]

_GUESSES, _FITTED = 4, 3
_KNOWN_SIGMA = 0.1  # of a focal length: above, it counts as unknown
# share of the outline that lies on edges, of a whole cup and of one that is cut off; how near and
# plain they are
_LEAST_SUPPORT, _LEAST_CUT_SUPPORT, _LEAST_MERIT = 0.92, 0.86, 0.64
_PLAIN_MERIT = 0.8  # a merit that needs no other try
_LEAST_ROUGH = 0.15  # a merit below which a guess is given up: a small photo judges badly
_MET = np.array([0.01, 0.01, 0.01, 3.0, 3.0, 0.01])  # apart, of two poses' numbers
_OWN_LID = 1.03  # the lid is as the design has it, unless the other fits better by more
_ENDS = 0.3  # what the wall's ends count for beside the outline
_LEAST_WITHIN = 0.985
_LEAST_HEIGHT_PX = 260.0
_MOST_ELEVATION_DEG, _LEAST_ELEVATION_DEG, _MOST_ROLL_DEG = 50.0, -12.0, 18.0
UPSIDE_DOWN = "the cup is upside down in this photo"
_ON_ITS_SIDE = "the cup is lying on its side in this photo"
_TURNS = {2: UPSIDE_DOWN, 1: _ON_ITS_SIDE, 3: _ON_ITS_SIDE}
TURN_UPRIGHT = "Turn the photo upright"


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """A cup found in a photo.

    Attributes
    ----------
    fit
        Its camera, and how well the outline lies on edges.
    lid
        Whether it wears its lid.
    height_px
        Of the whole cup in the photo, as if seen level.
    """

    fit: Fit
    lid: bool
    height_px: float

    @property
    def pose(self) -> Pose:
        """The camera."""
        return self.fit.pose

    @property
    def distance_sigma(self) -> float:
        """σ of the distance, relative."""
        return float(np.sqrt(self.fit.covariance[0, 0]))

    @property
    def elevation_sigma_rad(self) -> float:
        """σ of the elevation."""
        return float(np.sqrt(self.fit.covariance[1, 1]))

    @property
    def focal_sigma(self) -> float:
        """σ of the focal length, relative."""
        return float(np.sqrt(self.fit.covariance[5, 5]))


def find_cup(rgb_linear: Light, blank: Blank, lens: Lens, *, where: str) -> Stand:
    """Find the cup of this blank in a photo.

    Parameters
    ----------
    rgb_linear : (h, w, 3) float32, linear sRGB, the whole photo
    where
        The photo's name, for messages.

    Raises
    ------
    PhotoError
        No such cup, a photo that is turned, a cup that is cut off, too small or too tilted.
    """
    stand = _searched(rgb_linear, blank, lens)
    if stand is None:
        _refuse_missing(rgb_linear, blank, lens, where)
    _check_whole(stand, where)
    _check_upright(stand, where)
    return stand


def _searched(rgb_linear: Light, blank: Blank, lens: Lens) -> Stand | None:
    """The best fit, or None where none is any good.

    With a lens that is not known, usual ones are tried first, and the likeliest of each sets out
    to find its own: far from the right one a fit stays where it is.
    """
    height, width = rgb_linear.shape[:2]
    halvings = max(0, round(np.log2(max(height, width) / SIDE_PX)))
    levels = pyramid(rgb_linear, halvings + 1)
    sections = {lid: half_section(blank, lid=lid) for lid in (blank.lid, not blank.lid)}
    plain = _plain_pose(blank, lens, (width, height))
    first = guesses(levels[-1], sections[blank.lid], plain, _GUESSES)
    if lens.log_sigma < _KNOWN_SIGMA:
        found = list(_fits(levels, sections, first, lens))
    else:
        found = [
            _fitted(levels, sections[s.lid], s.pose, lens, s.lid, thorough=True)
            for usual in USUAL_35MM
            for s in _best_of_each(list(_fits(levels, sections, first, lens_told(usual, ""))))
        ]
    if max((s.fit.merit for s in found), default=1.0) < _PLAIN_MERIT:
        found += [
            _fitted(levels, sections[s.lid], s.pose, lens, s.lid, thorough=True)
            for s in _best_of_each(found)
        ]
    good = [stand for stand in found if _good(stand.fit)]
    return max(
        good, key=lambda s: _likely(s) * (_OWN_LID if s.lid == blank.lid else 1.0), default=None
    )


def _good(fit: Fit) -> bool:
    """Whether enough of the outline lies on edges."""
    whole = fit.within >= _LEAST_WITHIN
    least = _LEAST_SUPPORT if whole else _LEAST_CUT_SUPPORT
    return fit.support >= least and fit.merit >= _LEAST_MERIT


def _likely(stand: Stand) -> float:
    """What fits are compared by: the wall's ends tell a cup with a lid from one without."""
    return stand.fit.within * (stand.fit.merit + _ENDS * stand.fit.ends)


def _best_of_each(found: list[Stand]) -> list[Stand]:
    """The likeliest with a lid and the likeliest without."""
    return [max((s for s in found if s.lid == lid), key=_likely) for lid in {s.lid for s in found}]


def _fits(
    levels: tuple[Level, ...], sections: dict[bool, HalfSection], first: list[Guess], lens: Lens
) -> Iterator[Stand]:
    for lid, section in sections.items():
        rough = [
            fit_roughly(
                levels, section, guess.pose.through(lens.focal_px(guess.pose.size_px)), lens
            )
            for guess in first
        ]
        poses: list[Pose] = []
        for pose in (fit.pose for fit in rough if fit.merit > _LEAST_ROUGH):
            if not any(_met(pose, other) for other in poses):
                poses.append(pose)
        yield from (_fitted(levels, section, pose, lens, lid) for pose in poses[:_FITTED])


def _met(a: Pose, b: Pose) -> bool:
    """Whether two guesses have come to the same pose."""
    return bool((np.abs(a.numbers() - b.numbers()) < _MET).all())


def _plain_pose(blank: Blank, lens: Lens, size_px: tuple[int, int]) -> Pose:
    middle = (size_px[0] / 2, size_px[1] / 2)
    return Pose(
        1000.0, 0.2, 0.0, middle, lens.focal_px(size_px), size_px, half_section(blank).middle_mm
    )


def _fitted(
    levels: tuple[Level, ...],
    section: HalfSection,
    pose: Pose,
    lens: Lens,
    lid: bool,
    *,
    thorough: bool = False,
) -> Stand:
    fit = fit_outline(levels, section, pose, lens, thorough=thorough)
    top = float(section.points_mm[:, 1].max())
    return Stand(fit, lid, top * fit.pose.focal_px / fit.pose.distance_mm)


def _refuse_missing(rgb_linear: Light, blank: Blank, lens: Lens, where: str) -> NoReturn:
    """Say that there is no cup, or that there is one if the photo is turned."""
    for quarters, words in _TURNS.items():
        turned = np.ascontiguousarray(np.rot90(rgb_linear, quarters))
        if _searched(turned, blank, lens) is not None:
            raise PhotoError(words, where=where, remedy=TURN_UPRIGHT)
    raise PhotoError(
        f"no cup of this shape ({blank.name}) found in this photo",
        where=where,
        remedy="Stand the cup alone before a plain ground of another brightness, whole and "
        "large in the picture, and see that the design's blank has its measures",
    )


def _check_whole(stand: Stand, where: str) -> None:
    if stand.fit.within < _LEAST_WITHIN:
        beyond = 100 * (1 - stand.fit.within)
        raise PhotoError(
            f"{beyond:.0f} % of the cup's outline lies beyond the photo's edge",
            where=where,
            remedy="Step back until the whole cup, lip and foot, is in the picture",
        )
    if stand.height_px < _LEAST_HEIGHT_PX:
        raise PhotoError(
            f"the cup is only {stand.height_px:.0f} px tall",
            where=where,
            remedy=f"Come nearer, until it is {_LEAST_HEIGHT_PX:.0f} px tall or more",
        )


def _check_upright(stand: Stand, where: str) -> None:
    elevation, roll = np.degrees(stand.pose.elevation_rad), np.degrees(stand.pose.roll_rad)
    if elevation > _MOST_ELEVATION_DEG:
        raise PhotoError(
            f"the cup is seen from {elevation:.0f}° above",
            where=where,
            remedy="Hold the camera lower, so that the wall is seen and not the lip",
        )
    if elevation < _LEAST_ELEVATION_DEG:
        raise PhotoError(
            f"the cup is seen from {-elevation:.0f}° below, or is upside down in this photo",
            where=where,
            remedy="Turn the photo upright, or hold the camera level with the cup or above",
        )
    if abs(roll) > _MOST_ROLL_DEG:
        raise PhotoError(
            f"the cup leans by {abs(roll):.0f}° in this photo",
            where=where,
            remedy="Hold the camera upright, or turn the photo",
        )
