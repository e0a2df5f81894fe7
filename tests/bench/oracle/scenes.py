"""Scenes for the oracle: bands of one material each on a tapered cup, under soft lights.

A scene is one npz file: the facts as JSON, the light map, and the flakes as polygons. The same
facts make a `CupModel` for our own renderer, so that both show the same cup.
"""

import json
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from mockup.blank.grid import WallGrid
from mockup.blank.mesh import build_mesh
from mockup.blank.wall import build_blank
from mockup.colorimetry.spectra import wavelengths_nm
from mockup.colorimetry.srgb import srgb_from_linear
from mockup.design.blanks import TaperedBlank
from mockup.design.palette import MetalSwatch, PigmentSwatch
from mockup.material.channels import MAPS
from mockup.material.coat import transmittance_per_mm
from mockup.material.metals import read_metal
from mockup.material.optics import compile_swatch, steel
from mockup.material.spectrum import lacquer
from mockup.render.lights import COLUMNS, ROWS, Light, directions
from mockup.render.request import CupModel, Request, camera_for
from mockup.shading.table import build_table
from mockup.skin.skin import Clear, Sheet, Skin

FOOT_MM, RIM_MM, HEIGHT_MM = 29.0, 37.0, 170.0
COAT_MM, IOR = 1.2, 1.5
LIFT_MM = 0.05  # metal over paint, as trace.py lays it
SIZE = (150, 200)
METAL_NM = np.arange(360, 831, 10.0)


@dataclass(frozen=True)
class Band:
    """One material all the way round. A metal has alpha > 0 and a metal's name.

    A print has `stripes`: colours side by side that go round the cup `REPEATS` times.
    """

    colour: str = "#ffffff"
    metal: str = ""
    alpha: tuple[float, float] = (0.0, 0.0)
    stripes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Case:
    """Bands of materials from the foot up, under one light.

    `tint` is the colour of light after 1 mm of the coat. `scene` names what is traced: once,
    wavelength by wavelength, for all illuminants.
    """

    name: str
    light: str
    bands: tuple[Band, ...]
    coat_mm: float = COAT_MM
    tint: str = ""
    illuminant: str = "D65"
    scene: str = ""

    @property
    def lit(self) -> str:
        """Name of the light with its illuminant."""
        return self.light if self.illuminant == "D65" else f"{self.light} {self.illuminant}"


def grey(reflectance: float) -> str:
    """Hex code nearest to a grey of this reflectance."""
    code = round(float(srgb_from_linear(np.array(reflectance))) * 255)
    return f"#{code:02x}{code:02x}{code:02x}"


PAINTS = tuple(Band(c) for c in (grey(0.2), grey(0.5), grey(0.8), "#c02020", "#2030b0"))


def foils(metal: str, tint: str = "#ffffff") -> tuple[Band, ...]:
    return tuple(Band(tint, metal, (a, a)) for a in (0.05, 0.1, 0.2))


BRUSHED = (
    Band("#ffffff", "copper", (0.25, 0.05)),
    Band("#ffffff", "copper", (0.05, 0.25)),
    Band("#ffffff", "aluminium", (0.25, 0.05)),
    Band("#ffffff", "aluminium", (0.05, 0.25)),
)

REPEATS = 6
PRINT = (
    Band(stripes=("#c02020", "#f4efe2", "#2030b0", "#e8b020")),
    Band(stripes=("#0f2a4a", "#2f9f8f", "#dfe8e0")),
    Band(stripes=("#101010", "#ffffff")),
)
TINTED = (Band(grey(0.8)), Band("#2f9f8f"), *foils("copper")[::2], *foils("aluminium")[::2])
COOL = (*foils("aluminium"), Band("#2f9f8f", "aluminium", (0.08, 0.08)))


def _cases():
    for light in ("boxes", "panes"):
        yield Case(f"paint_{light}", light, PAINTS)
        yield Case(f"foil_warm_{light}", light, foils("copper") + foils("gold"))
        yield Case(f"foil_cool_{light}", light, COOL)
        yield Case(f"brushed_{light}", light, BRUSHED)
        yield Case(f"print_{light}", light, PRINT, scene=f"print_{light}")
        yield Case(f"tinted_{light}", light, TINTED, tint="#c8e4da", scene=f"tinted_{light}")
    for illuminant in ("A", "LED-B3"):
        for name, bands in (("paint", PAINTS), ("foil_warm", foils("copper") + foils("gold"))):
            named = f"{name}_boxes_{illuminant}"
            yield Case(named, "boxes", bands, illuminant=illuminant, scene=f"{name}_boxes")


CASES = tuple(_cases())


