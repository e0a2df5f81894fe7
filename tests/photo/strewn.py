"""Photos of strewn glitter whose truth is known: hexagons thrown one by one, lit by our lights.

Thrown here by their own code: points of a Poisson law, turned any way, tilted by two Gaussian
slopes, the later ones on top; each mirrors one of our lights with the spread of its roughness.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from mockup.colorimetry.spectra import linear_srgb_weights, wavelengths_nm
from mockup.material.fresnel import fresnel_conductor
from mockup.material.metals import read_metal
from mockup.material.spectrum import lacquer
from mockup.render.lights import find_light
from mockup.shading.gaps import find_gaps, node_depths
from tests.photo.scenes import USUAL_CAMERA, Faults, camera_weights, developed, inside

PX_PER_MM = 10.0
CARD_MM = (30.0, 20.0)
CARD_BOX = (20, 20, 320, 220)
CARD = np.array([[20.0, 20.0], [320.0, 20.0], [320.0, 220.0], [20.0, 220.0]]) - 0.5
STREWN = (350, 20, 690, 400)
BARE = (40, 260, 300, 380)
SIZE = (710, 420)
WHITE, BLACK, GREY = 0.88, 0.04, 0.18


def any_faults(rng, stops=0):
    """Each photo its own; flashes need room above white, or more by so many stops."""
    return Faults(
        balance=tuple(np.exp(rng.normal(0, 0.1, 3))),
        exposure=rng.uniform(0.4, 0.5) * 0.5**stops,
        vignette=rng.uniform(0, 0.2),
        slope=tuple(rng.normal(0, 0.04, 2)),
    )


@dataclass(frozen=True)
class Jar:
    """What is in it, and how it was strewn."""

    tints: tuple[str, ...] = ("#ffffff", "#c8963c", "#1f6fb4")
    shares: tuple[float, ...] = (0.5, 0.3, 0.2)
    cut_mm: float = 0.9
    coverage: float = 0.6
    tilt_deg: float = 6.0
    light: str = "softbox"


DENSE = Jar(("#e8c050", "#c03050"), (0.65, 0.35), 0.9, 0.75)


TINTS = ("#ffffff", "#c8963c", "#1f6fb4", "#e8c050", "#c03050", "#c87050", "#d8b04a", "#b03060",
         "#0b2545", "#2f9f8f", "#8a6fb0", "#63a06b")  # fmt: skip


def any_jar(rng):
    """One to three colours, of any cut and coverage that can be measured."""
    count = rng.integers(1, 4)
    return Jar(
        tuple(str(tint) for tint in rng.choice(TINTS, count, replace=False)),
        tuple(rng.dirichlet(np.full(count, 4.0))),
        rng.uniform(0.8, 1.6),
        rng.uniform(0.3, 0.85),
        rng.uniform(4.0, 8.0),
        str(rng.choice(["softbox", "kitchen", "market"])),
    )


@dataclass(frozen=True)
class Truth:
    """Of one photo: mean linear sRGB in daylight, coverage, and shares of the flakes in sight."""

    rgb: np.ndarray
    coverage: float
    shares: np.ndarray


def flake_spectra(jar):
    """(k, 81): aluminium under each lacquer, in air."""
    index = read_metal("aluminium").index_at(wavelengths_nm())
    metal = fresnel_conductor(1.0, index.real, index.imag)
    return np.stack([metal * lacquer(tint) for tint in jar.tints])


@cache
def _radiance(light):
    found = find_light(light)
    luminance = found.radiance @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    return luminance * found.exposure / 0.86


def mirrored(light, slopes, rng, alpha=0.078):
    """Light that flakes of these slopes (n, 2) mirror towards an eye straight above; white is 1."""
    total = np.zeros(len(slopes))
    radiance = _radiance(light)
    rows, columns = radiance.shape
    for _ in range(12):
        u = rng.random((2, len(slopes)))
        spread = alpha * np.sqrt(u[0] / (1 - 0.99 * u[0]))  # GGX facets
        facets = slopes + (spread * [np.cos(2 * np.pi * u[1]), np.sin(2 * np.pi * u[1])]).T
        normal = np.stack([facets[:, 0], -np.ones(len(slopes)), facets[:, 1]], -1)
        normal /= np.linalg.norm(normal, axis=1, keepdims=True)
        ray = 2 * (-normal[:, 1:2]) * normal - np.array([0.0, -1.0, 0.0])
        row = (np.pi / 2 - np.arcsin(np.clip(ray[:, 2], -1, 1))) / np.pi * rows
        column = (np.arctan2(ray[:, 0], -ray[:, 1]) + np.pi) / (2 * np.pi) * columns
        total += radiance[
            np.clip(row.astype(int), 0, rows - 1), np.clip(column.astype(int), 0, columns - 1)
        ]
    return total / 12


def thrown(jar, rng, finer=1):
    """The strewn area at twice the size: flake's number or −1, then each flake's part and light."""
    left, top, right, bottom = STREWN
    shape = (2 * finer * (bottom - top), 2 * finer * (right - left))
    scale = 2 * finer * PX_PER_MM
    margin = 2 * jar.cut_mm * scale
    tau = -np.log(1 - jar.coverage)
    area = np.sqrt(3) / 2 * jar.cut_mm**2 * scale**2
    count = rng.poisson(tau / area * (shape[0] + 2 * margin) * (shape[1] + 2 * margin))
    x = rng.uniform(-margin, shape[1] + margin, count)
    y = rng.uniform(-margin, shape[0] + margin, count)
    turn = rng.uniform(0, np.pi / 3, count)
    slopes = rng.normal(0, np.tan(np.radians(jar.tilt_deg)), (count, 2))
    on_top = np.full(shape, -1)
    half = jar.cut_mm * scale / 2
    reach = int(np.ceil(half * 1.16)) + 1
    for i in range(count):
        x0, y0 = int(x[i]), int(y[i])
        rows = slice(max(y0 - reach, 0), max(min(y0 + reach + 1, shape[0]), 0))
        columns = slice(max(x0 - reach, 0), max(min(x0 + reach + 1, shape[1]), 0))
        if rows.start >= rows.stop or columns.start >= columns.stop:
            continue
        dy = np.arange(rows.start, rows.stop)[:, None] - y[i]
        dx = np.arange(columns.start, columns.stop) - x[i]
        inner = np.ones((dy.size, dx.size), bool)
        for a in turn[i] + np.pi / 3 * np.arange(3):
            inner &= np.abs(dx * np.cos(a) + dy * np.sin(a)) <= half
        on_top[rows, columns][inner] = i
    part = rng.choice(len(jar.shares), count, p=jar.shares)
    return on_top, part, mirrored(jar.light, slopes, rng)


def gap_light(jar):
    """Light in the gaps over that without flakes: the share that our shading gives, in air."""
    radius = np.sqrt(np.sqrt(3) / 2 * jar.cut_mm**2 / np.pi)
    stands = max(0.12, jar.cut_mm / 0.8660254 * np.sin(np.radians(jar.tilt_deg)))
    gaps = find_gaps(float(radius), 0.02, 0.02 + stands, jar.tilt_deg, 1.0)
    return float(np.interp(-np.log(1 - jar.coverage), node_depths(), gaps.seen))


def strewn_photo(jar, ground, illuminant, rng, faults=None, finer=1, camera=USUAL_CAMERA, stops=0):
    """The file's bytes, and what is true of it; all places are times `finer`."""
    faults = faults or any_faults(rng, stops)
    width, height = (finer * side for side in SIZE)
    x, y = np.meshgrid(np.arange(2 * width) / 2 - 0.25, np.arange(2 * height) / 2 - 0.25)
    level = np.where(inside((CARD + 0.5) * finer - 0.5, x, y), GREY, ground)
    light = level[..., None] * np.ones(3)
    on_top, part, brightness = thrown(jar, rng, finer)
    gap = on_top < 0
    shade = gap_light(jar)
    left, top, right, bottom = (finer * edge for edge in STREWN)

    def shown(weights):
        colours = flake_spectra(jar) @ weights
        area = colours[part[on_top]] * brightness[on_top][..., None]
        area[gap] = ground * shade
        return area

    light[2 * top : 2 * bottom, 2 * left : 2 * right] = shown(camera_weights(illuminant, camera))
    truth = shown(linear_srgb_weights("D65")).reshape(-1, 3).mean(axis=0)
    seen = np.bincount(part[on_top[~gap]], minlength=len(jar.shares))
    return developed(light, rng, faults), Truth(truth, 1.0 - gap.mean(), seen / seen.sum())


@cache
def dense_photos():
    """`DENSE` in daylight, on white and on black: two files' bytes."""
    rng = np.random.default_rng(20)
    return tuple(strewn_photo(DENSE, ground, "D65", rng)[0] for ground in (WHITE, BLACK))
