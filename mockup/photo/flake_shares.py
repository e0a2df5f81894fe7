"""Shares of strewn flakes' colours: by the pixels that pass for each, and by how many pass wrongly.

Every pixel that looks like no ground counts for the tint that it is nearest to. Blur and JPEG make
many of these counts wrong, bright flakes for their darker neighbours. How many pixels of each
colour and of the ground pass for each tint is counted in pictures of flakes of these colours, which
are thrown by our own model and photographed alike. The shares are those that such a table turns
into the photos' counts.

References
----------
Hay (1988), The derivation of global estimates from a confusion matrix,
doi:10.1080/01431168808954945.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

from mockup.photo.flake_regions import Ground, pixels_off_ground
from mockup.photo.flake_throw import Thrown, thrown_picture
from mockup.photo.flake_tints import nearest_tint
from mockup.progress import Progress

__all__ = ["true_shares"]

Floats = NDArray[np.float64]

_THROWS = 3  # the first is of guessed shares, so that it is not counted
_BODY = 0.4  # of its colour's middle light: a pixel below it is the flake's blurred edge, on black
_WEIGHTS = (0.5, 1.0)  # of white paper, whose light drowns flakes, and of black; our choice


def true_shares(
    grounds: tuple[Ground, Ground],
    tints: Floats,
    lost: NDArray[np.bool_],
    mix: Thrown,
    progress: Progress,
) -> Floats:
    """Shares of the flakes' area in sight by colour, (k,); they add up to 1.

    Parameters
    ----------
    grounds
        White and black.
    tints : (k, 3) float64
        Oklab.
    lost : (k, 2) bool
        Which tints look like which ground and do not count there.
    mix
        The colours, with a guess of their shares.
    """
    body = _BODY * mix.rgb.sum(axis=1)
    counts = [_passes(ground, tints, body).mean(axis=(0, 1)) for ground in grounds]
    tables: list[list[Floats]] = [[], []]
    for throw in range(_THROWS):
        progress(throw / _THROWS, "throwing flakes of the same colours")
        for own, ground in zip(tables, grounds, strict=True):
            rgb, truth = thrown_picture(mix, ground, throw)
            seen = _passes(replace(ground, rgb=rgb), tints, body)
            own.append(_table(truth.reshape(-1, truth.shape[-1]), seen.reshape(-1, len(tints))))
        mean = [np.mean(own[min(throw, 1) :], axis=0) for own in tables]
        areas = _areas(counts, mean, lost, 1.0 - mix.coverage)
        if areas.any():  # else nothing is seen beyond what ground passes for, and the guess stands
            mix = replace(mix, shares=areas / areas.sum())
    return mix.shares


def _passes(ground: Ground, tints: Floats, body: Floats) -> NDArray[np.bool_]:
    """Which tint each pixel passes for, if any: (h, w, k)."""
    rgb = np.maximum(ground.rgb.astype(np.float64), 0.0)
    counted = pixels_off_ground(ground)
    nearest = np.full(counted.shape, -1)
    nearest[counted] = nearest_tint(rgb[counted], tints)
    if not ground.pale:
        nearest[counted & (rgb.sum(axis=-1) <= body[nearest])] = -1
    return np.asarray(nearest[..., None] == np.arange(len(tints)))


def _table(truth: Floats, seen: NDArray[np.bool_]) -> Floats:
    """Of each true kind, ground first, the share that passes for each tint: (1 + k, k)."""
    kinds = truth.sum(axis=0)
    return np.asarray(truth.T @ seen / np.maximum(kinds, 1e-9)[:, None])


def _areas(
    counts: list[Floats], tables: list[Floats], lost: NDArray[np.bool_], gap: float
) -> Floats:
    """Each colour's share of the picture by which the tables give the counts, nearly: (k,)."""
    rows, values = [], []
    for count, table, gone, weight in zip(counts, tables, lost.T, _WEIGHTS, strict=True):
        rows.append(weight * table[1:, ~gone].T)
        values.append(weight * (count - gap * table[0])[~gone])
    areas, _ = nnls(np.concatenate(rows), np.concatenate(values))
    return np.asarray(areas)