def bench_light(lit: str) -> Light:
    """Soft lights of the bench: no edge is sharper than 3°, or 0.7° for the panes."""
    name, _, illuminant = lit.partition(" ")
    d = directions(ROWS, COLUMNS)
    azimuth, elevation = (
        np.degrees(np.arctan2(d[..., 0], -d[..., 1])),
        np.degrees(np.arcsin(d[..., 2])),
    )

    def box(az, el, half_az, half_el, radiance, soft):
        off = np.abs((azimuth - az + 180) % 360 - 180)
        edge = lambda x, half: 1 / (1 + np.exp(np.clip((x - half) / soft * 4, -50, 50)))  # noqa: E731
        return radiance * edge(off, half_az) * edge(np.abs(elevation - el), half_el)

    if name == "boxes":
        light = 0.25 + 0.15 * np.sin(np.radians(elevation))
        light = light + box(-35, 15, 20, 38, 5.0, 3) + box(60, 8, 12, 40, 3.0, 3)
        light = light + box(20, 75, 70, 12, 3.0, 3) + box(170, 10, 30, 25, 1.5, 3)
    else:
        light = 0.1 + 0.06 * (elevation > 0) * np.ones_like(azimuth)
        for i in range(2):
            for j in range(3):
                light = light + box(-52 + 24 * i, -8 + 24 * j, 10, 10, 9.0, 0.7)
        light = light + box(65, 25, 7, 7, 12.0, 1.5)
    radiance = np.repeat(light[..., None], 3, -1).astype(np.float32)
    grey_mean, grey_table = np.full(3, 0.2, np.float32), np.full((2, 3), 0.2, np.float32)
    return Light(lit, radiance, grey_mean, grey_table, illuminant=illuminant or "D65")


def _blank():
    spec = TaperedBlank(
        foot_diameter_mm=2 * FOOT_MM,
        rim_diameter_mm=2 * RIM_MM,
        wall_height_mm=HEIGHT_MM,
        foot_gap_mm=0,
        rim_gap_mm=0,
    )
    return build_blank(spec, where="bench")


def band_limits(case: Case):
    edges = np.linspace(0, np.hypot(HEIGHT_MM, RIM_MM - FOOT_MM), len(case.bands) + 1)
    return list(pairwise(edges))


def striped(band: Band):
    """((from, to) rad, colour) of a matt band's stripes; of plain paint the whole round."""
    if not band.stripes:
        return [((-np.pi, np.pi), band.colour)]
    edges = np.linspace(-np.pi, np.pi, REPEATS * len(band.stripes) + 1)
    return list(zip(pairwise(edges), band.stripes * REPEATS, strict=True))


def brushed(band: Band) -> MetalSwatch:
    """The swatch of a metal band, by OpenPBR's roughness and anisotropy."""
    narrow, wide = sorted(band.alpha)
    return MetalSwatch(
        metal=band.metal,
        tint_srgb=band.colour,
        specular_roughness=float(np.mean(np.square(band.alpha)) ** 0.25),
        specular_roughness_anisotropy=1 - narrow / wide,
        brushed="round" if band.alpha[0] == narrow else "upright",
    )


