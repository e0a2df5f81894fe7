"""What a colour may be called in plain words, by its hue, lightness and chroma in Oklab.

The borders are ours, chosen by eye; the words are those that people use for paint.
"""

import numpy as np
from numpy.typing import ArrayLike

from mockup.colorimetry.oklab import hue_chroma

__all__ = ["plain_name"]

_GREYS = (
    (0.20, "black"),
    (0.45, "dark grey"),
    (0.74, "grey"),
    (0.93, "light grey"),
    (2.0, "white"),
)
_HUES = (  # up to this hue, in degrees
    (15, "rose"), (40, "red"), (72, "orange"), (95, "amber"), (116, "yellow"),
    (136, "yellow-green"), (163, "green"), (190, "sea green"), (225, "turquoise"),
    (278, "blue"), (308, "violet"), (338, "purple"), (361, "rose"),
)  # fmt: skip
_DEPTHS = ((0.30, "very dark "), (0.45, "dark "), (0.74, ""), (0.86, "light "), (2.0, "pale "))
_STRONG, _FAINT, _GREY = 0.13, 0.045, 0.014  # chroma


def plain_name(oklab: ArrayLike) -> str:
    """Such as ``dark blue`` or ``pale rose``: (3,) float, Oklab → words."""
    lightness = float(np.asarray(oklab)[0])
    hue_deg, chroma = (float(part) for part in hue_chroma(oklab))
    if chroma < _GREY or (lightness < 0.16 and chroma < _FAINT):
        return _upto(_GREYS, lightness)
    hue = _upto(_HUES, hue_deg)
    if 35.0 <= hue_deg <= 110.0 and chroma < 0.09:
        if lightness < 0.62:
            return "dark brown" if lightness < 0.36 else "brown"
        return "cream" if lightness > 0.88 else "beige"
    if hue in ("rose", "red") and lightness > 0.74:
        return "pale pink" if lightness > 0.86 else "pink"
    if "yellow" in hue and lightness < 0.62:
        return "dark olive" if lightness < 0.40 else "olive"
    depth = _upto(_DEPTHS, lightness)
    if chroma > _STRONG and lightness > 0.45:
        depth = ""  # a strong colour is called light only where it is pale
    return depth + ("greyish " if chroma < _FAINT and lightness < 0.86 else "") + hue


def _upto(borders: tuple[tuple[float, str], ...], value: float) -> str:
    return next(word for border, word in borders if value < border)
