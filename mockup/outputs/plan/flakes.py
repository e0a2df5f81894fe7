"""How much glitter lies on the wall, from the coverage field that the picture shows.

Flakes strewn at random and flat hide the share C = 1 − exp(−λ) where they lie λ deep on average
(a Boolean model with a constant mean; Chiu, Stoyan, Kendall & Mecke 2013, Stochastic Geometry and
its Applications, sec. 3.1). So what has to be strewn is λ = −ln(1 − C), more than C, because flakes
fall on flakes.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from mockup.blank.wall import Wall
from mockup.design.layers import Band, Fade, GlitterLayer, Patch
from mockup.skin.field import coverage_field

__all__ = ["Strewn", "strewn"]

Floats = NDArray[np.float64]

LEAST_COVERAGE = 0.005  # below this no adhesive is brushed on
_LONGEST_MM = 1.0  # heights are integrated in pieces no longer than this
_TURNS = 1440  # where patches make the field vary round the cup
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True, slots=True)
class Strewn:
    """Over one cup, mm².

    Attributes
    ----------
    flakes_mm2
        Area of all flakes laid side by side: the integral of −ln(1 − C).
    hidden_mm2
        Area that they hide: the integral of C.
    bed_mm2
        Area with any flakes on it, which needs adhesive.
    """

    flakes_mm2: float
    hidden_mm2: float
    bed_mm2: float


def strewn(layer: GlitterLayer, wall: Wall) -> Strewn:
    """Integrate the coverage of `layer` over the whole wall, as it is when it is laid.

    What later layers cover changes nothing: it is strewn all the same.
    """
    heights, weights = _quadrature(_breaks(layer, wall))
    varies = any(isinstance(shape, Patch) for shape in layer.coverage)
    columns = _TURNS if varies else 1
    turns = (np.arange(columns) + 0.5) * (2 * np.pi / columns) - np.pi
    share = coverage_field(layer, wall, turns[None, :], heights[:, None])
    ring_mm2 = wall.radius_at(heights) * weights * (2 * np.pi / columns)
    return Strewn(
        flakes_mm2=float(ring_mm2 @ -np.log1p(-share).sum(axis=1)),
        hidden_mm2=float(ring_mm2 @ share.sum(axis=1)),
        bed_mm2=float(ring_mm2 @ (share > LEAST_COVERAGE).sum(axis=1)),
    )


def _breaks(layer: GlitterLayer, wall: Wall) -> Floats:
    """Heights on the wall where the field may bend or jump, both ends of the wall among them."""
    at: list[float] = [0.0, wall.length_mm]
    for shape in layer.coverage:
        match shape:
            case Band():
                half = shape.edge_mm / 2
                at += [end + d for end in (shape.from_mm, shape.to_mm) for d in (-half, half)]
            case Fade():
                at += [shape.from_mm, shape.to_mm]
            case Patch():
                reach = shape.radius_mm + shape.feather_mm
                at += [shape.height_mm + d for d in (-reach, -shape.radius_mm)]
                at += [shape.height_mm + d for d in (shape.radius_mm, reach)]
    return np.unique(np.clip(at, 0.0, wall.length_mm))


def _quadrature(breaks_mm: Floats) -> tuple[Floats, Floats]:
    """Gauss-Legendre nodes and weights between breaks, both (n,) mm."""
    ends = [
        np.linspace(low, high, int(np.ceil((high - low) / _LONGEST_MM)) + 1)
        for low, high in pairwise(breaks_mm.tolist())
    ]
    low = np.concatenate([piece[:-1] for piece in ends])
    half = np.concatenate([np.diff(piece) for piece in ends]) / 2
    nodes = (low + half)[:, None] + half[:, None] * _NODES
    return nodes.ravel(), (half[:, None] * _WEIGHTS).ravel()
