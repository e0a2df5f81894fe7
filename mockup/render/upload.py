"""What every host of the shading source carries to its graphics card, made without any of them.

Triangles sorted by what covers them, so that only foil pays for foil; maps packed four to a
texture; the places of sub-samples. The VTK host and the browser's draw from the same.
"""

import numpy as np
from numpy.typing import NDArray

from mockup.material.channels import MAPS
from mockup.render.lights import Light
from mockup.render.prefilter import (
    ATLAS_SHAPE,
    MIRROR_SIDE,
    Surroundings,
    gloss_atlas,
    prefilter,
)
from mockup.render.request import CupModel
from mockup.shading.lobes import COAT_IOR
from mockup.shading.table import constants
from mockup.shading.variant import Variant
from mockup.skin.skin import Skin

__all__ = [
    "LID", "STEEL", "WALL", "defines", "filtered_gloss", "filtered_light", "fours",
    "sorted_triangles", "subsample", "subsamples",
]  # fmt: skip

WALL, STEEL, LID = 0, 1, 2
STEEL_SAMPLES = 6

_CALLS = {
    WALL: "shade_wall(p)",
    STEEL: "shade_steel(p, {rim:.4f} - spotPosition.z, dot(n_.xy, spotPosition.xy))",
    LID: "shade_lid(p)",
}


def defines(
    model: CupModel, variant: Variant, part: int, *, sheets: bool, flakes: bool
) -> dict[str, str | int | float]:
    """The #defines of one draw, for every host.

    `sampling.x` is what the host gives as sub-samples of a pixel; ``SHADE(p)`` is the call that
    gives the radiance of a `Spot` p, and of steel it reads ``spotPosition`` and ``n_``, place and
    normal in the cup's frame, which the host declares.

    Parameters
    ----------
    variant
        As `variant_of` finds it from the parameter table: another palette may ask for others.
    part
        WALL, STEEL or LID.
    sheets, flakes
        Whether any may show in this draw's triangles.
    """
    return {
        "PART": part,
        "SHEETS": len(model.skin.sheets),
        "FLAKES": len(model.skin.flakes),
        "WITH_SHEETS": int(sheets),
        "WITH_FLAKES": int(flakes),
        **variant.defines(sheets=sheets, flakes=flakes),
        "RELIEF": int(model.skin.relief is not None),
        "FOIL_SAMPLES": variant.foil[0] if part == WALL else STEEL_SAMPLES,
        "BOUNCE_SAMPLES": variant.foil[1] if part == WALL else 0,
        "SAMPLES": "sampling.x",
        "MEAN_TILTS": 6,
        "MIRROR_SIDE": float(MIRROR_SIDE),
        "GLOSS_SIZE": f"vec2({ATLAS_SHAPE[1]}.0, {ATLAS_SHAPE[0]}.0)",
        "SHADE(p)": _CALLS[part].format(rim=model.rim_z_mm),
        **constants(),
    }


def filtered_light(light: Light) -> Surroundings:
    """The light as the shader reads it; very bright spots stay within half-float range."""
    return prefilter(np.minimum(light.radiance, 6e4), ior=COAT_IOR)


def filtered_gloss(light: Light) -> NDArray[np.float32]:
    """`filtered_light` without the mirror's map, for a host that makes that one by itself."""
    return gloss_atlas(np.minimum(light.radiance, 6e4), ior=COAT_IOR)


def fours(skin: Skin) -> dict[str, list[int]]:
    """Textures of several maps: name in the shader → channels of edge or coverage that it holds."""
    held = {"edgeTex": len(skin.sheets), "fieldTex": len(skin.flakes)}
    return {
        f"{name}{k // 4}": list(range(k, min(k + 4, count)))
        for name, count in held.items()
        for k in range(0, count, 4)
    }


def subsample(index: int, count: int) -> tuple[float, float, float]:
    """Place of a sub-sample in its pixel and its offset in sampling patterns, each in (0, 1).

    Hammersley's set: every sub-sample has its own column and its own row of the pixel, so that
    edges that are nearly upright or level are smoothed in as many steps as there are samples.
    """
    along = (index + 0.5) / count
    bits = max(count - 1, 1).bit_length()
    mirrored = [int(f"{i:0{bits}b}"[::-1], 2) for i in range(count)]
    rank = sorted(mirrored).index(mirrored[index])
    return along, (rank + 0.5) / count, along


