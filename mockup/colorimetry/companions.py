"""Colours that go with a colour, by turns of its hue, and its tints from dark to light: in Oklab.

Lightness and chroma stay as they are, so that companions weigh alike; where the screen cannot show
a hue so strong, it is paler (`oklab.within_gamut`).
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.colorimetry.oklab import (
    hue_chroma,
    oklab_from_hue_chroma,
    oklab_from_linear_srgb,
    within_gamut,
)
from mockup.errors import DesignError

__all__ = ["TURNS_DEG", "companions", "tints"]

TURNS_DEG: Mapping[str, tuple[float, ...]] = {
    "opposite": (180.0,),
    "neighbours": (-30.0, 30.0),
    "beside the opposite": (150.0, 210.0),
    "thirds": (120.0, 240.0),
    "quarters": (90.0, 180.0, 270.0),
}
DARKEST, LIGHTEST = 0.18, 0.96  # Oklab lightness of the first and the last tint
_MOST_TINTS = 24


def companions(rgb_linear: ArrayLike) -> dict[str, NDArray[np.float64]]:
    """The colours that go with one, by what they are to it.

    Parameters
    ----------
    rgb_linear : (3,) float, linear sRGB

    Returns
    -------
    dict
        The names of `TURNS_DEG`, each with (turns, 3) float64, Oklab, in gamut.
    """
    oklab = oklab_from_linear_srgb(rgb_linear)
    hue_deg, chroma = hue_chroma(oklab)
    return {
        name: within_gamut(oklab_from_hue_chroma(oklab[0], hue_deg + np.array(turns), chroma))
        for name, turns in TURNS_DEG.items()
    }


def tints(rgb_linear: ArrayLike, count: int = 7) -> NDArray[np.float64]:
    """The colour's hue from dark to light, in even steps of lightness.

    Parameters
    ----------
    rgb_linear : (3,) float, linear sRGB

    Returns
    -------
    (count, 3) float64, Oklab, in gamut

    Raises
    ------
    DesignError
        The count is not 2 to 24.
    """
    if not 2 <= count <= _MOST_TINTS:
        raise DesignError(
            f"{count} tints cannot be told apart",
            where="tints",
            remedy=f"Ask for 2 to {_MOST_TINTS}",
        )
    oklab = oklab_from_linear_srgb(rgb_linear)
    hue_deg, chroma = hue_chroma(oklab)
    lightness = np.linspace(DARKEST, LIGHTEST, count)
    return within_gamut(oklab_from_hue_chroma(lightness, hue_deg, chroma))
