"""Which side of the cup a photo shows: a surface of revolution does not tell, its decoration does.

What is rolled out of the photo is slid round the design's flat, and the turn is where colours and
edges agree best (normalised cross-correlation, by Fourier transform round the turn). What is alike
all round is taken out first, and so are the upright glints that lamps leave in a gloss coat.
"""

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft, rfft
from scipy.ndimage import gaussian_filter, gaussian_filter1d

from mockup.colorimetry.srgb import srgb_from_linear
from mockup.photo.unroll import WallView

__all__ = ["Turn", "columns_round", "find_turn", "on_its_head"]

Floats = NDArray[np.float64]
Light = NDArray[np.float32]

_WIDE_MM = 9.0  # what changes over more than this round the cup is light, not decoration
_FINE_MM = 0.5
_LEAST_MATCH = 0.12  # correlation below which nothing was recognised
_ALIKE = 0.85  # another turn that matches so well, against the best, may be meant as well
_APART_RAD = 0.25
_HEAD_SHIFTS_MM = (0.0, 3.0, -3.0, 6.0, -6.0)  # a cup's foot taken for its rim, or its lid


@dataclass(frozen=True, slots=True)
class Turn:
    """The turn of the wall that faces the camera, rad; how well it matches, −1 to 1.

    `sure` tells whether no other turn matches nearly as well; `rivals_rad` are those that do.
    """

    turn_rad: float
    match: float
    sure: bool
    rivals_rad: tuple[float, ...] = ()


def columns_round(view: WallView) -> int:
    """Columns of a picture of the whole flat whose texels are as wide as the view's."""
    return max(16, round(2 * np.pi / float(view.turn_rad[1] - view.turn_rad[0])))


def find_turn(
    view: WallView,
    flat: Light,
    *,
    without: NDArray[np.bool_] | None = None,
    near_rad: float | None = None,
    within_rad: float = np.pi,
) -> Turn | None:
    """The turn at which the design's flat agrees with the photo; None if it agrees nowhere.

    Parameters
    ----------
    flat : (rows, columns, 3) float32, linear light
        The whole flat, row 0 at the foot, column 0 from turn −π, as many columns as
        `columns_round` and as many rows as the view.
    without : (rows, columns) bool
        Places of the flat that do not count.
    near_rad, within_rad
        Where to look.
    """
    marks = _marks_of(flat, view.step_mm, without)
    return _turn_of(view, marks, near_rad=near_rad, within_rad=within_rad)


@dataclass(frozen=True, slots=True)
class _Marks:
    """What the design's flat is known by round the turn: its features, and where they count."""

    features: list[Floats]
    weight: Floats


def _marks_of(flat: Light, step_mm: float, without: NDArray[np.bool_] | None = None) -> _Marks:
    weight = np.ones(flat.shape[:2])
    if without is not None:
        weight[without] = 0.0
    return _Marks(_features(flat, weight, step_mm, round_it=True), weight)


def _turn_of(
    view: WallView, marks: _Marks, *, near_rad: float | None = None, within_rad: float = np.pi
) -> Turn | None:
    """As `find_turn` gives it."""
    count = marks.weight.shape[1]
    weight = np.where(view.shown, view.facing, 0.0)
    seen = _features(view.rgb, weight, view.step_mm, round_it=False)
    match = _correlation(seen, weight, marks, count)
    first = float(view.turn_rad[0])
    turns = (np.arange(count) + 0.5) * (2 * np.pi / count) - np.pi - first
    turns = np.angle(np.exp(1j * turns))
    looked = np.ones(count, bool)
    if near_rad is not None:
        looked = np.abs(np.angle(np.exp(1j * (turns - near_rad)))) <= within_rad
    best = int(np.where(looked, match, -2.0).argmax())
    if match[best] < _LEAST_MATCH:
        return None
    around = match[[best - 1, best, (best + 1) % count]]
    curve = 2 * around[1] - around[0] - around[2]
    shift = 0.0 if curve <= 0 else float(np.clip((around[2] - around[0]) / 2 / curve, -0.5, 0.5))
    apart = np.abs(np.angle(np.exp(1j * (turns - turns[best])))) > _APART_RAD
    peak = (match >= np.roll(match, 1)) & (match > np.roll(match, -1)) & apart & looked
    rivals = np.flatnonzero(peak & (match > _ALIKE * match[best]))
    turn = float(turns[best] + shift * 2 * np.pi / count)
    return Turn(turn, float(match[best]), not len(rivals), tuple(float(t) for t in turns[rivals]))


