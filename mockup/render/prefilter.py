"""Surroundings blurred once for the shader: an atlas of octahedral maps.

Levels 1 to 7 are the light convolved with spherical Gaussians of sigma = 0.5° · 2^(level − 1); one
more map holds the irradiance that passes a resin face, E = ∫ T(μ) L μ dω. The narrow levels are
each blurred from the one before, at a resolution of about 0.7 sigma a texel; the wide ones, for
which a map's poles are no small matter, are summed over the sphere.

References
----------
Cigolle, Donow, Evangelakos, Mara, McGuire & Meyer (2014), A Survey of Efficient Representations
for Independent Unit Vectors, JCGT 3(2): the octahedral map.
Hobson (1931), The Theory of Spherical and Ellipsoidal Harmonics: zonal series. The spherical
Gaussian is the kernel of diffusion on the sphere, exp(−l (l + 1) σ² / 2) of each degree l.
"""

from dataclasses import dataclass

import numpy as np
from numpy.polynomial.legendre import legval
from numpy.typing import NDArray
from scipy.fft import irfft, rfft, rfftfreq
from scipy.ndimage import gaussian_filter1d, map_coordinates

from mockup.material.fresnel import fresnel_dielectric
from mockup.render.lights import directions

__all__ = ["ATLAS_SHAPE", "LEVELS", "MIRROR_SIDE", "Surroundings", "prefilter", "sigma_rad"]

Map = NDArray[np.float32]

LEVELS = 7
_SUMMED = 5  # the first level that is summed over the sphere
_SOURCE_ROWS = 64  # of the map that is summed: texels of 2.8°
MIRROR_SIDE = 1024  # texels a side, without the border
ATLAS_SHAPE = (516, 772)
IRRADIANCE_SIDE, IRRADIANCE_AT = 64, (646, 260)  # column, row of the border's corner


