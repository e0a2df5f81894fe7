"""Photos of finished cups whose truth is known: our renderer's cup before a wall, on a table.

The ground, the shadow, the card, noise and JPEG are made here; nothing of them is known to the code
under test.
"""

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter

from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.design.document import Asset, Design, Document
from mockup.design.palette import MetalSwatch, Palette, PigmentSwatch
from mockup.photo.camera import Pose, focal_px_from_35mm
from mockup.pipeline.cup import build_cup
from mockup.render.develop import tone
from mockup.render.lights import find_light, illuminant_of
from mockup.render.request import Request
from mockup.shading.table import foil_quality

BLANKS = {
    "straight": {
        "shape": "straight", "diameter_mm": 73.0, "wall_height_mm": 155.0,
        "foot_gap_mm": 5.0, "rim_gap_mm": 7.0,
    },
    "tapered": {
        "shape": "tapered", "foot_diameter_mm": 70.0, "rim_diameter_mm": 88.0,
        "wall_height_mm": 155.0, "foot_gap_mm": 6.0, "rim_gap_mm": 8.0,
    },
    "curved": {
        "shape": "profile", "foot_gap_mm": 4.0, "rim_gap_mm": 6.0,
        "points_mm": [
            [0.0, 31.0], [10.0, 35.6], [22.0, 39.4], [36.0, 42.0], [50.0, 43.0], [64.0, 42.6],
            [80.0, 41.0], [95.0, 38.8], [108.0, 36.6],
        ],
    },
}  # fmt: skip
PAINTS = ("#0d2348", "#8a1f2b", "#d8cbb0", "#2f6b57", "#6b5a86", "#3a3f45")
FLAKE = MetalSwatch(metal="aluminium", tint_srgb="#8fd0c0", label="sea-glass flake")
GOLD = MetalSwatch(metal="gold", tint_srgb="#ffffff", label="gold foil")
IVORY = PigmentSwatch(srgb="#f2ead8", label="ivory vinyl")
NAMES = ("SEAGLASS", "TIDE", "OARLOCK", "SEAT 7")
TEXEL_MM = 0.25


def design_of(kind, layers, paint=PAINTS[0], lid=False, light="softbox"):
    """A design on one of the three blanks."""
    roles = {
        "base": PigmentSwatch(srgb=paint, label="paint"), "flake": FLAKE, "foil": GOLD,
        "vinyl": IVORY,
    }  # fmt: skip
    document = Document.model_validate(
        {
            "format": 1, "title": "trial", "palette": "trial", "light": light,
            "blank": BLANKS[kind] | {"lid": lid}, "layers": layers,
        }
    )  # fmt: skip
    assets: dict[str, Asset] = {}
    return Design(document, {"trial": Palette(name="trial", roles=roles)}, assets, "design.toml")


def random_layers(rng, length_mm):
    """Paint, mostly a fade of glitter, a word at the front and a figure at the back, two coats."""
    fade = {
        "shape": "fade", "from_mm": 0.1 * length_mm, "to_mm": 0.7 * length_mm,
        "coverage_from": rng.uniform(0.4, 0.9), "coverage_to": 0.0,
    }  # fmt: skip
    layers = [{"kind": "base", "name": "base coat", "swatch": "base"}]
    if rng.random() < 0.7:
        layers.append(
            {
                "kind": "glitter", "name": "fade", "cut_mm": 0.4, "coverage": [fade],
                "mix": [{"swatch": "flake"}],
            }
        )  # fmt: skip
    swatch = "vinyl" if rng.random() < 0.6 else "foil"
    words = (str(rng.choice(NAMES)), str(rng.choice(NAMES)))
    for text, angle in zip(words, (0, 180), strict=True):
        layers.append(
            {
                "kind": "decal", "name": text, "swatch": swatch, "text": text,
                "letter_height_mm": 14.0,
                "place": {"height_mm": rng.uniform(0.5, 0.75) * length_mm, "angle_deg": angle},
            }
        )  # fmt: skip
    layers.append({"kind": "coat", "thickness_mm": 1.0})
    return layers


