"""What the shader shows in even light: one colour a layer, for contrasts that need no picture.

Surroundings of one radiance all round, white paint's own luminance 1, looked at straight on. The
face's own reflection is left out: it lies over all layers alike, and WCAG's 0.05 stands for it.
Metal mirrors the room where paint gathers its light. What an upright wall mirrors of our five
lights is, on the mean, 0.6 of a white card that faces the eye, and so metals count `MIRRORED` of
their reflectance. The wall's curvature (1 to 3 % of
paint), the shade that flakes throw on each other, what a tinted coat takes on ways to and fro, and
what clear flakes let through are left out.
The shade that they throw on the paint between them is the shader's own (Kuusk 1985, see `gaps`).
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.material.channels import FRESNEL_TERMS, slots
from mockup.material.chip import MIRRORED
from mockup.material.coat import K1, K2
from mockup.material.fresnel import fresnel_dielectric
from mockup.material.optics import Optics, fresnel_at
from mockup.shading.gaps import GAP_NODES, MOST_DEPTH
from mockup.shading.lobes import COAT_IOR
from mockup.shading.table import ROW_FLAKES, ROW_GAPS, ROW_SHEETS, matt_reflectance
from mockup.skin.skin import Skin

__all__ = ["EvenColours", "even_colours", "swatch_colour"]

Floats = NDArray[np.float64]

_ESCAPE = 0.19  # share of light that leaves near the critical angle; T2 of shade.glsl
_SLANT_IN = (
    1.19  # mean way of diffuse light through resin, in thicknesses; as shade.glsl's `tinted`
)


@dataclass(frozen=True, slots=True, eq=False)
class EvenColours:
    """Colours in even light, linear sRGB, white paint in air being 1.

    Attributes
    ----------
    sheets : (sheets, 3) float64
    flakes : (populations, 3) float64
        Mean of each population's mix.
    base_rho : (3,) float64
        Reflectance of the base coat below the face; `paint` makes a colour of it.
    """

    sheets: Floats
    flakes: Floats
    base_rho: Floats
    _below_face: float  # internal diffuse reflectance of the face, K2
    _dry: bool
    _veil: Floats
    _mixes: Floats  # (populations, 3) mean reflectance of each mix
    _gaps: Floats  # (populations, GAP_NODES, 8)
    _films: Mapping[int, "_Film"]  # the sheets that are clear

    def paint(self, art_linear: Floats, opacity: Floats, coverage: Floats | None = None) -> Floats:
        """Colour of the base coat and its sheet artwork, where no flake hides it.

        Parameters
        ----------
        art_linear : (..., 3) float, linear sRGB, as the shader is given it
        opacity : (...) float, in [0, 1]
        coverage : (..., populations) float, in [0, 1)
            Of the flakes about the place, which shade it; None is none.

        Returns
        -------
        (..., 3) float64, linear sRGB
        """
        k1, k2 = K1(COAT_IOR), self._below_face
        art = np.asarray(art_linear, np.float64)
        if self._dry:  # dry artwork is its own face: Saunderson (1942) backwards
            art = np.minimum(art, 1 - k1)
            art = art / ((1 - k1) * (1 - k2) + art * k2)
        share = np.asarray(opacity, np.float64)[..., None]
        rho = self.base_rho + share * (art - self.base_rho)
        colour = _body(rho, k2) * self._veil
        if coverage is None or not coverage.shape[-1]:
            return colour
        return colour * self._between_flakes(np.asarray(coverage, np.float64), rho)

    def through(self, sheet: int, below: Floats) -> Floats:
        """What a sheet adds to its own colour of what lies below it: nothing, unless it is clear.

        Parameters
        ----------
        below : (..., 3) float, linear sRGB

        Returns
        -------
        (..., 3) float64, linear sRGB
        """
        film = self._films.get(sheet)
        if film is None:
            return np.zeros_like(below)
        k2 = self._below_face if film.coated else 0.0
        face = 1 - _passes() if film.coated else 0.0
        rho = below / ((1 - face) * (1 - k2) + below * k2)
        once = film.passes * (1 - film.slanted)
        back = film.slanted + k2 * once**2 / np.maximum(1 - film.slanted, 1e-3)
        again = (1 - rho * k2) / (1 - np.minimum(rho * back, 0.999))
        return np.asarray(
            below * film.passes * (1 - film.straight) * once * again / (1 - film.straight * face)
        )

    def _between_flakes(self, coverage: Floats, rho: Floats) -> Floats:
        """Light of paint between flakes over its light without any.

        `layer_at` and `between_flakes` of shade.glsl, for light that is alike from everywhere.
        """
        depths = -np.log1p(-np.minimum(coverage, 0.985))
        tau = np.maximum(depths.sum(axis=-1), 1e-6)
        mean = (depths @ self._mixes) / tau[..., None]
        gap, under = self._gaps_at(np.argmax(depths, axis=-1), tau)
        seen, leaves, back, every = (gap[..., i, None] for i in range(4))
        leaves_u, back_u, every_u, head = (under[..., i, None] for i in range(4))
        hidden = 1 - np.exp(-tau)[..., None]
        below = 1 - (1 - every_u) * mean * rho
        out = leaves + (1 - every) * mean * rho * leaves_u / below
        again = back + (1 - every) * mean * rho * back_u / below
        left = (1 - hidden) * rho
        flakes = hidden * mean * head
        rest = 1 - flakes * (1 - _ESCAPE) - hidden * mean**2 * (1 - head) - left * again
        thrown = (flakes * _ESCAPE + left * out) / rest
        lower = (leaves_u + back_u * thrown) / below
        lit = seen * (1 - self._below_face) + back * thrown + (1 - every) * mean * rho * lower
        return np.asarray(lit * (1 - rho * self._below_face) / (1 - self._below_face))

    def _gaps_at(self, population: NDArray[np.intp], tau: Floats) -> tuple[Floats, Floats]:
        at = np.sqrt(np.minimum(tau, MOST_DEPTH * 0.9999) / MOST_DEPTH) * (GAP_NODES - 1)
        node = at.astype(np.intp)
        part = (at - node)[..., None]
        nodes = self._gaps[population, node] * (1 - part) + self._gaps[population, node + 1] * part
        return nodes[..., :4], nodes[..., 4:]


@dataclass(frozen=True, slots=True, eq=False)
class _Film:
    """A clear film: its reflectance straight on and to slanted light, what it does not swallow."""

    straight: Floats
    slanted: Floats
    passes: Floats
    coated: bool

    @classmethod
    def of(cls, swatch: NDArray[np.float32], *, coated: bool) -> "_Film":
        """Out of its row of the table, at the angles of `under_film` in shade.glsl."""
        at = slots()
        first = at["fresnel_coated" if coated else "fresnel_bare"]
        terms = swatch[first : first + FRESNEL_TERMS, :3].astype(np.float64)
        straight, slanted = (
            np.clip(fresnel_at(terms, mu), 0, 1) for mu in (1.0, 0.87 if coated else 0.7)
        )
        return cls(straight, slanted, swatch[at["passes"], :3].astype(np.float64), coated)


def even_colours(
    skin: Skin, table: NDArray[np.float32], *, mirrored: float = MIRRORED
) -> EvenColours:
    """Colours of every layer of a skin under the table's palette and illuminant.

    Parameters
    ----------
    table
        As `build_table` fills it.
    mirrored
        Luminance of what metals mirror, white being 1; 1 is truly even light.
    """
    at, below_face = slots(), float(table[0, 2, 0])
    sheets, films = np.zeros((len(skin.sheets), 3)), {}
    for i, sheet in enumerate(skin.sheets):
        own = table[ROW_SHEETS + i]
        swatch = table[int(own[0, 0])]
        metal = swatch[at["reflectance"], 3] > 0.5
        if metal:
            colour = mirrored * _metal(swatch, coated=sheet.depth_mm > 0)
        else:
            colour = _body(own[2, :3].astype(np.float64), below_face)
        sheets[i] = colour * _veil(own[1, :3])
        if swatch[at["passes"], :3].any():
            films[i] = _Film.of(swatch, coated=sheet.depth_mm > 0)
    count = len(skin.flakes)
    flakes = np.zeros((count, 3))
    for i in range(count):
        own = table[ROW_FLAKES + i]
        flakes[i] = mirrored * _below_coat(own[11, :3].astype(np.float64)) * _veil(own[9, :3])
    return EvenColours(
        sheets=np.clip(sheets, 0, None),
        flakes=np.clip(flakes, 0, None),
        base_rho=table[0, 4, :3].astype(np.float64),
        _below_face=below_face,
        _dry=bool(table[0, 2, 1] > 0.5),
        _veil=_veil(table[0, 3, :3]),
        _mixes=table[ROW_FLAKES : ROW_FLAKES + count, 11, :3].astype(np.float64),
        _gaps=table[ROW_GAPS : ROW_GAPS + count, : 2 * GAP_NODES]
        .astype(np.float64)
        .reshape(count, GAP_NODES, 8),
        _films=films,
    )


def swatch_colour(optics: Optics, depth_mm: float, *, flakes: bool = False) -> Floats:
    """Colour of one swatch, below so much clear resin: (3,) float64, linear sRGB.

    Parameters
    ----------
    flakes
        Whether it is laid as flakes, which are metal whatever the swatch.
    """
    if flakes:
        return MIRRORED * _below_coat(np.clip(fresnel_at(optics.fresnel_coated, 0.97), 0, 1))
    if not optics.metal:
        rho = matt_reflectance(optics, depth_mm).astype(np.float64)
        return _body(rho, K2(COAT_IOR))
    if depth_mm > 0:
        return MIRRORED * _below_coat(np.clip(fresnel_at(optics.fresnel_coated, 1.0), 0, 1))
    return np.asarray(MIRRORED * np.clip(fresnel_at(optics.fresnel_bare, 1.0), 0, 1))


def _passes() -> float:
    """Share of light that passes the face straight on."""
    return 1.0 - float(fresnel_dielectric(1.0, COAT_IOR))


def _body(rho: Floats, below_face: float) -> Floats:
    """Paint below the face; `material.coat.coated_body_reflectance` on a flat wall."""
    return np.asarray(_passes() * (1 - below_face) * rho / (1 - rho * below_face))


def _metal(swatch: NDArray[np.float32], *, coated: bool) -> Floats:
    """Rough metal: the first bounce and the series of those that the face throws back."""
    at = slots()
    first = at["fresnel_coated" if coated else "fresnel_bare"]
    terms = swatch[first : first + FRESNEL_TERMS, :3].astype(np.float64)
    reflectance = np.clip(fresnel_at(terms, 1.0), 0.0, 1.0)
    if not coated:
        return np.asarray(float(swatch[at["fresnel_bare"], 3]) * reflectance)
    a1, a2, ratio, _ = (float(a) for a in swatch[at["lobes_coated"]])
    again = a2 * reflectance**2 / (1 - ratio * reflectance)
    return np.asarray(_passes() * (a1 * reflectance + again))


def _below_coat(reflectance: Floats) -> Floats:
    """Flakes, as a pile of plates (Stokes 1862) without the face's own reflection."""
    face = 1.0 - _passes()
    return np.asarray(_passes() ** 2 * reflectance / (1 - face * reflectance))


def _veil(optical: NDArray[np.float32]) -> Floats:
    """What tinted coats leave of the light, once in at the mean slant and once straight out."""
    return np.exp(-optical.astype(np.float64) * (1.0 + _SLANT_IN))
