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
from scipy.ndimage import gaussian_filter1d

from mockup.material.fresnel import fresnel_dielectric
from mockup.render.lights import directions

__all__ = [
    "ATLAS_SHAPE", "LEVELS", "MIRROR_SIDE", "Surroundings", "gloss_atlas", "prefilter", "sigma_rad",
]  # fmt: skip

Map = NDArray[np.float32]

LEVELS = 7
_SUMMED = 5  # the first level that is summed over the sphere
_SOURCE_ROWS = 64  # of the map that is summed: texels of 2.8°
MIRROR_SIDE = 1024  # texels a side, without the border
ATLAS_SHAPE = (516, 772)
IRRADIANCE_SIDE, IRRADIANCE_AT = 64, (646, 260)  # column, row of the border's corner
_BLOCK = 32  # rows that are worked on at a time, so that they stay in the processor's cache


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


def _octahedral(image: Map, side: int) -> Map:
    """Bilinear look-up of a latitude-longitude map for the texels of an octahedral one.

    Its quarters mirror one another, so places are worked out for one; the border repeats texels.

    Returns
    -------
    (side + 2, side + 2, 3) float32, in the directions of `octahedral_directions`
    """
    rows, columns, _ = image.shape
    half = side // 2
    x = (np.arange(half, dtype=np.float32) + np.float32(0.5)) / half
    y = x[:, np.newaxis]
    folded = x + y > 1
    fold_x, fold_y = np.where(folded, 1 - y, x), np.where(folded, 1 - x, y)
    polar = np.arctan2(np.hypot(fold_x, fold_y), 1 - x - y)
    turn = np.arctan2(fold_x, fold_y) / (2 * np.pi) * columns
    row = polar / np.pi * rows + 0.5
    texels = np.zeros((rows + 2, columns + 2, 4), np.float32)
    texels[1:-1, 1:-1, :3] = image
    texels[0], texels[-1] = texels[1], texels[-2]
    texels[:, 0], texels[:, -1] = texels[:, -2], texels[:, 1]
    found = np.empty((side + 2, side + 2, 3), np.float32)
    left, right = slice(half, 0, -1), slice(half + 1, side + 1)
    middle = columns / 2 + 0.5
    found[left, right] = _read(texels, row, middle + turn)
    found[left, left] = _read(texels, row, middle - turn)
    found[right, right] = _read(texels, row, columns + 0.5 - turn)
    found[right, left] = _read(texels, row, 0.5 + turn)
    found[0], found[-1] = found[1, ::-1], found[-2, ::-1]
    found[:, 0], found[:, -1] = found[::-1, 1], found[::-1, -2]
    return found


