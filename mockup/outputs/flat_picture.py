"""The flat as a picture: the wall unrolled, as the maker would see it lying on the bench.

Materials show their chip colours in even light; flakes show as the mean of their mix, weighted by
the share of the wall that they hide.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from mockup.blank.flat import flat_from_wall, flat_outline, wall_from_flat
from mockup.blank.wall import Wall
from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_linear
from mockup.errors import OutputError
from mockup.material.channels import MAPS
from mockup.skin.skin import Flakes, Sheet, Skin

__all__ = ["FlatColours", "FlatPicture", "draw_flat", "draw_round"]

Floats = NDArray[np.float64]
Light = NDArray[np.float32]
Chips = Mapping[str, tuple[int, int, int]]
Clear = Mapping[str, NDArray[np.float64]]

BARE_STEEL_RGB8_SRGB = (178, 182, 186)
_BAND_PX = 16  # rows drawn at a time, so that they stay in the processor's cache
_MOST_PX = 40_000_000
_SUB = 2  # sub-samples on a side of each pixel


@dataclass(frozen=True, slots=True)
class FlatColours:
    """What the flat is drawn in.

    Attributes
    ----------
    chips
        Colour of each role that the skin names, three sRGB codes.
    clear
        Of roles that are clear films: linear share of the light from below that they leave, (3,).
    """

    chips: Chips
    clear: Clear = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class FlatPicture:
    """The wall unrolled, with its true size. mm from the picture's lower left corner, y up.

    Attributes
    ----------
    rgb8_srgb : (rows, columns, 3) uint8, sRGB
        Row 0 at the top; white outside the outline. It spans width_mm × height_mm exactly.
    outline_mm : (n, 2) float64
        The flat's edge, closed.
    front_mm, left_seam_mm, right_seam_mm : (2, 2) float64
        The front line and the two edges that meet at the seam, each from foot to rim.
    """

    rgb8_srgb: NDArray[np.uint8]
    width_mm: float
    height_mm: float
    outline_mm: Floats
    front_mm: Floats
    left_seam_mm: Floats
    right_seam_mm: Floats


def draw_flat(
    skin: Skin,
    wall: Wall,
    colours: FlatColours,
    *,
    px_per_mm: float = 6.0,
    sub: int = _SUB,
) -> FlatPicture:
    """Draw the flat from the skin's maps.

    Parameters
    ----------
    sub
        Sub-samples on a side of each pixel.

    Raises
    ------
    OutputError
        A role has no chip, or the picture would be too large.
    """
    outline = flat_outline(wall)
    corner, far = outline.min(axis=0), outline.max(axis=0)
    width_mm, height_mm = (float(side) for side in far - corner)
    columns, rows = (max(1, round(side * px_per_mm)) for side in (width_mm, height_mm))
    if rows * columns > _MOST_PX:
        raise OutputError(
            f"the flat would have {rows * columns / 1e6:.0f} million pixels",
            where="flat picture",
            remedy="Ask for fewer pixels per mm",
        )
    compose = _composer(skin, colours, sub * columns / width_mm)
    picture = np.full((rows, columns, 3), 255, np.uint8)
    x_mm = corner[0] + (np.arange(columns * sub) + 0.5) * (width_mm / (columns * sub))
    for top in range(0, rows, _BAND_PX):
        count = min(_BAND_PX, rows - top)
        down = (top * sub + np.arange(count * sub) + 0.5) * (height_mm / (rows * sub))
        flat = np.stack(np.broadcast_arrays(x_mm[None, :], (far[1] - down)[:, None]), axis=-1)
        turn, height = wall_from_flat(wall, flat)
        inside = (np.abs(turn) <= np.pi) & (height >= 0) & (height <= wall.length_mm)
        linear = compose(turn, height)
        linear[:, ~inside] = 1.0
        picture[top : top + count] = rgb8_from_linear(_means(linear, sub))
    lines = [_line(wall, turn, corner) for turn in (0.0, -np.pi, np.pi)]
    return FlatPicture(picture, width_mm, height_mm, outline - corner, *lines)


def draw_round(
    skin: Skin,
    wall: Wall,
    colours: FlatColours,
    *,
    width_px: int,
    height_px: int,
) -> NDArray[np.uint8]:
    """Draw the wall from all sides at once: turns across from the back, heights upward.

    Returns
    -------
    (height_px, width_px, 3) uint8, sRGB, row 0 at the rim
    """
    columns = width_px * _SUB
    compose = _composer(skin, colours, columns / (2 * np.pi * skin.grid.radius_max_mm))
    turn = (np.arange(columns) + 0.5) * (2 * np.pi / columns) - np.pi
    rows = height_px * _SUB
    height = (rows - np.arange(rows) - 0.5) * (wall.length_mm / rows)
    return rgb8_from_linear(_means(compose(*np.meshgrid(turn, height)), _SUB))


def _means(planes: Light, sub: int) -> Light:
    """Means over squares of sub-samples: (3, rows · sub, columns · sub) → (rows, columns, 3)."""
    total = sum(planes[:, i::sub, j::sub] for i in range(sub) for j in range(sub))
    return np.moveaxis(np.asarray(total, np.float32), 0, -1) / np.float32(sub**2)


def _line(wall: Wall, turn_rad: float, corner_mm: Floats) -> Floats:
    ends = flat_from_wall(wall, turn_rad, np.array([0.0, wall.length_mm]))
    return np.asarray(ends - corner_mm)


def _composer(
    skin: Skin, colours: FlatColours, px_per_mm: float
) -> Callable[[Floats, Floats], Light]:
    """A function from (turn, height) to linear light: the stack from the steel outward.

    It works plane by plane, (3, rows, columns), which numpy does several times as fast as three
    channels side by side.
    """
    chips, clear = colours.chips, colours.clear
    base = _chip(chips, skin.base_role) if skin.base_role else _linear(BARE_STEEL_RGB8_SRGB)
    paints = {role: _chip(chips, role) for role in _roles(skin)}
    veil = np.ones(3, np.float32)
    for role, thickness_mm in skin.clear.tints:
        veil *= paints[role] ** (2 * thickness_mm)  # the light passes the coat in and out
    stack: list[tuple[int, Sheet | Flakes]] = [*enumerate(skin.sheets), *enumerate(skin.flakes)]
    stack.sort(key=lambda entry: entry[1].order)
    coarse = skin.flake_coverage.shape[0], skin.flake_coverage.shape[1]
    rows, columns = skin.grid.shape
    opaque = skin.art_rgba8_srgb[..., 3].max(axis=1)
    nearest = skin.edge_distance.min(axis=1)
    away = MAPS["edge_distance"].encode(np.array(1.0))
    art, edges, fields = (
        np.ascontiguousarray(np.moveaxis(maps, -1, 0))
        for maps in (skin.art_rgba8_srgb, skin.edge_distance, skin.flake_coverage)
    )
    prints = linear_from_rgb8(art[:3])

    def compose(turn_rad: Floats, height_mm: Floats) -> Light:
        row = height_mm / skin.grid.row_mm
        column = (turn_rad + np.pi) * (skin.grid.columns / (2 * np.pi))
        fine = _Texels.about(skin.grid.shape, row, column)
        wide = _Texels.about(coarse, row * coarse[0] / rows, column * coarse[1] / columns)
        here = slice(*fine.rows)
        linear = np.empty((3, *row.shape), np.float32)
        linear[:] = base[:, np.newaxis, np.newaxis]
        if opaque[here].any():
            opacity = fine.quantity("art_opacity", art[3])
            for plane, light, below in zip(linear, prints, base, strict=True):
                plane += opacity * (fine.mean_of(light) - below)
        for channel, layer in stack:
            if isinstance(layer, Flakes):
                share = wide.quantity("flake_coverage", fields[channel])
            elif nearest[here, channel].min() < away:
                edge_mm = fine.quantity("edge_distance", edges[channel])
                share = np.clip(0.5 - edge_mm * np.float32(px_per_mm), 0.0, 1.0)
            else:
                continue  # the sheet is not in these rows
            own, hides = _colour(layer, paints), 1 - _left(layer, clear)
            for plane, light, hidden in zip(linear, own, hides, strict=True):
                plane += share * (light - hidden * plane)
        linear *= veil[:, np.newaxis, np.newaxis]
        return linear

    return compose


def _colour(layer: Sheet | Flakes, paints: Mapping[str, Light]) -> Light:
    """Linear light of a sheet, or the mean of a mix of flakes."""
    if isinstance(layer, Sheet):
        return paints[layer.role]
    mixed = sum((paints[role] * share for role, share in layer.mix), np.zeros(3))
    return np.asarray(mixed, np.float32)


def _left(layer: Sheet | Flakes, clear: Clear) -> Light:
    """What the layer leaves of light from below: nothing, but for clear films."""
    mix = ((layer.role, 1.0),) if isinstance(layer, Sheet) else layer.mix
    return np.asarray(sum(share * clear.get(role, np.zeros(3)) for role, share in mix), np.float32)


@dataclass(frozen=True, slots=True)
class _Texels:
    """The four texels about each point of a map, closed round the cup, and how near they are.

    `lower` and `upper` are places in the map's rows laid end to end, of the left texel and of the
    right one.
    """

    rows: tuple[int, int]
    lower: tuple[NDArray[np.intp], NDArray[np.intp]]
    upper: tuple[NDArray[np.intp], NDArray[np.intp]]
    up: Light
    right: Light

    @classmethod
    def about(cls, shape: tuple[int, int], row: Floats, column: Floats) -> "_Texels":
        """Texel middles lie at half numbers; `row` and `column` count from the map's edges."""
        r, c = np.clip(row - 0.5, 0, shape[0] - 1), column - 0.5
        r0, c0 = np.floor(r).astype(np.intp), np.floor(c).astype(np.intp)
        up, right = (r - r0).astype(np.float32), (c - c0).astype(np.float32)
        c0 %= shape[1]
        c1 = np.where(c0 == shape[1] - 1, 0, c0 + 1)
        below, above = r0 * shape[1], np.minimum(r0 + 1, shape[0] - 1) * shape[1]
        rows = int(r0.min()), min(int(r0.max()) + 2, shape[0])
        return cls(rows, (below + c0, below + c1), (above + c0, above + c1), up, right)

    def mean_of(self, plane: Light | NDArray[np.uint8]) -> Light:
        """Bilinear values of a map (rows, columns)."""
        below, above = (
            plane.take(left) * (1 - self.right) + plane.take(right) * self.right
            for left, right in (self.lower, self.upper)
        )
        return np.asarray(below * (1 - self.up) + above * self.up)

    def quantity(self, name: str, plane: NDArray[np.uint8]) -> Light:
        """A channel's quantity between its texels; decoding is linear, so it may come last."""
        channel = MAPS[name]
        step = np.float32((channel.high - channel.low) / 255)
        return np.asarray(np.float32(channel.low) + step * self.mean_of(plane))


def _roles(skin: Skin) -> set[str]:
    mixed = {role for layer in skin.flakes for role, _ in layer.mix}
    return mixed | {sheet.role for sheet in skin.sheets} | {role for role, _ in skin.clear.tints}


def _chip(chips: Chips, role: str) -> Light:
    if role not in chips:
        raise OutputError(
            f"the role {role!r} has no colour",
            where="flat picture",
            remedy="Give a chip for each role of the design",
        )
    return _linear(chips[role])


def _linear(rgb8_srgb: tuple[int, int, int]) -> Light:
    return linear_from_rgb8(np.asarray(rgb8_srgb, np.uint8))