def random_pose(rng, blank, size_px):
    """A phone's lens or a longer one; the cup half to four fifths of the picture's height."""
    width, height = size_px
    focal = focal_px_from_35mm(float(np.exp(rng.uniform(np.log(26), np.log(90)))), size_px)
    elevation = np.radians(rng.uniform(3, 35))
    tall = blank.total_height_mm * np.cos(elevation) + 70 * np.sin(elevation)
    distance = focal * tall / (rng.uniform(0.5, 0.78) * height)
    middle = (
        width * (0.5 + rng.uniform(-0.08, 0.08)),
        height * (0.5 + rng.uniform(-0.05, 0.05)),
    )
    return Pose(
        distance, elevation, np.radians(rng.uniform(-4, 4)), middle, focal, size_px,
        blank.lip_z_mm / 2,
    )  # fmt: skip


@dataclass(frozen=True)
class Scene:
    """A photo, and what is true of it."""

    rgb8_srgb: np.ndarray
    pose: Pose
    turn_rad: float
    cup: object


def request_for(cup, pose, turn_rad, light, samples=1):
    width, height = pose.size_px
    return Request(
        width, height, samples, turn_rad, pose.camera(), light,
        cup.table(illuminant_of(light)), foil_quality(cup.model.skin, cup.optics()),
    )  # fmt: skip


def photographed(cup, pose, turn_rad, renderer, rng, *, light="softbox", samples=4, quality=85):
    """The cup on its ground, as a phone keeps it: (h, w, 3) uint8."""
    request = request_for(cup, pose, turn_rad, light, samples)
    drawn = renderer.draw(cup.model, request, transparent=True, keep_linear=True).linear
    cup_light = tone(drawn[..., :3] * find_light(light).exposure)  # gathered by pixels, then toned
    whole = cup_light + (1 - drawn[..., 3:]) * ground(rng, pose)
    noise = rng.normal(0, 1, whole.shape) * np.sqrt(2e-6 + 2e-4 * whole)
    return jpeg(rgb8_from_linear(np.clip(whole + noise, 0, 1)), quality)


def jpeg(rgb8_srgb, quality=85):
    file = io.BytesIO()
    Image.fromarray(rgb8_srgb).save(file, "JPEG", quality=quality)
    return np.asarray(Image.open(file))


def ground(rng, pose):
    """A wall over a table, light falling off to one side, a soft shadow at the cup's foot."""
    width, height = pose.size_px
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    wall = rng.uniform(0.25, 0.75) * (1 + rng.uniform(-0.08, 0.08, 3))
    table = rng.uniform(0.1, 0.5) * (1 + rng.uniform(-0.25, 0.25, 3))
    foot = pose.pixel_from_stage(np.array([[0.0, 0.0, 0.0]]))[0]
    edge = foot[1] - rng.uniform(0.1, 0.4) * height
    share = 1 / (1 + np.exp(-(y - edge - 0.03 * (x - width / 2)) / 2.5))[..., None]
    picture = (1 - share) * wall + share * table
    fall = (
        1 + rng.uniform(-0.3, 0.3) * (x / width - 0.5) + rng.uniform(-0.2, 0.2) * (y / height - 0.5)
    )
    side = rng.choice([-1, 1])
    span = pose.px_per_mm(np.array([[0.0, 0.0, 0.0]]))[0] * 40
    off = ((x - foot[0] - side * span) / (2.2 * span)) ** 2 + ((y - foot[1]) / (0.5 * span)) ** 2
    shadow = 1 - 0.5 * np.exp(-off)
    grain = gaussian_filter(rng.normal(0, 1, (height, width)), 1.5)[..., None] * 0.02
    return picture * (fall * shadow)[..., None] * (1 + share * grain)


def random_scene(seed, renderer, *, size_px=(600, 800), kind=None, samples=4):
    rng = np.random.default_rng(seed)
    kind = kind or ("straight", "tapered", "curved")[seed % 3]
    design = design_of(kind, [{"kind": "base", "swatch": "base"}])
    length = build_cup(design, texel_mm=1.0).blank.wall.length_mm
    lid = bool(rng.random() < 0.3)
    design = design_of(kind, random_layers(rng, length), str(rng.choice(PAINTS)), lid)
    cup = build_cup(design, texel_mm=TEXEL_MM)
    pose = random_pose(rng, cup.blank, size_px)
    turn = float(rng.uniform(-0.5, 0.5))
    return Scene(photographed(cup, pose, turn, renderer, rng, samples=samples), pose, turn, cup)


def equivalent_mm(pose):
    """Focal length for 36 × 24 mm film."""
    return pose.focal_px / focal_px_from_35mm(1.0, pose.size_px)