def our_model(case: Case):
    """(CupModel, parameter table) of a case."""
    blank = _blank()
    mesh = build_mesh(blank, columns=256)
    wall = mesh.part == 0
    grid = WallGrid.over(blank.wall.length_mm, blank.wall.radius_max_mm, 0.25)
    art = np.zeros((*grid.shape, 4), np.uint8)
    heights = grid.heights_mm()
    edges, sheets, swatches = [], [], {"base": PigmentSwatch(srgb="#000000")}
    for i, (band, (low, high)) in enumerate(zip(case.bands, band_limits(case), strict=True)):
        inside = (heights >= low) & (heights < high)
        if not band.metal:
            for turns, colour in striped(band):
                at = np.zeros(grid.shape, bool)
                at[:, (grid.turns_rad() >= turns[0]) & (grid.turns_rad() < turns[1])] = True
                art[at & inside[:, None]] = (*bytes.fromhex(colour[1:]), 255)
            continue
        away = np.maximum(low - heights, heights - high)
        edges.append(np.repeat(MAPS["edge_distance"].encode(away)[:, None], grid.columns, 1))
        role = f"band{i}"
        sheets.append(Sheet(role, role, i + 1, case.coat_mm - LIFT_MM))
        swatches[role] = brushed(band)
    skin = Skin(
        grid,
        art,
        None,
        np.stack(edges, -1) if edges else np.zeros((*grid.shape, 0), np.uint8),
        np.zeros((grid.rows // 4, grid.columns // 4, 0), np.uint8),
        tuple(sheets),
        (),
        "base",
        case.coat_mm,
        Clear(case.coat_mm, "gloss", (("tint", case.coat_mm),) if case.tint else ()),
    )
    light = case.illuminant
    optics = {role: compile_swatch(swatch, illuminant=light) for role, swatch in swatches.items()}
    tint = PigmentSwatch(srgb=case.tint or "#ffffff")
    tints = {"tint": transmittance_per_mm(tint)}
    bare = steel(illuminant=light)
    table = build_table(
        skin, optics, bare, tints, radius_min_mm=FOOT_MM, illuminant=light, crinkle=0.0
    )
    model = CupModel(
        key=case.name,
        positions=mesh.positions,
        normals=mesh.normals,
        turn_height=mesh.turn_height,
        triangles=mesh.triangles[wall],
        part=mesh.part[wall],
        skin=skin,
        height_mm=HEIGHT_MM,
        radius_mm=RIM_MM,
        rim_z_mm=HEIGHT_MM,
    )
    return model, table


def our_request(case: Case, table, samples: int = 16, foil=(64, 16), size=SIZE) -> Request:
    camera = camera_for(HEIGHT_MM, RIM_MM, aspect=size[0] / size[1], elevation_deg=6.0)
    return Request(*size, samples, 0.0, camera, case.lit, table, foil)


def write_case(case: Case, folder: Path) -> Path:
    """The scene file for trace.py."""
    camera = our_request(case, np.zeros((1, 1, 4), np.float32)).camera
    bands = []
    nm = list(wavelengths_nm())
    for band, (low, high) in zip(case.bands, band_limits(case), strict=True):
        facts = {
            "nm": nm,
            "from_mm": low,
            "to_mm": high,
            "kind": "metal" if band.metal else "pigment",
        }
        if band.metal:
            index = np.asarray(read_metal(band.metal).index_at(METAL_NM))
            n, k = index.real, np.abs(index.imag)
            facts |= {
                "n": list(n / IOR),
                "k": list(k / IOR),
                "alpha": band.alpha,
                "tint": list(lacquer(band.colour)),
            }
        else:
            facts["stripes"] = [
                {**facts, "turns_rad": turns, "reflectance": list(lacquer(colour))}
                for turns, colour in striped(band)
            ]
        bands.append(facts)
    facts = {
        "foot_radius_mm": FOOT_MM,
        "rim_radius_mm": RIM_MM,
        "height_mm": HEIGHT_MM,
        "foot_z_mm": 0.0,
        "coat_mm": case.coat_mm,
        "ior": IOR,
        "size_px": SIZE,
        "metal_nm": list(METAL_NM),
        "bands": bands,
        "camera": {
            "position_mm": camera.position_mm,
            "target_mm": camera.target_mm,
            "up": camera.up,
            "vertical_fov_deg": camera.fov_deg,
        },
    }
    if case.tint:
        facts["tint_nm"] = nm
        facts["absorption_per_mm"] = list(-np.log(lacquer(case.tint)))
    path = folder / f"{case.scene or case.name}.npz"
    np.savez_compressed(path, facts=json.dumps(facts), radiance=bench_light(case.light).radiance)
    return path


def heights_seen(size=SIZE):
    """Height up the wall that each pixel's centre sees, NaN off the wall: (rows, columns)."""
    camera = camera_for(HEIGHT_MM, RIM_MM, aspect=size[0] / size[1], elevation_deg=6.0)
    right, up, forward = camera.axes()
    tan = np.tan(np.radians(camera.fov_deg) / 2)
    u = ((np.arange(size[0]) + 0.5) / size[0] * 2 - 1) * tan * size[0] / size[1]
    v = (1 - (np.arange(size[1]) + 0.5) / size[1] * 2) * tan
    d = forward + u[None, :, None] * right + v[:, None, None] * up
    o = np.array(camera.position_mm)
    s = (RIM_MM - FOOT_MM) / HEIGHT_MM
    a = d[..., 0] ** 2 + d[..., 1] ** 2 - (s * d[..., 2]) ** 2
    r0 = FOOT_MM + s * o[2]
    b = o[0] * d[..., 0] + o[1] * d[..., 1] - s * r0 * d[..., 2]
    c = o[0] ** 2 + o[1] ** 2 - r0**2
    with np.errstate(invalid="ignore"):
        z = o[2] + (-b - np.sqrt(b * b - a * c)) / a * d[..., 2]
    z = np.where((z > 0) & (z < HEIGHT_MM), z, np.nan)
    return z * np.hypot(1, s)