def sigma_rad(level: int) -> float:
    """Spread of a level's Gaussian kernel, rad."""
    return float(np.radians(0.5 * 2 ** (level - 1)))


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What the shader reads: `mirror` (1026, 1026, 3) and `gloss` (516, 772, 3), float32."""

    mirror: Map
    gloss: Map


def octahedral_directions(side: int) -> Map:
    """Directions of an octahedral map with a border texel: (side + 2, side + 2, 3) float32."""
    at = (np.arange(-1, side + 1, dtype=np.float32) + np.float32(0.5)) / side * 2 - 1
    x, y = np.meshgrid(at, at)
    one = np.float32(1)
    # across an edge of the square the map goes on mirrored about the edge's middle
    x, y = np.where(np.abs(x) > 1, np.sign(x) * 2 - x, x), np.where(np.abs(x) > 1, -y, y)
    x, y = np.where(np.abs(y) > 1, -x, x), np.where(np.abs(y) > 1, np.sign(y) * 2 - y, y)
    z = 1 - np.abs(x) - np.abs(y)
    fold_x = (1 - np.abs(y)) * np.where(x >= 0, one, -one)
    fold_y = (1 - np.abs(x)) * np.where(y >= 0, one, -one)
    d = np.stack([np.where(z < 0, fold_x, x), np.where(z < 0, fold_y, y), z], -1)
    unit: Map = d / np.sqrt((d * d).sum(-1, keepdims=True))
    return unit


def _look(image: Map, towards: Map) -> Map:
    """Bilinear look-up of a latitude-longitude map: (..., 3) float32."""
    rows, columns, _ = image.shape
    padded = np.concatenate([image[:1], image, image[-1:]])
    padded = np.concatenate([padded[:, -1:], padded, padded[:, :1]], axis=1)
    u = (np.arctan2(towards[..., 0], -towards[..., 1]) / (2 * np.pi) + 0.5) * columns + 0.5
    v = np.arccos(np.clip(towards[..., 2], -1, 1)) / np.pi * rows + 0.5
    at = np.stack([v, u]).astype(np.float32)
    return np.stack(
        [map_coordinates(padded[..., c], at, order=1, mode="nearest") for c in range(3)], -1
    )


def _blur(image: Map, sigma: float) -> Map:
    """Convolve with a Gaussian of a few degrees: along meridians over the poles, then parallels.

    Texels weigh by their area, so that light near a pole is neither lost nor multiplied.
    """
    rows, columns, _ = image.shape
    margin = min(rows, int(np.ceil(3.2 * sigma / np.pi * rows)) + 1)
    polar = ((np.arange(rows) + 0.5) / rows * np.pi).astype(np.float32)
    area = np.sin(polar)[:, None, None]
    blurred = _along_meridians(image * area, margin, sigma) / _along_meridians(
        np.broadcast_to(area, (rows, 2, 1)), margin, sigma
    ).mean(1, keepdims=True)
    spread = (sigma / np.maximum(np.sin(polar), sigma / 3)).astype(np.float32)
    k = rfftfreq(columns, 1 / columns).astype(np.float32)
    damp = np.exp(-0.5 * (k[None, :] * spread[:, None]) ** 2)[..., None]
    return np.asarray(irfft(rfft(blurred, axis=1) * damp, n=columns, axis=1), np.float32)


def _along_meridians(image: Map, margin: int, sigma: float) -> Map:
    rows, columns, _ = image.shape
    over = np.roll(image, columns // 2, axis=1)
    tall = np.concatenate([over[:margin][::-1], image, over[-margin:][::-1]])
    tall = gaussian_filter1d(tall, sigma / np.pi * rows, axis=0, truncate=3.0, mode="nearest")
    return np.asarray(tall[margin : margin + rows])


def _halved(image: Map) -> Map:
    """Half the rows and columns, each texel weighed by its area."""
    rows, columns, _ = image.shape
    polar = (np.arange(rows) + 0.5) / rows * np.pi
    area = np.sin(polar).astype(np.float32).reshape(rows // 2, 2, 1, 1, 1)
    fours = image.reshape(rows // 2, 2, columns // 2, 2, 3)
    return np.asarray((fours * area).sum((1, 3)) / (2 * area.sum((1, 3))))


def _summed(source: Map, sigma: float, targets: Map) -> Map:
    """The map convolved with a wide Gaussian at given directions, as a sum over its texels."""
    rows, columns, _ = source.shape
    towards = directions(rows, columns).reshape(-1, 3).astype(np.float32)
    solid = np.sqrt(1 - towards[:, 2] ** 2)
    degree = np.arange(int(5 / sigma) + 2)
    steps = np.linspace(-1, 1, 32768)
    terms = (2 * degree + 1) * np.exp(-degree * (degree + 1) * sigma**2 / 2)
    kernel = np.maximum(legval(steps, terms), 0).astype(np.float32)
    cosine = np.clip(targets.reshape(-1, 3) @ towards.T, -1, 1)
    weight = kernel[((cosine + 1) * np.float32(32767 / 2)).astype(np.int32)] * solid
    blurred = weight @ source.reshape(-1, 3) / weight.sum(1, keepdims=True)
    return np.asarray(blurred.reshape(targets.shape), np.float32)


def _irradiance(image: Map, ior: float) -> Map:
    """Transmitted irradiance for each normal of a small octahedral map."""
    while image.shape[0] > 32:  # the kernel is as wide as the sky; 6° texels are plenty
        image = _halved(image)
    rows, columns, _ = image.shape
    towards = directions(rows, columns).reshape(-1, 3)
    solid = np.sqrt(1 - towards[:, 2] ** 2) * (np.pi / rows) * (2 * np.pi / columns)
    normals = octahedral_directions(IRRADIANCE_SIDE)
    facing = normals.reshape(-1, 3).astype(np.float32) @ towards.T.astype(np.float32)
    cosine = np.maximum(facing, 0)
    steps = np.linspace(0, 1, 2048)  # a table is quicker than Fresnel for every pair
    passed = ((1 - fresnel_dielectric(steps, ior)) * steps).astype(np.float32)
    weight = passed[np.rint(np.minimum(cosine, 1) * 2047).astype(np.int32)]
    power = (image.reshape(-1, 3) * solid[:, None]).astype(np.float32)
    lit: Map = weight @ power
    return lit.reshape(*normals.shape[:2], 3)


def prefilter(radiance: Map, *, ior: float) -> Surroundings:
    """Blur a latitude-longitude map of (512, 1024, 3) into what the shader reads."""
    gloss = np.zeros((*ATLAS_SHAPE, 3), np.float32)
    source = radiance
    while source.shape[0] > _SOURCE_ROWS:
        source = _halved(source)
    image, spread2 = radiance, 0.0  # what blur the image has, as a variance along each axis
    for level in range(1, LEVELS + 1):
        sigma2, texel2 = sigma_rad(level) ** 2, (np.pi / image.shape[0]) ** 2
        side = 512 >> (level - 1)
        column, row = (0, 0) if level == 1 else (514, 512 - 2 * side + 2 * (level - 2))
        targets = octahedral_directions(side)
        if level < _SUMMED:
            after2 = sigma2 - texel2 / 6  # reading between texels blurs as well
            image = _blur(image, float(np.sqrt(after2 - spread2)))
            seen = _look(image, targets)
            image, spread2 = _halved(image), after2 + texel2 / 4
        else:
            texel2 = (np.pi / _SOURCE_ROWS) ** 2
            seen = _summed(source, float(np.sqrt(sigma2 - texel2 / 12)), targets)
        gloss[row : row + side + 2, column : column + side + 2] = seen
    column, row = IRRADIANCE_AT
    lit = _irradiance(radiance, ior)
    gloss[row : row + lit.shape[0], column : column + lit.shape[1]] = lit
    return Surroundings(_look(radiance, octahedral_directions(MIRROR_SIDE)), gloss)
