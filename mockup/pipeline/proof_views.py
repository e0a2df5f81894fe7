"""The pictures of a proof: the large one, four sides, the lettering close up, an elevation."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from mockup.design.layers import DecalLayer
from mockup.outputs.facts import Elevation, View
from mockup.outputs.pieces import Piece, pieces
from mockup.outputs.proof_facts import Pictures
from mockup.pipeline.cup import Cup, Quiet, Shot, picture_request, render_cup
from mockup.progress import Progress
from mockup.render.process import RenderProcess
from mockup.render.request import Camera, camera_for

__all__ = ["HERO_PX", "CloseUp", "close_up_of", "elevation_of", "proof_pictures"]

SIDES: Mapping[str, float] = {"Front": 0.0, "Right": 90.0, "Back": 180.0, "Left": -90.0}
HERO_PX, SIDE_PX, CLOSE_PX, ELEVATION_PX = (960, 1280), (420, 560), (690, 920), 1000
CLOSE_ELEVATION_DEG = 6.0
FAR_MM = 60_000.0  # from there the near and far side of a cup differ in size by .1 %
NEIGHBOURS_RAD = math.radians(40)  # lettering that is seen together
LEAST_FIELD_MM = 24.0


@dataclass(frozen=True, slots=True)
class CloseUp:
    """Where the close-up looks: the middle of what it shows, and how much of the cup, mm."""

    label: str
    turn_rad: float
    height_mm: float
    field_mm: float


def proof_pictures(
    cup: Cup,
    renderer: RenderProcess,
    *,
    light: str,
    hero_px: tuple[int, int] = HERO_PX,
    progress: Progress = Quiet,
) -> Pictures:
    """Draw them all under one light, the large one in `hero_px`."""
    done, whole = 0, 3 + len(SIDES)

    def told(what: str) -> None:
        nonlocal done
        progress(done / whole, f"drawing the {what}")
        done += 1

    told("large picture")
    hero = render_cup(cup, Shot(*hero_px), renderer, light=light).rgba8_srgb
    sides = []
    for label, turn_deg in SIDES.items():
        told(label.lower())
        shot = Shot(*SIDE_PX, turn_deg=turn_deg)
        sides.append(View(label, render_cup(cup, shot, renderer, light=light).rgba8_srgb[..., :3]))
    told("close-up")
    aim = close_up_of(cup)
    close_up = View(aim.label, _close_picture(cup, aim, renderer, light))
    told("elevation")
    elevation = elevation_of(cup, renderer, light)
    return Pictures(View("Front", hero[..., :3]), tuple(sides), close_up, elevation)


def close_up_of(cup: Cup) -> CloseUp:
    """The largest lettering with what stands beside it; else the largest decal; else the front."""
    wall = cup.blank.wall
    aspect = CLOSE_PX[0] / CLOSE_PX[1]
    most_mm = 1.7 * wall.radius_min_mm / aspect  # more would look round the cup
    layers = cup.design.document.layers
    decals = [piece for piece in pieces(cup.design, cup.blank) if piece.kind == "decal"]
    lettering = [p for p in decals if _text_of(layers[p.layer])]
    chosen = lettering or decals
    if not chosen:
        return CloseUp("Close up", 0.0, 0.5 * wall.length_mm, min(50.0, most_mm))
    largest = max(chosen, key=lambda piece: piece.area_mm2)
    turn_rad = math.radians(largest.turn_deg)
    near = [p for p in chosen if abs(_apart(p, turn_rad)) <= NEIGHBOURS_RAD]
    boxes = np.array([_box(piece, turn_rad, wall.radius_min_mm) for piece in near])
    (left, low), (right, high) = boxes[:, :2].min(0), boxes[:, 2:].max(0)
    wanted = max(1.2 * (right - left) / aspect, 1.35 * (high - low), LEAST_FIELD_MM)
    field = min(wanted, most_mm)
    middle = turn_rad + (left + right) / 2 / wall.radius_min_mm
    height = float(np.clip((low + high) / 2, 0.0, wall.length_mm))
    return CloseUp(
        "The lettering, close up" if lettering else "Close up", float(middle), height, field
    )


def _text_of(layer: object) -> bool:
    return isinstance(layer, DecalLayer) and layer.text is not None


def _apart(piece: Piece, turn_rad: float) -> float:
    return math.remainder(math.radians(piece.turn_deg) - turn_rad, 2 * math.pi)


def _box(piece: Piece, turn_rad: float, radius_mm: float) -> tuple[float, float, float, float]:
    """Left, low, right, high of a piece on the wall, mm, about `turn_rad` and the wall's foot."""
    left, _, right, _ = piece.outline.bounds
    across = _apart(piece, turn_rad) * radius_mm
    return (across + left, piece.span_mm[0], across + right, piece.span_mm[1])


def _close_picture(
    cup: Cup, aim: CloseUp, renderer: RenderProcess, light: str
) -> NDArray[np.uint8]:
    request = picture_request(cup, Shot(*CLOSE_PX, samples=8), light)
    wall = cup.blank.wall
    radius = float(wall.radius_at(aim.height_mm))
    z = cup.blank.wall_foot_z_mm + float(wall.z_at(aim.height_mm))
    camera = camera_for(
        cup.model.height_mm,
        cup.model.radius_mm,
        aspect=CLOSE_PX[0] / CLOSE_PX[1],
        elevation_deg=CLOSE_ELEVATION_DEG,
        target=(0.0, -radius, z),
        field_mm=aim.field_mm,
    )
    drawn = renderer.draw(cup.model, replace(request, camera=camera, turn_rad=aim.turn_rad))
    return drawn.rgba8_srgb[..., :3]


def elevation_of(cup: Cup, renderer: RenderProcess, light: str) -> Elevation:
    """The front from far away, so that all of it is at one scale; laid on white."""
    height_mm = cup.model.height_mm
    width_px = 2 * math.ceil(ELEVATION_PX * 1.04 * cup.model.radius_mm / height_mm)
    camera = Camera(
        (0.0, -FAR_MM, height_mm / 2),
        (0.0, 0.0, height_mm / 2),
        2 * math.degrees(math.atan(height_mm / 2 / FAR_MM)),
    )
    request = picture_request(cup, Shot(width_px, ELEVATION_PX, samples=8), light)
    drawn = renderer.draw(cup.model, replace(request, camera=camera), transparent=True)
    ground = Image.new("RGB", (width_px, ELEVATION_PX), "white")
    whole = Image.fromarray(drawn.rgba8_srgb)
    ground.paste(whole, mask=whole.getchannel("A"))
    width_mm = width_px * height_mm / ELEVATION_PX
    return Elevation(np.asarray(ground), width_mm, height_mm, 2 * cup.model.radius_mm)
