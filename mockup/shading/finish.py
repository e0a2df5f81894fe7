"""What a satin or flat coat does: its rough face blurs its own mirror image, and all below it.

The face's facets lean by slopes of spread s about each axis. A mirror image in them is spread by
2 s. Light that passes the face is bent by less, (1 − 1/n) s inside; a mirror below sends it back
through facets of another place, and outside again its spread is √2 (n − 1) s. Paint is none the
wiser: it scatters light all about.

Limits. Small slopes; more light that is lost between the facets, and the darker face of a rough
coat at grazing angles, are left out.

References
----------
Walter, Marschner, Li & Torrance (2007), doi:10.2312/EGWR/EGSR07/195-206, sec. 5: rough refraction.
Belcour (2018), Efficient Rendering of Layered Materials, doi:10.1145/3197517.3201289, sec. 4.2:
variances of slopes add from layer to layer.
"""

from typing import Literal

import numpy as np

from mockup.material.optics import Optics

__all__ = ["FINISH_SIGMA_DEG", "mirrored_spread", "seen_alphas", "seen_spread"]

Finish = Literal["flat", "satin", "gloss"]

# spread of the face's own mirror image; typical of varnishes called so
FINISH_SIGMA_DEG = {"gloss": 0.0, "satin": 9.0, "flat": 26.0}


def mirrored_spread(finish: Finish) -> float:
    """σ of the face's own mirror image, rad."""
    return float(np.radians(FINISH_SIGMA_DEG[finish]))


def seen_spread(finish: Finish, ior: float) -> float:
    """σ that the face adds, rad, to what a mirror below it shows."""
    slopes = mirrored_spread(finish) / 2
    return float(np.sqrt(2) * (ior - 1) * slopes)


def seen_alphas(optics: Optics, finish: Finish, ior: float) -> tuple[float, float]:
    """GGX alpha, round the cup and up the wall, of a sheet as it looks through the coat.

    A facet below that leans by a slope s turns the image by 2 n s. So the face counts as slopes of
    σ = spread / (2 n) more, and alpha² = 2 σ² (Beckmann's) adds to the sheet's.
    """
    added2 = 2 * (seen_spread(finish, ior) / (2 * ior)) ** 2
    along, across = (float(np.hypot(optics.alpha * s, np.sqrt(added2))) for s in optics.stretch)
    return along, across
