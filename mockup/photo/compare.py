"""Two views of one wall, rolled out alike, held against each other: colours, glitter's cover."""

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.photo.unroll import WallView

__all__ = ["ColourPair", "Fade", "colour_pair", "difference_map", "fade_of", "mean_colour"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

LEAST_TEXELS = 60
_FACING = 0.55  # colours are taken where the wall is seen within 57° of straight on
_BIN_MM = 4.0
_BARE, _COVERED = 0.04, 0.12  # promised share below which there is no glitter; from which there is
_LEAST_STEP = 0.02  # linear light between bare and covered, or cover cannot be told
_MIDDLE = 0.25  # of a plain colour's texels, left out at the dark and the bright end: glints, dust


@dataclass(frozen=True, slots=True, eq=False)
class ColourPair:
    """Mean linear light promised and finished, (3,) each, and how far they lie apart."""

    promised: Floats
    finished: Floats

    @property
    def delta_e(self) -> float:
        """ΔE00 of the two."""
        return float(delta_e_2000(self.lab[0], self.lab[1]))

    @property
    def lab(self) -> Floats:
        """CIELAB of both: (2, 3)."""
        return lab_from_linear_srgb(np.clip([self.promised, self.finished], 0, None))


def colour_pair(
    promised: WallView, finished: WallView, mask: Bools, *, sparkling: bool
) -> ColourPair | None:
    """Colours of a part of the wall; None if too little of it is seen.

    Parameters
    ----------
    sparkling
        The mean of all, glints and all, as flakes and foil are seen; else of the middle half.
    """
    chosen = mask & (finished.facing >= _FACING)
    if chosen.sum() < LEAST_TEXELS:
        return None
    return ColourPair(
        *(mean_colour(v.rgb[chosen], sparkling=sparkling) for v in (promised, finished))
    )


def mean_colour(rgb: NDArray[np.floating], *, sparkling: bool) -> Floats:
    """Mean of (n, 3) linear light, or of the half that lies between dark and bright."""
    light = np.clip(np.asarray(rgb, np.float64), 0, 1)
    if not sparkling:
        level = light.sum(axis=1)
        low, high = np.quantile(level, (_MIDDLE, 1 - _MIDDLE))
        light = light[(level >= low) & (level <= high)]
    return cast(Floats, light.mean(axis=0))


def difference_map(promised: WallView, finished: WallView) -> Floats:
    """ΔE00 texel by texel: (rows, columns), NaN where the wall is not seen."""
    labs = [lab_from_linear_srgb(np.clip(v.rgb, 0, 1)) for v in (promised, finished)]
    return np.where(finished.shown, delta_e_2000(*labs), np.nan)


@dataclass(frozen=True, slots=True, eq=False)
class Fade:
    """Cover of all glitter by height, promised and finished.

    Attributes
    ----------
    height_mm, promised, finished : (n,) float64
        Middles of bands of the wall, and the share of each that flakes hide.
    """

    height_mm: Floats
    promised: Floats
    finished: Floats

    @property
    def rms(self) -> float:
        """Root of the mean square by which the shares differ."""
        return float(np.sqrt(np.mean((self.finished - self.promised) ** 2)))

    def half_mm(self) -> tuple[float, float] | None:
        """Heights at which cover passes half of the most that was promised; None without any.

        Promised first; the crossing of the finished cup that lies nearest to the promised one.
        """
        level = float(self.promised.max()) / 2
        promised, finished = (
            _crossings(self.height_mm, share, level) for share in (self.promised, self.finished)
        )
        if len(promised) != 1 or not len(finished):
            return None
        nearest = finished[np.abs(finished - promised[0]).argmin()]
        return float(promised[0]), float(nearest)


def fade_of(promised: WallView, finished: WallView, cover: Floats, mask: Bools) -> Fade | None:
    """Cover along the height, from colour: between bare ground and covered, light adds up by share.

    The step from bare to covered is taken from the promised view, whose cover is known, and so is
    how its light falls; a ground of another colour is told where the wall was to stay bare. Flakes
    of several colours count as one mean colour.

    Parameters
    ----------
    cover : (rows, columns)
        Share promised.
    mask
        Where there is ground and glitter alone.

    Returns
    -------
    Fade or None
        None if too little is seen, or glitter and ground are too much alike to be told apart.
    """
    chosen = mask & (finished.facing >= _FACING)
    band = (finished.height_mm / _BIN_MM).astype(np.intp)
    rows: list[tuple[float, float, Floats, Floats]] = []
    for nth in np.unique(band):
        here = chosen & (band == nth)[:, None]
        if here.sum() >= LEAST_TEXELS:
            light = [np.clip(v.rgb[here], 0, 1).mean(axis=0) for v in (promised, finished)]
            rows.append(((nth + 0.5) * _BIN_MM, float(cover[here].mean()), light[0], light[1]))
    if len(rows) < 4:
        return None
    height, share = (np.array([row[k] for row in rows]) for k in (0, 1))
    told, seen = (np.stack([cast(Floats, row[k]) for row in rows]) for k in (2, 3))
    design = np.stack([np.ones_like(share), share], axis=-1)
    (_, step), *_ = np.linalg.lstsq(design, told, rcond=None)
    if np.ptp(share) < _COVERED or np.linalg.norm(step) < _LEAST_STEP:
        return None
    unit = step / (step @ step)
    apart, bare = seen - told, share < _BARE
    other = np.zeros(3)  # by how much the finished ground itself is another
    if bare.any():
        along = apart @ unit
        other = apart[bare & (along <= np.median(along[bare]))].mean(axis=0)
    # seen − told = (found − share) · step + (1 − found) · other, along the step
    found = (share + (apart - other) @ unit) / (1 - float(other @ unit))
    found = np.clip(found, 0, 1)
    return Fade(height, share, found)


def _crossings(height: Floats, share: Floats, level: float) -> Floats:
    """Heights where a curve passes a level."""
    above = share > level
    at = np.flatnonzero(above[1:] != above[:-1])
    part = (level - share[at]) / (share[at + 1] - share[at])
    return np.asarray(height[at] + part * (height[at + 1] - height[at]))
