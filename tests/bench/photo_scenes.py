"""Scenes for photos, path-traced with Mitsuba 3: paints and a card, dry flakes on paper, foil.

Everything is geometry in mm: the table is z = 0, x to the right and y up in the picture. Lamps,
walls and papers are grey, so that light of each wavelength is traced once and the picture under any
illuminant is worked out from it.

Flakes are thrown one by one and come to rest on paper and on each other: each keeps its own tilt
and is let down until it touches. How they stand is thus no figure of ours.
"""

from dataclasses import dataclass

import mitsuba as mi
import numpy as np

from mockup.colorimetry.spectra import wavelengths_nm
from mockup.material.coat import K1, K2
from mockup.material.metals import read_metal
from mockup.material.optics import FLAKE_ROUGHNESS
from mockup.material.spectrum import lacquer
from mockup.shading.lobes import COAT_IOR
from mockup.shading.table import FLAKE_FILM_MM
from tests.bench.oracle import trace

mi.set_variant("scalar_rgb")  # three wavelengths at once; needs no LLVM
mi.set_log_level(mi.LogLevel.Error)

SAMPLES = 16  # of a photo's pixel
FINE = 128  # where brightness is traced finely
NM = np.arange(380.0, 781.0, 20.0)  # that are traced, three at a time
METAL_NM = np.arange(360.0, 831.0, 10.0)
CELL_MM = 0.05  # of the relief on which flakes come to rest


@dataclass(frozen=True)
class View:
    """A camera: where it stands, what it looks at, which way is up, pixels, mm across there."""

    position_mm: tuple[float, float, float]
    target_mm: tuple[float, float, float]
    up: tuple[float, float, float]
    size_px: tuple[int, int]
    across_mm: float

    def sensor(self, finer):
        """Mitsuba's, of `finer` times as many pixels a side."""
        away = np.linalg.norm(np.subtract(self.position_mm, self.target_mm))
        return {
            "type": "perspective",
            "fov": float(np.degrees(2 * np.arctan(self.across_mm / 2 / away))),
            "fov_axis": "x",
            "sampler": {"type": "multijitter"},  # even samples: less noise of fewer
            "to_world": mi.ScalarTransform4f().look_at(
                origin=self.position_mm, target=self.target_mm, up=self.up
            ),
            "film": {
                "type": "hdrfilm",
                "width": round(finer * self.size_px[0]),
                "height": round(finer * self.size_px[1]),
                "pixel_format": "rgb",
                "component_format": "float32",
                "rfilter": {"type": "box"},
            },
        }

    def seen_at(self, points_mm):
        """Where points (n, 3) are seen, px; (0, 0) is the middle of the first pixel: (n, 2)."""
        ahead = np.subtract(self.target_mm, self.position_mm)
        away = np.linalg.norm(ahead)
        ahead = ahead / away
        right = np.cross(ahead, self.up)
        right /= np.linalg.norm(right)
        rays = points_mm - np.array(self.position_mm)
        across = self.size_px[0] / self.across_mm * away / (rays @ ahead)
        middle = (np.array(self.size_px) - 1) / 2
        down = -np.cross(right, ahead)
        return middle + across[:, None] * np.stack([rays @ right, rays @ down], -1)


def from_above(size_px, px_per_mm, away_mm=600.0):
    """Straight down on the table's middle."""
    return View((0, 0, away_mm), (0, 0, 0), (0, 1, 0), size_px, size_px[0] / px_per_mm)


def grey(level):
    """A diffuse grey."""
    return {"type": "diffuse", "reflectance": trace.rgb([level] * 3)}


def matt(reflectance):
    """Diffuse, by a spectrum on `wavelengths_nm`."""
    return {
        "type": "diffuse",
        "reflectance": trace.spectrum(wavelengths_nm(), reflectance),
    }


def glossy(reflectance):
    """Paint of that reflectance, itself its face: it mirrors what stands before it."""
    nm = wavelengths_nm()
    below = np.minimum(reflectance, 1 - K1(COAT_IOR))
    below = below / ((1 - K1(COAT_IOR)) * (1 - K2(COAT_IOR)) + below * K2(COAT_IOR))
    return {
        "type": "plastic",
        "int_ior": COAT_IOR,
        "nonlinear": True,
        "diffuse_reflectance": trace.spectrum(nm, below),
    }


