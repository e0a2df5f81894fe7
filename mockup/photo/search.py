"""A first guess of where a cup stands in a photo: its outline tried in many sizes, everywhere.

Edges are kept as double angles, so that an edge counts alike whichever side is bright and counts
against an outline that crosses it; one correlation by Fourier transform then tries an outline at
every place (generalised Hough transform: Ballard 1981, doi:10.1016/0031-3203(81)90009-1).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.fft import fft2, ifft2, next_fast_len
from scipy.ndimage import gaussian_filter

from mockup.photo.camera import Pose
from mockup.photo.edges import Level
from mockup.photo.outline import HalfSection, outline_seen

__all__ = ["Guess", "guesses"]

Floats = NDArray[np.float64]

SIDE_PX = 144  # height of the picture that is searched, about
_SIZES = np.geomspace(0.22, 1.15, 16)  # the cup's height over the picture's longer side
_ELEVATIONS_DEG = (-12.0, 2.0, 14.0, 28.0, 45.0)
_ROLLS_DEG = (-24.0, -12.0, 12.0, 24.0)
_STRIDE = 6  # every so many places along the section are enough for a small picture
_LOCAL_PX = 10.0  # over which an edge is strong or weak
_BLUR_PX = 1.3
_LARGER = 0.25  # a larger outline that fits as well is likelier by this power of its length


@dataclass(frozen=True, slots=True)
class Guess:
    """A pose of the whole photo and how well its outline lies on edges, at most about 1."""

    pose: Pose
    score: float


def guesses(level: Level, section: HalfSection, pose: Pose, count: int) -> list[Guess]:
    """The best `count` places of the outline, each apart from the others.

    Parameters
    ----------
    level
        A small copy of the photo, about `SIDE_PX` high.
    pose
        Its focal length and size are taken; they are the whole photo's.
    """
    edges = _edge_field(level)
    height, width = edges.shape
    pad = max(height, width) // 4
    shape = next_fast_len(height + 2 * pad), next_fast_len(width + 2 * pad)
    field = np.zeros(shape, np.complex64)
    field[pad : pad + height, pad : pad + width] = edges
    plane = _Plane(fft2(field), pad, (width, height), level.scale)
    coarse = section.every(_STRIDE)
    upright = [_tried(plane, coarse, tried) for tried in _poses(section, pose)]
    best = _apart(upright, count + 2)
    leaning = [_tried(plane, coarse, _leaning(g.pose, lean)) for g in best for lean in _ROLLS_DEG]
    return _apart(best + leaning, count)


@dataclass(frozen=True, slots=True, eq=False)
class _Plane:
    """The spectrum of a picture's edges, its padding, its size, and its scale."""

    spectrum: NDArray[np.complex64]
    pad: int
    size_px: tuple[int, int]
    scale: float


def _tried(plane: _Plane, section: HalfSection, pose: Pose) -> Guess:
    """The best place of an outline that was drawn in the picture's middle."""
    width, height = plane.size_px
    seen = outline_seen(section, pose, step_px=1.5 / plane.scale)
    place = np.rint(seen.pixel * plane.scale - [width / 2, height / 2]).astype(np.intp)
    stencil = np.zeros_like(plane.spectrum)
    turned = np.exp(2j * np.arctan2(seen.normal[:, 1], seen.normal[:, 0]))
    rows, columns = stencil.shape
    np.add.at(stencil, (place[:, 1] % rows, place[:, 0] % columns), turned)
    match = ifft2(plane.spectrum * np.conj(fft2(stencil))).real / max(len(place), 1)
    match = match[plane.pad : plane.pad + height, plane.pad : plane.pad + width]
    row, column = np.unravel_index(match.argmax(), match.shape)
    score = float(match[row, column]) * (len(place) / SIDE_PX) ** _LARGER
    middle = (float(column) / plane.scale, float(row) / plane.scale)
    return Guess(replace(pose, middle_px=middle), score)


def _leaning(pose: Pose, roll_deg: float) -> Pose:
    """The pose leaning, in the picture's middle."""
    width, height = pose.size_px
    return replace(pose, roll_rad=float(np.radians(roll_deg)), middle_px=(width / 2, height / 2))


def _edge_field(level: Level) -> NDArray[np.complex64]:
    """Strength, against the surround, and double angle of edges."""
    smooth = gaussian_filter(level.encoded, (1.0, 1.0, 0))
    down, across = np.gradient(smooth, axis=(0, 1))
    strongest = np.argmax(down**2 + across**2, axis=-1)[..., None]
    dy, dx = (np.take_along_axis(g, strongest, axis=-1)[..., 0] for g in (down, across))
    strength = np.hypot(dx, dy)
    local = np.sqrt(gaussian_filter(strength**2, _LOCAL_PX))
    weight = strength / (strength + 0.6 * local + 0.004)
    field = weight * np.exp(2j * np.arctan2(dy, dx))
    return np.asarray(
        gaussian_filter(field.real, _BLUR_PX) + 1j * gaussian_filter(field.imag, _BLUR_PX),
        np.complex64,
    )


def _poses(section: HalfSection, pose: Pose) -> Iterator[Pose]:
    tall = float(section.points_mm[:, 1].max())
    longer = max(pose.size_px)
    width, height = pose.size_px
    for elevation_deg in _ELEVATIONS_DEG:
        up = np.radians(elevation_deg)
        seen = tall * np.cos(up) + 1.6 * section.points_mm[:, 0].max() * abs(np.sin(up))
        for size in _SIZES:
            distance = pose.focal_px * seen / (size * longer)
            yield Pose(
                float(distance),
                float(up),
                0.0,
                (width / 2, height / 2),
                pose.focal_px,
                pose.size_px,
                section.middle_mm,
            )


def _apart(found: list[Guess], count: int) -> list[Guess]:
    kept: list[Guess] = []
    for guess in sorted(found, key=lambda guess: -guess.score):
        if all(_differ(guess.pose, other.pose) for other in kept):
            kept.append(guess)
        if len(kept) == count:
            break
    return kept


def _differ(a: Pose, b: Pose) -> bool:
    change = np.abs(a.numbers() - b.numbers())
    near = 0.06 * max(a.size_px)
    return bool(
        change[0] > 0.16 or change[1] > 0.2 or change[2] > 0.1 or np.hypot(*change[3:5]) > near
    )