def _read(texels: Map, row: Map, column: Map) -> Map:
    """Values between texels (rows, columns, 4), at fractions of their indices: (h, w, 3)."""
    width = texels.shape[1]
    whole = texels.reshape(-1).view(np.complex128)  # a texel's sixteen bytes in one read
    found = np.empty((*row.shape, 3), np.float32)

    def at(index: NDArray[np.int32]) -> Map:
        return whole.take(index).view(np.float32).reshape(*index.shape, 4)

    for start in range(0, len(row), _BLOCK):
        lines = slice(start, start + _BLOCK)
        low, left = row[lines].astype(np.int32), column[lines].astype(np.int32)
        up, along = (row[lines] - low)[..., np.newaxis], (column[lines] - left)[..., np.newaxis]
        first = low * width + left
        lower, upper = at(first), at(first + width)
        lower += along * (at(first + 1) - lower)
        upper += along * (at(first + width + 1) - upper)
        lower += up * (upper - lower)
        found[lines] = lower[..., :3]
    return found


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
    rows, columns, channels = image.shape
    area = np.sin((np.arange(rows) + 0.5) / rows * np.pi).astype(np.float32)
    share = area / np.repeat(2 * (area[::2] + area[1::2]), 2)
    lines = image.reshape(rows, -1) * share[:, np.newaxis]
    twos = (lines[::2] + lines[1::2]).reshape(rows // 2, columns // 2, 2, channels)
    return np.asarray(twos[:, :, 0] + twos[:, :, 1])


def _summed(source: Map, sigma: float, targets: Map) -> Map:
    """The map convolved with a wide Gaussian at given directions, as a sum over its texels."""
    area = np.sqrt(1 - directions(*source.shape[:2])[..., 2:] ** 2).astype(np.float32)
    degree = np.arange(int(5 / sigma) + 2)
    steps = np.linspace(-1, 1, 32768)
    terms = (2 * degree + 1) * np.exp(-degree * (degree + 1) * sigma**2 / 2)
    kernel = np.maximum(legval(steps, terms), 0).astype(np.float32)
    summed = _weighed(np.concatenate([source * area, area], axis=-1), kernel, targets)
    return np.asarray(summed[..., :3] / summed[..., 3:])


def _irradiance(image: Map, ior: float) -> Map:
    """Transmitted irradiance for each normal of a small octahedral map.

    `image` has texels of 6° or less, which are plenty for a kernel as wide as the sky.
    """
    rows, columns, _ = image.shape
    solid = np.sqrt(1 - directions(rows, columns)[..., 2:] ** 2) * (2 * np.pi**2 / rows / columns)
    cosine = np.maximum(np.linspace(-1, 1, 4095), 0)
    passed = ((1 - fresnel_dielectric(cosine, ior)) * cosine).astype(np.float32)
    power = (image * solid).astype(np.float32)
    return _weighed(power, passed, octahedral_directions(IRRADIANCE_SIDE))


def _weighed(source: Map, kernel: Map, targets: Map) -> Map:
    """Sum over a latitude-longitude map's texels, weighed by a function of the angle to each.

    Parameters
    ----------
    source : (rows, columns, channels) float32
    kernel : (n,) float32
        The function at even steps of the angle's cosine, from −1 to 1: a table is quicker than to
        work it out for every pair.
    targets : (..., 3) float32
        Unit vectors.

    Returns
    -------
    (..., channels) float32
    """
    rows, columns, channels = source.shape
    towards = directions(rows, columns).reshape(-1, 3).T.astype(np.float32)
    middle = np.float32((len(kernel) - 1) / 2)
    scaled, values = targets.reshape(-1, 3) * middle, source.reshape(-1, channels)
    found = np.empty((len(scaled), channels), np.float32)
    for start in range(0, len(scaled), _BLOCK):
        lines = slice(start, start + _BLOCK)
        step = scaled[lines] @ towards
        step += middle + np.float32(0.5)
        found[lines] = kernel.take(step.astype(np.int32), mode="clip") @ values
    return found.reshape(*targets.shape[:-1], channels)


def prefilter(radiance: Map, *, ior: float) -> Surroundings:
    """Blur a latitude-longitude map of (512, 1024, 3) into what the shader reads."""
    return Surroundings(_octahedral(radiance, MIRROR_SIDE), gloss_atlas(radiance, ior=ior))


def gloss_atlas(radiance: Map, *, ior: float) -> Map:
    """The blurred levels and the irradiance by themselves: `Surroundings.gloss`."""
    gloss = np.zeros((*ATLAS_SHAPE, 3), np.float32)
    source = radiance
    while source.shape[0] > _SOURCE_ROWS:
        source = _halved(source)
    image, spread2 = radiance, 0.0  # what blur the image has, as a variance along each axis
    for level in range(1, LEVELS + 1):
        sigma2, texel2 = sigma_rad(level) ** 2, (np.pi / image.shape[0]) ** 2
        side = 512 >> (level - 1)
        column, row = (0, 0) if level == 1 else (514, 512 - 2 * side + 2 * (level - 2))
        if level < _SUMMED:
            after2 = sigma2 - texel2 / 6  # reading between texels blurs as well
            image = _blur(image, float(np.sqrt(after2 - spread2)))
            seen = _octahedral(image, side)
            image, spread2 = _halved(image), after2 + texel2 / 4
        else:
            texel2 = (np.pi / _SOURCE_ROWS) ** 2
            sigma = float(np.sqrt(sigma2 - texel2 / 12))
            seen = _summed(source, sigma, octahedral_directions(side))
        gloss[row : row + side + 2, column : column + side + 2] = seen
    column, row = IRRADIANCE_AT
    lit = _irradiance(_halved(source), ior)
    gloss[row : row + lit.shape[0], column : column + lit.shape[1]] = lit
    return gloss