def on_its_head(view: WallView, flat: Light) -> bool:
    """Whether the wall agrees with the flat upside down: ask where it agrees nowhere upright.

    The outline of a straight cup that is seen from about its own height does not tell.
    """
    marks = _marks_of(flat, view.step_mm)
    rgb, facing, turn_rad = view.rgb[::-1, ::-1], view.facing[::-1, ::-1], -view.turn_rad[::-1]
    for shift_mm in _HEAD_SHIFTS_MM:
        rows = round(shift_mm / view.step_mm)
        over = WallView(
            np.roll(rgb, rows, axis=0),
            turn_rad,
            view.height_mm,
            np.roll(facing, rows, axis=0),
            view.step_mm,
        )
        if _turn_of(over, marks) is not None:
            return True
    return False


def _features(rgb: Light, weight: Floats, step_mm: float, *, round_it: bool) -> list[Floats]:
    """Colour and strength of edges, without what is alike all round or broad: each (rows, columns).

    The first three weigh together as much as the last.
    """
    mode = ("nearest", "wrap") if round_it else ("nearest", "nearest")
    shown = srgb_from_linear(np.clip(rgb, 0, 1))
    fine = _FINE_MM / step_mm
    shown = gaussian_filter(shown, (fine, fine, 0), mode=(*mode, "nearest"))
    edge = np.sqrt(sum(np.gradient(shown, axis=0)[..., c] ** 2 for c in range(3)))
    found = [_plain(shown[..., c], weight, step_mm, mode[1]) for c in range(3)]
    found.append(_plain(edge, weight, step_mm, mode[1]))
    colour = np.sqrt(sum((weight * f**2).sum() for f in found[:3]))
    sizes = [colour] * 3 + [np.sqrt((weight * found[3] ** 2).sum())]
    return [f / max(size, 1e-9) for f, size in zip(found, sizes, strict=True)]


def _plain(values: Floats, weight: Floats, step_mm: float, mode: str) -> Floats:
    """Without its broad part along each row, nor the mean of each row."""
    sigma = _WIDE_MM / step_mm
    total = gaussian_filter1d(weight, sigma, axis=1, mode=mode)
    broad = gaussian_filter1d(values * weight, sigma, axis=1, mode=mode) / np.maximum(total, 1e-6)
    return cast(Floats, np.where(weight > 0, values - broad, 0.0))


def _correlation(seen: list[Floats], weight: Floats, marks: _Marks, count: int) -> Floats:
    """Normalised correlation for every shift of the view along the flat: (count,)."""

    def slid(view: Floats, whole: Floats) -> Floats:
        spectrum = (np.conj(rfft(view, count, axis=1)) * rfft(whole, axis=1)).sum(axis=0)
        return cast(Floats, irfft(spectrum, count))

    both = sum(
        slid(weight * f, marks.weight * g) for f, g in zip(seen, marks.features, strict=True)
    )
    energy = sum(slid(weight, marks.weight * g**2) for g in marks.features)
    own = sum(slid(weight * f**2, marks.weight) for f in seen)
    size = np.sqrt(np.maximum(energy, 1e-12) * np.maximum(own, 1e-12))
    least = 0.05 * float(np.max(size))
    return cast(Floats, both / np.maximum(size, least))