def metal(tint, roughness):
    """Aluminium under a lacquer."""
    index = np.asarray(read_metal("aluminium").index_at(METAL_NM))
    facts = {
        "kind": "metal",
        "n": index.real,
        "k": np.abs(index.imag),
        "alpha": (roughness**2, roughness**2),
        "tint": lacquer(tint),
        "nm": wavelengths_nm(),
    }
    return trace.bsdf_of(facts, {"metal_nm": METAL_NM})


def sheet(corners_mm, bsdf):
    """A quadrilateral, seen from both sides."""
    faces = np.array([[0, 1, 2], [0, 2, 3]])
    return trace.mesh(
        "sheet", np.asarray(corners_mm, float), faces, {"type": "twosided", "b": bsdf}
    )


def flat(left, bottom, right, top, z, bsdf):
    """A level rectangle."""
    return sheet([[left, bottom, z], [right, bottom, z], [right, top, z], [left, top, z]], bsdf)


def lamp(middle_mm, towards_mm, wide_mm, high_mm, radiance=1.0):
    """An even rectangle of light that faces a point."""
    up = (
        (0, 0, 1)
        if abs(middle_mm[2] - towards_mm[2])
        < 0.9 * np.linalg.norm(np.subtract(middle_mm, towards_mm))
        else (0, 1, 0)
    )
    look = mi.ScalarTransform4f().look_at(origin=middle_mm, target=towards_mm, up=up)
    return {
        "type": "rectangle",
        "to_world": look @ mi.ScalarTransform4f().scale([wide_mm / 2, high_mm / 2, 1]),
        "emitter": {"type": "area", "radiance": trace.rgb([radiance] * 3)},
    }


def two_softboxes():
    """At 45° to either side."""
    return {f"lamp {side}": lamp((side * 600, 0, 600), (0, 0, 0), 350, 350) for side in (-1, 1)}


def around(radiance):
    """A room, alike from all sides."""
    return {"type": "constant", "radiance": trace.rgb([radiance] * 3)}


def lamps_before():
    """Above a card that stands, to both sides, so that foil before it throws none on it."""
    lamps = {
        f"lamp {side}": lamp((side * 650, -250, 700), (0, 0, 30), 300, 300) for side in (-1, 1)
    }
    return {**lamps, "around": around(0.02)}


def two_panels():
    """Large ones overhead, a gap between them: flakes mirror the one, the other or the gap."""
    panels = {
        f"lamp {side}": lamp((side * 500, 0, 800), (side * 500, 0, 0), 760, 1600)
        for side in (-1, 1)
    }
    return {**panels, "around": around(0.2)}


def room(half_mm=1500.0, high_mm=2200.0, walls=0.6, floor=0.3, ceiling=0.8):
    """Four walls, floor and ceiling around the table, all grey."""
    a, low, top = half_mm, -700.0, high_mm - 700.0
    parts = {
        "floor": flat(-a, -a, a, a, low, grey(floor)),
        "ceiling": flat(-a, -a, a, a, top, grey(ceiling)),
    }
    for i in range(4):
        c, s = np.cos(i * np.pi / 2), np.sin(i * np.pi / 2)
        ends = [[a * c - a * s, a * s + a * c], [a * c + a * s, a * s - a * c]]
        corners = [[*ends[0], low], [*ends[1], low], [*ends[1], top], [*ends[0], top]]
        parts[f"wall {i}"] = sheet(corners, grey(walls))
    return parts


def traced(view, build, *, samples=SAMPLES, finer=1.0, depth=6, nm=NM):
    """Radiance at `nm`, (finer h, finer w, len(nm)).

    Parameters
    ----------
    build
        Called for each three wavelengths; gives the scene's parts.
    """
    found = []
    for k in range(0, len(nm), 3):
        trace.CHANNELS_NM[:] = nm[k : k + 3]
        scene = {
            "type": "scene",
            "integrator": {"type": "path", "max_depth": depth, "rr_depth": 100},
            "sensor": view.sensor(finer),
            **build(),
        }
        found.append(np.array(mi.render(mi.load_dict(scene), spp=samples, seed=1)))
    return np.concatenate(found, -1)


