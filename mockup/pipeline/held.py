"""A finished cup's wall held against the promised one: role by role, decal by decal."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, binary_erosion

from mockup.checks.decal_shape import DecalShape, decal_shapes
from mockup.checks.stations import shown_at
from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.outputs.finished_facts import DecalHeld, RoleHeld
from mockup.outputs.flat_picture import draw_round
from mockup.outputs.proof_facts import flat_colours
from mockup.photo.camera import Pose
from mockup.photo.compare import ColourPair, Fade, colour_pair, fade_of
from mockup.photo.place import Shape, find_place
from mockup.photo.turn import Turn, columns_round, find_turn
from mockup.photo.unroll import WallView, unroll
from mockup.pipeline.cup import Cup

__all__ = ["Walls", "decals_held", "fade_held", "flat_light", "roles_held", "view_of", "walls_of"]

Floats = NDArray[np.float64]
Light = NDArray[np.float32]
Bools = NDArray[np.bool_]

_LEAST_STEP_MM = 0.25
_WHOLE, _NONE = 0.97, 0.03  # a texel that is of one layer; one that has nothing of it
_KEEP_OFF_MM = 1.0  # from the edges of layers: texels mix, and pieces lie a little off
_ROUND_DECAL_MM = 4.0  # left out where a decal is placed against all else
_NEAR_RAD = 0.25
_DENSE = 0.5  # of the most cover: where glitter's colour is taken


@dataclass(frozen=True, slots=True, eq=False)
class Walls:
    """The promised and the finished wall rolled out alike, and what was laid where.

    Attributes
    ----------
    rgb : two pictures (h, w, 3) of the pose's size, promised and finished
    shares : (rows, columns, 1 + sheets + populations)
        Of each layer in what shows.
    art : (rows, columns)
        Opacity of artwork on the base.
    """

    cup: Cup
    pose: Pose
    turn_rad: float
    rgb: tuple[Light, Light]
    promised: WallView
    finished: WallView
    shares: Floats
    art: Floats

    def kept_off(self, part: Bools) -> Bools:
        """A part of the wall without its rim."""
        reach = max(1, round(_KEEP_OFF_MM / self.finished.step_mm))
        return cast(Bools, binary_erosion(part, iterations=reach, border_value=1))


def view_of(cup: Cup, pose: Pose, rgb: Light) -> WallView:
    """The wall in a picture of the pose's size, as it lies under the coat."""
    step = max(_LEAST_STEP_MM, pose.distance_mm / pose.focal_px)
    skin = cup.model.skin
    return unroll(rgb, cup.blank, pose, depth_mm=skin.base_depth_mm, step_mm=step)


def flat_light(cup: Cup, view: WallView) -> Light:
    """The design's flat in chip colours, texel for texel as wide and high as the view."""
    picture = draw_round(
        cup.model.skin,
        cup.blank.wall,
        flat_colours(cup.design, cup.optics()),
        width_px=columns_round(view),
        height_px=len(view.height_mm),
    )
    return linear_from_rgb8(picture[::-1])


def walls_of(
    cup: Cup, pose: Pose, turn_rad: float, rgb: tuple[Light, Light], view: WallView
) -> Walls:
    """Roll the promised wall out as the finished one, `view`, and look up what lies where."""
    skin = cup.model.skin
    row = np.clip((view.height_mm / skin.grid.row_mm).astype(np.intp), 0, skin.grid.rows - 1)
    turn = (view.turn_rad + turn_rad + np.pi) * (skin.grid.columns / (2 * np.pi))
    rows, columns = np.meshgrid(
        row, np.floor(turn).astype(np.intp) % skin.grid.columns, indexing="ij"
    )
    shares = shown_at(skin, rows, columns).astype(np.float64)
    art = skin.art_rgba8_srgb[rows, columns, 3] / 255.0
    return Walls(cup, pose, turn_rad, rgb, view_of(cup, pose, rgb[0]), view, shares, art)


def roles_held(walls: Walls, decals: tuple[DecalHeld, ...]) -> Iterator[RoleHeld]:
    """Every role that the skin names, from the steel outward, decals' where they lie now."""
    skin, design = walls.cup.model.skin, walls.cup.design
    labels = {role: swatch.label or role for role, swatch in design.palette.roles.items()}
    sheets = len(skin.sheets)
    alone = walls.shares[..., 0] > _WHOLE
    off = ~_moved(walls, decals)
    if skin.base_role is not None:
        mask = walls.kept_off(alone & (walls.art < _NONE)) & off
        pair = colour_pair(walls.promised, walls.finished, mask, sparkling=False)
        label = labels.get(skin.base_role, "base coat")
        swatch = design.swatch(skin.base_role, where="palette")
        yield RoleHeld(skin.base_role, label, "base", pair, swatch)
    if walls.art.max(initial=0) > _WHOLE:
        mask = walls.kept_off(alone & (walls.art > _WHOLE)) & off
        yield RoleHeld("print", "printed sheet", "print", _pair(walls, mask, sparkling=False))
    cover = walls.shares[..., 1 + sheets :].sum(axis=-1)
    if skin.flakes:
        mask = walls.kept_off(cover > _DENSE * max(float(cover.max()), 0.1)) & off
        names = ", ".join(dict.fromkeys(labels.get(r, r) for f in skin.flakes for r, _ in f.mix))
        yield RoleHeld("glitter", f"glitter ({names})", "glitter", _pair(walls, mask))
    shapes = decal_shapes(design, skin)
    for role in dict.fromkeys(sheet.role for sheet in skin.sheets):
        swatch = design.swatch(role, where="palette")
        metal = swatch.metallic
        own = [nth for nth, sheet in enumerate(skin.sheets) if sheet.role == role]
        here = [shape for shape in shapes if shape.role == role]
        pair = _decal_pair(walls, here, decals, sparkling=metal) if here else None
        if not here:
            share = walls.shares[..., [1 + nth for nth in own]].sum(axis=-1)
            mask = binary_erosion(share > _WHOLE) & off
            pair = _pair(walls, mask, sparkling=metal)
        kind = "foil" if metal else "vinyl"
        yield RoleHeld(role, labels.get(role, role), kind, pair, swatch)


