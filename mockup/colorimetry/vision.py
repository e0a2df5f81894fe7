"""Colours as eyes see them that lack one of the three kinds of cones.

Lacking the long-wave cones is protanopia, the middle ones deuteranopia, the short ones
tritanopia. Most people with weak colour vision have the cones and have them shifted, which is
milder: what reads for these reads for them.

References
----------
Machado, Oliveira & Fernandes (2009), A physiologically-based model for simulation of color vision
deficiency, doi:10.1109/TVCG.2009.113; the authors' precomputed matrices at severity 1.0, which act
on linear light.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["MACHADO_2009", "VISIONS", "Vision", "linear_srgb_as_seen"]

Vision = Literal["normal", "protan", "deutan", "tritan"]

VISIONS: tuple[Vision, ...] = ("normal", "protan", "deutan", "tritan")

MACHADO_2009: Mapping[Vision, NDArray[np.float64]] = MappingProxyType(
    {
        "normal": np.eye(3),
        "protan": np.array(
            [
                [0.152286, 1.052583, -0.204868],
                [0.114503, 0.786281, 0.099216],
                [-0.003882, -0.048116, 1.051998],
            ]
        ),
        "deutan": np.array(
            [
                [0.367322, 0.860646, -0.227968],
                [0.280085, 0.672501, 0.047413],
                [-0.011820, 0.042940, 0.968881],
            ]
        ),
        "tritan": np.array(
            [
                [1.255528, -0.076749, -0.178779],
                [-0.078411, 0.930809, 0.147602],
                [0.004733, 0.691367, 0.303900],
            ]
        ),
    }
)
for _matrix in MACHADO_2009.values():
    _matrix.flags.writeable = False


def linear_srgb_as_seen(rgb_linear: ArrayLike, vision: Vision) -> NDArray[np.float64]:
    """What a normal eye must be shown to see what an eye of this vision sees.

    Parameters
    ----------
    rgb_linear : (..., 3) float, linear sRGB

    Returns
    -------
    (..., 3) float64, linear sRGB, not clipped

    References
    ----------
    Machado, Oliveira & Fernandes (2009), doi:10.1109/TVCG.2009.113, sec. 4.
    """
    return np.asarray(np.asarray(rgb_linear, dtype=np.float64) @ MACHADO_2009[vision].T)
