"""What a photo's file tells of the lens, and what is taken where it tells nothing."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from mockup.photo.camera import focal_px_from_35mm

__all__ = ["USUAL_35MM", "Lens", "lens_of", "lens_told", "lens_unknown"]

_EXIF_IFD, _FOCAL_35MM = 0x8769, 0xA405  # EXIF 2.32: FocalLengthIn35mmFilm, whole mm
_ROUNDING_MM = 0.29  # σ of a number that was rounded to whole mm
_BREATHING = 0.005  # σ of the logarithm: lenses change a little as they focus
USUAL_35MM = (26.0, 36.0, 50.0, 70.0)  # of phones and of cameras on a table
_MIDDLE_35MM, _SPREAD = 42.0, 0.5  # of those; σ of the logarithm


@dataclass(frozen=True, slots=True)
class Lens:
    """Focal length for 36 × 24 mm film, mm; σ of its logarithm; where it is known from."""

    focal_35mm: float
    log_sigma: float
    source: str

    def focal_px(self, size_px: tuple[int, int]) -> float:
        """Focal length in a whole photo of this size."""
        return focal_px_from_35mm(self.focal_35mm, size_px)


def lens_told(focal_35mm: float, source: str) -> Lens:
    """A lens whose length for 36 × 24 mm film is known to the mm."""
    return Lens(focal_35mm, float(np.hypot(_ROUNDING_MM / focal_35mm, _BREATHING)), source)


def lens_unknown() -> Lens:
    """A usual lens; the cup's own perspective has to tell the rest."""
    return Lens(_MIDDLE_35MM, _SPREAD, "not told: fitted with the outline")


def lens_of(path: Path) -> Lens:
    """The lens that a photo's EXIF names, or an unknown one."""
    with Image.open(path) as image:
        told = image.getexif().get_ifd(_EXIF_IFD).get(_FOCAL_35MM)
    if not told or not 5 <= float(told) <= 1200:
        return lens_unknown()
    return lens_told(float(told), "the photo's EXIF")