def traced_finely(view, build):
    """As `traced`, of flakes, whose brightness is noisy and whose colours are not.

    The same rays are traced at all wavelengths, so that their noise is one of brightness alone:
    it is taken away by the ratio to a picture of many more rays at three of them.
    """
    three = np.array([460.0, 540.0, 620.0])
    rough, fine = (
        traced(view, build, samples=count, nm=three).mean(-1) for count in (SAMPLES // 2, FINE)
    )
    light = traced(view, build, samples=SAMPLES // 2)
    return light * (fine / np.maximum(rough, 1e-9))[..., None]


def shapes_seen(view, parts, finer=2):
    """Which of the scene's parts each pixel sees, by its name."""
    scene = mi.load_dict(
        {
            "type": "scene",
            "integrator": {"type": "aov", "aovs": "which:shape_index"},
            "sensor": view.sensor(finer),
            **parts,
        }
    )
    names = [shape.id() for shape in scene.shapes()]
    index = np.array(mi.render(scene, spp=1))[..., -1]
    return np.array(["", *names])[np.rint(index).astype(int)]


def strewn_flakes(area_mm, cut_mm, coverage, tilt_deg, shares, rng):
    """Flakes at rest over left, bottom, right, top: corners (n, 6, 3) in mm and part (n,)."""
    left, bottom, right, top = area_mm
    tau = -np.log(1 - coverage)
    side = np.sqrt(3) / 2 * cut_mm**2
    count = rng.poisson(tau / side * (right - left) * (top - bottom))
    x, y = rng.uniform(left, right, count), rng.uniform(bottom, top, count)
    slopes = rng.normal(0, np.tan(np.radians(tilt_deg)), (count, 2))
    turn = rng.uniform(0, np.pi / 3, count)
    reach = cut_mm / np.sqrt(3)
    rows, columns = (int((b - a + 4 * reach) / CELL_MM) for a, b in ((bottom, top), (left, right)))
    relief = np.zeros((rows, columns))
    corners = np.zeros((count, 6, 3))
    half = int(reach / CELL_MM) + 1
    dy, dx = np.mgrid[-half : half + 1, -half : half + 1] * CELL_MM
    for i in range(count):
        inner = np.ones(dx.shape, bool)
        for a in turn[i] + np.pi / 3 * np.arange(3) + np.pi / 6:
            inner &= np.abs(dx * np.cos(a) + dy * np.sin(a)) <= cut_mm / 2
        row = int((y[i] - bottom + 2 * reach) / CELL_MM)
        column = int((x[i] - left + 2 * reach) / CELL_MM)
        under = relief[row - half : row + half + 1, column - half : column + half + 1]
        plane = slopes[i, 0] * dx + slopes[i, 1] * dy
        height = (under - plane)[inner].max()
        under[inner] = np.maximum(under, plane + height + FLAKE_FILM_MM)[inner]
        angle = turn[i] + np.pi / 3 * np.arange(6)
        own = reach * np.stack([np.cos(angle), np.sin(angle)], -1)
        corners[i, :, :2] = own + np.array([x[i], y[i]])
        corners[i, :, 2] = own @ slopes[i] + height + FLAKE_FILM_MM / 2
    return corners, rng.choice(len(shares), count, p=shares)


def flakes(corners_mm, part, tints):
    """Meshes, one of each colour."""
    fan = np.array([[0, k, k + 1] for k in range(1, 5)]).ravel()
    made = {}
    for i, tint in enumerate(tints):
        own = corners_mm[part == i]
        faces = (np.arange(len(own))[:, None] * 6 + fan).reshape(-1, 3)
        look = {"type": "twosided", "b": metal(tint, FLAKE_ROUGHNESS)}
        made[f"flakes{i}"] = trace.mesh(f"flakes{i}", own.reshape(-1, 3), faces, look)
    return made
