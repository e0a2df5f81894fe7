"""What the colours found in a glitter tell of the light that it was photographed in.

A flake shows the lamp that it mirrors. Under lamps of two colours silver is found twice, once as
either of them shows it; where most flakes mirror a dark room, a colour is found twice, bright and
dark. Glitter can be mixed so too: only its maker knows, so that both are told with an "if".
"""

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.srgb import linear_from_hex
from mockup.design.palette import MetalSwatch
from mockup.photo.faults import from_lamp_to_lamp
from mockup.photo.measured import MeasuredSwatch

__all__ = ["twice_found_words"]

_LEAST = 1e-3  # linear light, below which a channel tells no colour
_LEAST_LAMPS = 0.1  # ln r/g by which two lamps are told apart
_MOST_LAMPS = (0.4, 0.64)  # ln r/g and b/g: half the way from daylight to incandescent
_ONE_HUE = 0.6  # ln r/g and b/g, nearer than which two colours are one hue, bright and dark
_DARKER = 3.0  # times, of the darker one's light


def twice_found_words(swatches: Sequence[MeasuredSwatch]) -> tuple[str, ...]:
    """A sentence where two colours may be one in two lights, and one for bright and dark."""
    tints = [one.swatch.tint_srgb for one in swatches if isinstance(one.swatch, MetalSwatch)]
    pairs = list(combinations(tints, 2))
    lamps = next((pair for pair in pairs if _as_two_lamps(*pair)), None)
    dark = next((pair for pair in pairs if _bright_and_dark(*pair)), None)
    words = []
    if lamps:
        words.append(
            f"{lamps[0]} and {lamps[1]} differ as one colour does under a warm and a cool lamp: if "
            "the jar has it once, the shares are wrong. Take both photos again with lamps of one "
            "kind only."
        )
    if dark:
        words.append(
            f"{dark[0]} and {dark[1]} are one hue, bright and dark: if the jar has it once, the "
            "shares are wrong, as most flakes mirror the dark. Take both photos again under a "
            "larger lamp or before a white wall."
        )
    return tuple(words)


def _as_two_lamps(one: str, other: str) -> bool:
    change = _hue(one) - _hue(other)
    red, blue = np.abs(change)
    near = _LEAST_LAMPS < red < _MOST_LAMPS[0] and blue < _MOST_LAMPS[1]
    return from_lamp_to_lamp(change) and bool(near)


def _bright_and_dark(one: str, other: str) -> bool:
    light = [float(linear_from_hex(tint).max()) for tint in (one, other)]
    alike = np.abs(_hue(one) - _hue(other)).max() < _ONE_HUE
    return bool(alike and max(light) > _DARKER * min(light))


def _hue(tint: str) -> NDArray[np.float64]:
    """Of a tint: ln r/g and b/g."""
    red, green, blue = np.log(np.maximum(linear_from_hex(tint), _LEAST))
    return np.array([red - green, blue - green])
