"""Small cups and designs for the skin's tests, and what can be measured on the finished maps."""

import io

import numpy as np
from PIL import Image

from mockup.blank.flat import object_from_wall
from mockup.blank.wall import build_blank
from mockup.design.document import Asset, Design, Document
from mockup.material.channels import MAPS
from mockup.skin.compile import compile_skin
from mockup.skin.skin import FIELD_STEP

STRAIGHT = {"shape": "straight", "diameter_mm": 40.0, "wall_height_mm": 60.0}
TAPERED = {
    "shape": "tapered",
    "foot_diameter_mm": 36.0,
    "rim_diameter_mm": 50.0,
    "wall_height_mm": 60.0,
}
BASE = {"kind": "base", "swatch": "paint"}
GLITTER = {"kind": "glitter", "cut_mm": 0.4, "mix": [{"swatch": "flake"}]}

# Upright, foot of the letter at the bottom: no symmetry at all.
LETTER_F = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 50" width="30" height="50">'
    b'<path d="M0 0H30V10H10V20H24V30H10V50H0Z"/></svg>'
)
DISC = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-5 -5 10 10" width="10" height="10">'
    b'<circle r="5"/></svg>'
)
SQUARE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10" width="10" height="10">'
    b'<rect width="10" height="10"/></svg>'
)
BAR = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 1" width="40" height="1">'
    b'<rect width="40" height="1"/></svg>'
)
ASSETS = {
    "assets/f.svg": LETTER_F,
    "assets/disc.svg": DISC,
    "assets/square.svg": SQUARE,
    "assets/bar.svg": BAR,
}


def png(pixels):
    """(h, w, 3 or 4) uint8, row 0 at the top → bytes of a PNG."""
    file = io.BytesIO()
    Image.fromarray(np.asarray(pixels, np.uint8)).save(file, "PNG")
    return file.getvalue()


def cup(layers, blank=STRAIGHT, texel_mm=0.25, progress=None, **pictures):
    """Compile `layers` on a cup; `pictures` are further assets, name → bytes of assets/NAME.png."""
    design = design_of(layers, blank, **pictures)
    built = build_blank(design.document.blank, where="design.toml: blank")
    return compile_skin(design, built, texel_mm=texel_mm, progress=progress)


def design_of(layers, blank=STRAIGHT, **pictures):
    document = Document.model_validate(
        {"format": 1, "title": "trial", "palette": "none", "blank": blank, "layers": layers}
    )
    files = ASSETS | {f"assets/{name}.png": data for name, data in pictures.items()}
    assets = {name: Asset(name, data) for name, data in files.items()}
    return Design(document, {}, assets, "design.toml")


def wall_of(blank):
    return built_of(blank).wall


def built_of(blank):
    return build_blank(design_of([BASE], blank).document.blank, where="design.toml: blank")


def edges_mm(skin, channel=0):
    """(rows, columns) signed distance, mm."""
    return MAPS["edge_distance"].decode(skin.edge_distance[..., channel])


def coverage(skin, channel=0):
    """(rows / FIELD_STEP, columns / FIELD_STEP) share."""
    return MAPS["flake_coverage"].decode(skin.flake_coverage[..., channel])


def texel_areas_mm2(grid, wall):
    """(rows, 1) mm²."""
    return wall.circumference_mm(grid.heights_mm())[:, None] / grid.columns * grid.row_mm


def cell_areas_mm2(grid, wall):
    """(rows / FIELD_STEP, 1) mm²."""
    return texel_areas_mm2(grid, wall).reshape(-1, FIELD_STEP).sum(axis=1)[:, None] * FIELD_STEP


def inside_share(skin, channel=0):
    """(rows, columns): how much of a texel lies inside the cut shape, by its distance."""
    return np.clip(0.5 - edges_mm(skin, channel) / skin.grid.row_mm, 0, 1)


def area_mm2(skin, wall, channel=0):
    """Area of a cut shape on the wall."""
    return float((inside_share(skin, channel) * texel_areas_mm2(skin.grid, wall)).sum())


def middle(skin, wall, channel=0):
    """(turn rad, height mm) of a cut shape's middle, its turn by the mean direction."""
    weight = inside_share(skin, channel) * texel_areas_mm2(skin.grid, wall)
    turns, heights = skin.grid.turns_rad(), skin.grid.heights_mm()
    around = weight.sum(axis=0)
    turn = np.arctan2((around * np.sin(turns)).sum(), (around * np.cos(turns)).sum())
    return float(turn), float((weight.sum(axis=1) * heights).sum() / weight.sum())


def seen_from_outside(skin, blank, channel, eye_turn_deg, size=121, width_mm=24.0, height_mm=30.0):
    """The shape as the eye sees it, standing before `eye_turn_deg`: (size, size) bool, top first.

    Wall points are taken through object space and looked at along the horizontal, so that no
    convention of the maps is used but the grid's own.
    """
    eye = np.radians(eye_turn_deg)
    turns, heights = np.meshgrid(skin.grid.turns_rad(), skin.grid.heights_mm())
    points = object_from_wall(blank, turns, heights)
    towards = np.array([np.sin(eye), -np.cos(eye), 0.0])  # from the axis to the eye
    right = np.cross([0.0, 0.0, 1.0], towards)
    facing = points @ towards > 0
    inside = facing & (edges_mm(skin, channel) < 0)
    middle_z = points[..., 2][inside].mean()
    x = ((points @ right)[inside] / width_mm + 0.5) * size
    y = (0.5 - (points[..., 2][inside] - middle_z) / height_mm) * size
    picture = np.zeros((size, size), bool)
    picture[np.clip(y.astype(int), 0, size - 1), np.clip(x.astype(int), 0, size - 1)] = True
    return picture