def _pair(walls: Walls, mask: Bools, *, sparkling: bool = True) -> ColourPair | None:
    return colour_pair(walls.promised, walls.finished, mask, sparkling=sparkling)


def _moved(walls: Walls, decals: tuple[DecalHeld, ...]) -> Bools:
    """Where decals lie, or may lie now."""
    skin = walls.cup.model.skin
    own = walls.shares[..., 1 : 1 + len(skin.sheets)].sum(axis=-1) > _NONE
    far = max((np.hypot(d.placed.right_mm, d.placed.up_mm) for d in decals if d.placed), default=0)
    reach = round((far + _KEEP_OFF_MM) / walls.finished.step_mm)
    return cast(Bools, binary_dilation(own, iterations=max(1, reach)))


def _decal_pair(
    walls: Walls, shapes: list[DecalShape], decals: tuple[DecalHeld, ...], *, sparkling: bool
) -> ColourPair | None:
    """Mean of all decals of a role, each under its own shape, promised and finished."""
    pairs = []
    for shape in shapes:
        held = next(d for d in decals if d.layer == shape.layer)
        if held.placed is None or held.placed.rgb is None:
            continue
        told = find_place(
            walls.rgb[0], walls.cup.blank, walls.pose, walls.turn_rad, _shape(walls.cup, shape),
            sparkling=sparkling, moved=False,
        )  # fmt: skip
        if told is not None and told.rgb is not None:
            pairs.append((told.rgb, held.placed.rgb))
    if not pairs:
        return None
    promised, finished = np.mean(pairs, axis=0)
    return ColourPair(promised, finished)


def _shape(cup: Cup, shape: DecalShape) -> Shape:
    skin = cup.model.skin
    depth = skin.sheets[shape.channels[-1]].depth_mm if shape.channels else skin.base_depth_mm
    return Shape(shape.distance, shape.spot, depth)


def decals_held(
    cup: Cup,
    pose: Pose,
    turn: Turn | None,
    turn_rad: float,
    finished: Light,
    view: WallView,
    flat: Light,
) -> Iterator[DecalHeld]:
    """Where every decal lies; sideways against all that is not the decal itself."""
    for shape in decal_shapes(cup.design, cup.model.skin):
        metal = cup.design.swatch(shape.role, where="palette").metallic
        placed = find_place(
            finished, cup.blank, pose, turn_rad, _shape(cup, shape), sparkling=metal
        )
        sideways = None
        if placed is not None:
            other = _turn_without(cup, shape, view, flat, turn_rad)
            if turn is None:
                sideways = placed.right_mm  # the turn was given
            elif other is not None:
                radius = float(cup.blank.wall.radius_at(shape.spot.height_mm))
                sideways = placed.right_mm - (turn_rad - other) * radius
        yield DecalHeld(shape.name, shape.layer, placed, sideways)


def _turn_without(
    cup: Cup, shape: DecalShape, view: WallView, flat: Light, turn_rad: float
) -> float | None:
    """The turn as all but one decal tells it."""
    count = flat.shape[1]
    turns = (np.arange(count) + 0.5) * (2 * np.pi / count) - np.pi
    height, turn = np.meshgrid(view.height_mm, turns, indexing="ij")
    near = shape.distance_mm(cup.blank.wall, turn, height) < 1.2
    reach = max(1, round(_ROUND_DECAL_MM / view.step_mm))
    without = binary_dilation(near, iterations=reach)
    found = find_turn(view, flat, without=without, near_rad=turn_rad, within_rad=_NEAR_RAD)
    return None if found is None else found.turn_rad


def fade_held(walls: Walls, decals: tuple[DecalHeld, ...]) -> Fade | None:
    """Cover of all glitter along the height, beside decals and artwork."""
    sheets = len(walls.cup.model.skin.sheets)
    if not walls.cup.model.skin.flakes:
        return None
    cover = walls.shares[..., 1 + sheets :].sum(axis=-1)
    mask = (cover + walls.shares[..., 0] > _WHOLE) & (walls.art < _NONE)
    mask &= ~_moved(walls, decals)
    return fade_of(walls.promised, walls.finished, cover, mask)
