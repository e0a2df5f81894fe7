"""Looking at a cup all round: small pictures of known places, for the figures of legibility."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np
import shapely

from mockup.checks.decal_shape import DecalShape
from mockup.checks.legibility import (
    IN_VIEW,
    DecalLegibility,
    Mask,
    contrast_in,
    legibility_of,
    luminance_shown,
    mask_of,
)
from mockup.checks.words import light_words
from mockup.pipeline.cup import Cup
from mockup.progress import Progress
from mockup.render.lights import find_light, illuminant_of
from mockup.render.process import RenderProcess
from mockup.render.request import Camera, Request
from mockup.render.sight import Sight, look_at
from mockup.shading.table import foil_quality

__all__ = ["ALL_ROUND", "Views", "camera_of", "look_round", "request_of", "usual_lights"]

DISTANCE_MM = 1000.0  # from the eye to the cup's axis
PX_A_STROKE = 2.4  # pixels of a check's picture across the finest stroke, straight on
LEAST_PX_PER_MM, MOST_PX_PER_MM = 1.8, 3.0
_AIR_MM = 8.0  # about what is looked at: its surround, and what the refraction and the slant shift


@dataclass(frozen=True, slots=True)
class Views:
    """From where, and by which lights, legibility is looked at.

    `lights` empty takes the design's own, a window by day and a lamp-lit kitchen.
    """

    turns: int = 20
    elevations_deg: tuple[float, ...] = (10.0, 35.0)
    lights: tuple[str, ...] = ()

    @property
    def turns_deg(self) -> tuple[float, ...]:
        """Turns of the cup, 0 the front."""
        return tuple(360.0 * k / self.turns for k in range(self.turns))


ALL_ROUND = Views()


def look_round(
    cup: Cup,
    renderer: RenderProcess,
    shapes: tuple[DecalShape, ...],
    kept: dict[tuple[float, float], tuple[Mask, ...]],
    views: Views,
    progress: Progress,
) -> Iterator[DecalLegibility]:
    """Contrast of every decal in every view; turns that show none of them are not drawn.

    Parameters
    ----------
    kept
        Masks by elevation and turn, which are added to.
    """
    lights = views.lights or usual_lights(cup.design.document.light)
    turns, elevations = views.turns_deg, views.elevations_deg
    figures = np.full((len(shapes), len(lights), len(elevations), len(turns)), np.nan)
    looks = [camera_of(cup, shapes, elevation) for elevation in elevations]
    masks = [
        _masks(cup, shapes, kept, elevation, turns, *look)
        for elevation, look in zip(elevations, looks, strict=True)
    ]
    area = np.array([[[mask.area_mm2 for mask in at] for at in tier] for tier in masks])
    area = np.moveaxis(area, -1, 0)
    shown = np.argwhere((area >= IN_VIEW * area.max(axis=(1, 2), keepdims=True)).any(axis=0))
    for i, light in enumerate(lights):
        for nth, (e, k) in enumerate(shown.tolist()):
            progress(
                (i + nth / len(shown)) / len(lights), f"looking at the cup {light_words(light)}"
            )
            request = request_of(cup, *looks[e], turns[k], light)
            picture = renderer.draw(cup.model, request, transparent=True, keep_linear=True)
            assert picture.linear is not None
            luminance = luminance_shown(picture.linear, _exposure(light))
            figures[:, i, e, k] = [contrast_in(luminance, mask) for mask in masks[e][k]]
    for shape, contrast, seen in zip(shapes, figures, area, strict=True):
        yield legibility_of(
            shape, contrast, seen, lights=lights, elevations_deg=elevations, turns_deg=turns,
        )  # fmt: skip


def usual_lights(own: str) -> tuple[str, ...]:
    """The design's own, a window by day and lamps in the evening."""
    return tuple(dict.fromkeys((own, "window", "kitchen")))


@cache
def _exposure(light: str) -> float:
    return find_light(light).exposure


def camera_of(
    cup: Cup, shapes: tuple[DecalShape, ...], elevation_deg: float
) -> tuple[Camera, tuple[int, int]]:
    """An eye at 1 m that sees, of the side that faces it, as much as the decals take; the size.

    Only what lies within 60° of straight on counts, so that the picture holds that and no more.
    """
    wall, up = cup.blank.wall, np.radians(elevation_deg)
    heights = np.concatenate(
        [shape.on_wall(wall, shapely.get_coordinates(shape.outline))[1] for shape in shapes]
    )
    ends = np.clip([heights.min(), heights.max()], 0, wall.length_mm)
    low, high = (float(z) for z in cup.blank.wall_foot_z_mm + wall.z_at(ends))
    radius, middle = cup.model.radius_mm, (low + high) / 2
    front = 0.75 * radius  # between the nearest line of the wall and the one 60° aside
    tall = (high - low) * np.cos(up) + 0.5 * radius * abs(np.sin(up)) + _AIR_MM
    wide = 2 * 0.87 * radius + _AIR_MM
    fov_deg = float(np.degrees(2 * np.arctan(tall / 2 / (DISTANCE_MM - radius))))
    camera = Camera(
        (0.0, -DISTANCE_MM * float(np.cos(up)), middle + DISTANCE_MM * float(np.sin(up))),
        (0.0, -front, middle),
        fov_deg,
    )
    finest = min(shape.stroke_mm for shape in shapes)
    px_per_mm = float(np.clip(PX_A_STROKE / finest, LEAST_PX_PER_MM, MOST_PX_PER_MM))
    return camera, (round(wide * px_per_mm), round(float(tall) * px_per_mm))


def _masks(
    cup: Cup,
    shapes: tuple[DecalShape, ...],
    kept: dict[tuple[float, float], tuple[Mask, ...]],
    elevation_deg: float,
    turns_deg: tuple[float, ...],
    camera: Camera,
    size: tuple[int, int],
) -> list[tuple[Mask, ...]]:
    sight: Sight | None = None
    found = []
    for turn in turns_deg:
        key = elevation_deg, turn
        if key not in kept:
            sight = sight or look_at(cup.model, camera, *size)
            kept[key] = tuple(
                mask_of(shape, cup.model.skin, cup.blank.wall, sight, float(np.radians(turn)))
                for shape in shapes
            )
        found.append(kept[key])
    return found


def request_of(
    cup: Cup, camera: Camera, size: tuple[int, int], turn_deg: float, light: str
) -> Request:
    """One small picture, a sample a pixel, so that each pixel shows one place of the wall."""
    return Request(
        width_px=size[0],
        height_px=size[1],
        samples=1,
        turn_rad=float(np.radians(turn_deg)),
        camera=camera,
        light=light,
        table=cup.table(illuminant_of(light)),
        foil=foil_quality(cup.model.skin, cup.optics()),
    )
