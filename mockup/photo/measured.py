"""What a photo gave: swatches as the design document writes them, figures, how sure they are."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mockup.design.palette import Swatch
from mockup.photo.told import Area

__all__ = ["Figure", "Measured", "MeasuredSwatch", "Places"]


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Where things lie in one photo.

    Attributes
    ----------
    card_px : (4, 2) float64
        Corners of the card, or of a chart's field of patches: x and y, (0, 0) the middle of the
        first pixel.
    chart
        Whether it is a chart.
    material
        What was measured.
    bare
        Under glitter: where the ground is bare.
    """

    card_px: NDArray[np.float64]
    chart: bool
    material: Area
    bare: Area | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure and the distance from it within which the truth lies in 90 % of cases."""

    value: float
    within: float


@dataclass(frozen=True, slots=True)
class MeasuredSwatch:
    """One swatch.

    Attributes
    ----------
    share, share_within
        Of the flakes of a mix, and how far it may be off in 90 % of cases; 1 of all else.
    delta_e
        ΔE00 from the swatch within which the true colour lies in 90 % of cases.
    rgb_low, rgb_high
        Linear sRGB in daylight between which each channel lies in 90 % of cases.
    nm, low, high
        The same for reflectance at each wavelength; empty for metals and flakes.
    """

    swatch: Swatch
    share: float
    delta_e: float
    rgb_low: tuple[float, ...]
    rgb_high: tuple[float, ...]
    nm: tuple[float, ...] = ()
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()
    share_within: float = 0.0


@dataclass(frozen=True, slots=True)
class Measured:
    """One material.

    Attributes
    ----------
    kind
        ``paint``, ``print``, ``fabric``, ``vinyl``, ``glitter`` or ``foil``.
    swatches
        One, or the colours of a glitter mix, the largest share first.
    figures
        Of glitter `cut_mm`, `coverage`, `tilt_deg`, `sparkle`; of foil `specular_roughness`.
    mean_rgb
        Of glitter: linear sRGB in daylight of the strewn area on the whole, on white and on black.
    mean_delta_e
        ΔE00 from both within which they lie in 90 % of cases.
    words
        What to know of it, whole sentences.
    places
        Where it was measured, of each photo.
    """

    kind: str
    swatches: tuple[MeasuredSwatch, ...]
    figures: dict[str, Figure]
    words: tuple[str, ...]
    mean_rgb: tuple[tuple[float, ...], ...] = ()
    mean_delta_e: float = 0.0
    places: tuple[Places, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Plain values, as JSON has them."""
        return {
            "kind": self.kind,
            "swatches": [
                {
                    "share": round(one.share, 4),
                    "share_within_90": round(one.share_within, 4),
                    "swatch": one.swatch.model_dump(mode="json"),
                    "delta_e_2000_90": round(one.delta_e, 2),
                    "rgb_linear_90": [list(one.rgb_low), list(one.rgb_high)],
                    **(
                        {"reflectance_90": [list(one.nm), list(one.low), list(one.high)]}
                        if one.nm
                        else {}
                    ),
                }
                for one in self.swatches
            ],
            "figures": {
                name: {"value": figure.value, "within_90": figure.within}
                for name, figure in self.figures.items()
            },
            "mean_rgb_linear": [list(rgb) for rgb in self.mean_rgb],
            "mean_delta_e_2000_90": round(self.mean_delta_e, 2),
            "words": list(self.words),
        }
