"""Reflectances of the chart of 24 patches that photographers use, as colour-science has them.

References
----------
McCamy, Marcus & Davidson (1976), A color-rendition chart, J. Applied Photographic Engineering
2(3), 95-99. Spectra by Ohta (1997), as colour-science holds them.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.spectra import resampled

__all__ = ["CHART_COLUMNS", "CHART_ROWS", "GREYS", "chart_reflectances"]

CHART_ROWS, CHART_COLUMNS = 4, 6
_AUTHOR = "Ohta"
GREYS = slice(18, 24)  # the last row, from white to black


@cache
def chart_reflectances() -> NDArray[np.float64]:
    """Row by row from the dark skin, (24, 81) float64, on `spectra.wavelengths_nm`."""
    from colour import SDS_COLOURCHECKERS  # here, not at the top: it takes seconds

    measured = next(chart for name, chart in SDS_COLOURCHECKERS.items() if name.endswith(_AUTHOR))
    spectra = np.stack([resampled(sd.wavelengths, sd.values) for sd in measured.values()])
    spectra.flags.writeable = False
    return spectra