def subsamples(count: int) -> list[tuple[float, float, float]]:
    """All sub-samples of a pixel in the order in which they are developed.

    Whole fours lie in quarters of the pixel, as they do where a host draws four side by side.

    Returns
    -------
    list of (across, up, offset)
        From the pixel's left and lower edge, and the offset in sampling patterns, in (0, 1).
    """
    if count % 4:
        return [subsample(i, count) for i in range(count)]
    found = []
    for i in range(count // 4):
        across, up, offset = subsample(i, count // 4)
        for right, high in ((0, 1), (1, 1), (0, 0), (1, 0)):
            found.append(((right + across) / 2, (high + up) / 2, (right + 2 * high + offset) / 4))
    return found


def sorted_triangles(model: CupModel) -> list[tuple[NDArray[np.uint32], int, bool, bool]]:
    """(triangles, part, sheets near?, flakes near?) of each draw that is not empty."""
    wall = model.part == WALL
    near_sheet, near_flake = _touched(model)
    groups = []
    for sheets in (False, True):
        for flakes in (False, True):
            chosen = wall & (near_sheet == sheets) & (near_flake == flakes)
            groups.append((chosen, WALL, sheets, flakes))
    # the wall first: it hides most of the inside before that is shaded
    groups += [(model.part == part, part, False, False) for part in (LID, STEEL)]
    return [(model.triangles[c], part, s, f) for c, part, s, f in groups if c.any()]


def _touched(model: CupModel) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Whether a sheet, and whether a flake, may be seen through each triangle."""
    skin, grid = model.skin, model.skin.grid
    parallax = 0.9 * skin.clear.thickness_mm + 0.3  # tan of the critical angle's complement
    widest = max((f.cut_mm for f in skin.flakes), default=0.0) * 0.6
    corners = model.turn_height[model.triangles]

    def near(mask: NDArray[np.bool_], reach_mm: float) -> NDArray[np.bool_]:
        pad = np.array([reach_mm / grid.radius_max_mm, reach_mm])
        return _any_within(mask, grid.length_mm, corners.min(1) - pad, corners.max(1) + pad)

    edge = np.zeros((grid.rows // 4, grid.columns // 4), bool)
    close = MAPS["edge_distance"].encode(np.array(0.25))
    for i in range(len(skin.sheets)):
        edge |= _least_of_fours(skin.edge_distance[..., i]) < close
    field: NDArray[np.bool_] = skin.flake_coverage.max(-1, initial=0) > 0
    return near(edge, parallax), near(field, parallax + widest)


def _least_of_fours(values: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Least of each square of 4 × 4 texels: (rows / 4, columns / 4)."""
    rows = np.minimum.reduce([values[i::4] for i in range(4)])
    least: NDArray[np.uint8] = np.minimum.reduce([rows[:, i::4] for i in range(4)])
    return least


def _any_within(
    mask: NDArray[np.bool_],
    length_mm: float,
    low: NDArray[np.floating],
    high: NDArray[np.floating],
) -> NDArray[np.bool_]:
    """Is the mask set anywhere in each box of wall coordinates? By a summed-area table."""
    rows, columns = mask.shape
    thrice = np.concatenate([mask, mask, mask], axis=1)
    total = np.zeros((rows + 1, 3 * columns + 1), np.int64)
    total[1:, 1:] = thrice.cumsum(0, dtype=np.int64).cumsum(1)
    x0 = np.floor((low[:, 0] / (2 * np.pi) + 0.5) * columns).astype(int) + columns
    x1 = np.ceil((high[:, 0] / (2 * np.pi) + 0.5) * columns).astype(int) + columns
    y0 = np.clip(np.floor(low[:, 1] / length_mm * rows).astype(int), 0, rows)
    y1 = np.clip(np.ceil(high[:, 1] / length_mm * rows).astype(int), 0, rows)
    x0, x1 = np.clip(x0, 0, 3 * columns), np.clip(x1, 0, 3 * columns)
    found: NDArray[np.bool_] = (total[y1, x1] - total[y0, x1] - total[y1, x0] + total[y0, x0]) > 0
    return found
