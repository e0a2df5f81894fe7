"""A parcel's header besides its sections: textures, figures of cup, stage and camera."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from mockup.blank.wall import Wall
from mockup.render.develop import BLOOM, KNEE
from mockup.render.lights import Light
from mockup.render.prefilter import MIRROR_SIDE
from mockup.render.request import CAMERA, STILL_SAMPLES, CupModel
from mockup.render.stage import REACH, TABLE_IOR, TABLE_SHEEN, cup_slices
from mockup.render.upload import WALL, fours, subsamples
from mockup.render.web.sections import Section

__all__ = ["figures", "spelled", "textures"]


def spelled(told: Mapping[str, str | int | float]) -> dict[str, str]:
    """As the shading language writes numbers: 1024.0 stays a float, as it would not in JSON."""
    return {name: str(value) for name, value in told.items()}


def textures(model: CupModel, sections: Mapping[str, Section]) -> dict[str, Any]:
    """What the samplers of the shading source are made of."""

    def texture(form: str, *names: str, smooth: bool = True, clamp: bool = False) -> dict[str, Any]:
        rows, columns = sections[names[0]].facts["shape"][:2]
        size = [columns, rows]
        return {"from": names, "format": form, "size": size, "smooth": smooth, "clamp": clamp}

    found = {
        "artTex": texture("srgb8", *(name for name in ("art", "opacity") if name in sections)),
        "tableTex": texture("rgba32f", "table", smooth=False, clamp=True),
        "glossTex": texture("rgba16f", "gloss", clamp=True),
        "aroundTex": texture("rgba16f", "around"),
        "skyTex": texture("rgba16f", "sky", clamp=True),
    }
    if model.skin.relief is not None:
        found["reliefTex"] = texture("rg8", "relief")
    for name, channels in fours(model.skin).items():
        kind = "edge" if name.startswith("edge") else "field"
        found[name] = texture("rgba8", *(f"{kind}{i}" for i in channels))
    return found


def figures(model: CupModel, wall: Wall, light: Light) -> dict[str, Any]:
    """Lengths in mm; light in its own unit."""
    slices = cup_slices(model.positions)
    return {
        "cup": {
            "height_mm": model.height_mm,
            "radius_mm": model.radius_mm,
            "foot_mm": slices[0][0],
            "reach_mm": REACH * max(radius for radius, _, _ in slices),
        },
        "wall": {"length_mm": wall.length_mm, "meridian": _meridian(model, wall)},
        "camera": CAMERA,
        "light": {
            "name": light.name,
            "exposure": light.exposure,
            "table": light.table.tolist(),
            "backdrop": light.backdrop.tolist(),
        },
        "mirror_side": MIRROR_SIDE,
        "passes": spelled(
            {"KNEE": KNEE, "BLOOM": BLOOM, "TABLE_IOR": TABLE_IOR, "TABLE_SHEEN": TABLE_SHEEN}
        ),
        "subsamples": {str(count): subsamples(count) for count in (1, 4, 9, 16)},
        "still": STILL_SAMPLES,
    }


def _meridian(model: CupModel, wall: Wall) -> list[list[float]]:
    """(height, radius, z) mm at steps up the wall; z by where the mesh has the wall's foot."""
    vertices = np.unique(model.triangles[model.part == WALL])
    lowest = vertices[np.argmin(np.abs(model.turn_height[vertices, 1]))]
    foot_z = float(model.positions[lowest, 2] - wall.z_at(model.turn_height[lowest, 1]))
    heights = np.linspace(0.0, wall.length_mm, 33)
    points = np.stack([heights, wall.radius_at(heights), foot_z + wall.z_at(heights)], axis=-1)
    return [[round(float(a), 4) for a in point] for point in points]
