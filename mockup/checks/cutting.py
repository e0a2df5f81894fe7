"""Whether pieces can be cut, weeded and laid: strokes, gaps, islands, seam, rim and foot, letters.

Limits are typical figures for hobby cutters; the maker's own trial cut stands above them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
import shapely
from shapely import MultiPolygon

from mockup.blank.flat import sheet_from_wall, stretch, wall_from_sheet, wrapped_turn
from mockup.blank.wall import Wall
from mockup.checks.cutting_width import narrowest
from mockup.checks.finding import Finding
from mockup.design.document import Design
from mockup.design.layers import DecalLayer, GlitterLayer, Patch, WrapLayer

__all__ = ["CutLimits", "Cuttable", "check_cutting"]


class Cuttable(Protocol):
    """What a check needs to know of a piece of sheet; mm on the flat about its anchor."""

    @property
    def layer(self) -> int: ...  # noqa: D102
    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def kind(self) -> Literal["wrap", "decal"]: ...  # noqa: D102
    @property
    def role(self) -> str: ...  # noqa: D102
    @property
    def material(self) -> str: ...  # noqa: D102
    @property
    def outline(self) -> MultiPolygon: ...  # noqa: D102
    @property
    def turn_deg(self) -> float: ...  # noqa: D102
    @property
    def height_mm(self) -> float: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class CutLimits:
    """What a cutter and a pair of tweezers manage, mm. Typical: vinyl 0.8, adhesive sheet 1.5."""

    vinyl_mm: float = 0.8
    foil_mm: float = 1.5
    edge_mm: float = 2.0
    letter_mm: float = 5.0
    give: float = 0.01  # share by which sheet may stretch or gather without a crease

    def least_mm(self, material: str) -> float:
        """Narrowest stroke and gap in a material; foil is cut as adhesive sheet."""
        return self.foil_mm if material == "foil" else self.vinyl_mm


_STANDARD = CutLimits()


def check_cutting(
    design: Design, wall: Wall, pieces: Sequence[Cuttable], limits: CutLimits = _STANDARD
) -> list[Finding]:
    """Everything about cutting and laying `pieces` that the maker should know.

    Wraps are not held to the limits of strokes: a rectangle or a sector is easily cut.
    """
    found: list[Finding] = []
    told: set[int] = set()
    for piece in pieces:
        if piece.kind != "decal":
            found += _gives(piece, f"{design.where}: layers[{piece.layer}]", wall, limits)
            continue
        where = f"{design.where}: layers[{piece.layer}]"
        found += _widths(piece, where, limits)
        found += _islands(piece, where, limits)
        found += _edges(piece, where, wall, limits)
        found += _seams(design, piece, where, wall)
        layer = design.document.layers[piece.layer]
        if piece.layer not in told and isinstance(layer, DecalLayer):
            told.add(piece.layer)
            found += _letters(piece, layer, where, limits)
        found += _patches(design, piece, where, wall)
    return found


def _gives(piece: Cuttable, where: str, wall: Wall, limits: CutLimits) -> Iterator[Finding]:
    """A curved wall unrolls to no flat sheet: how far a wrap must stretch or gather."""
    give = stretch(wall)
    most = max(give.most - 1, 1 - give.least)
    if most > limits.give:
        yield Finding(
            severity="warn",
            rule="curved wall",
            where=where,
            measured=100 * most,
            limit=100 * limits.give,
            unit="%",
            advice=f"{_called(piece)} must give by {100 * most:.1f} %, most of all "
            f"{give.worst_height_mm:.0f} mm up the wall, since a curved wall does not lie flat. "
            "Cut it in strips, or use a sheet that stretches, and try it in paper first.",
        )


def _called(piece: Cuttable) -> str:
    return f"{piece.name!r} in {piece.role} ({piece.material})"


def _widths(piece: Cuttable, where: str, limits: CutLimits) -> Iterator[Finding]:
    least = limits.least_mm(piece.material)
    stroke, gap = narrowest(piece.outline, least)
    for rule, width, cure in (
        ("thin stroke", stroke, "make it larger, or give it an outset"),
        ("thin gap", gap, "make it larger, or set its parts further apart"),
    ):
        if width is not None:
            yield Finding(
                severity="warn",
                rule=rule,
                where=where,
                measured=width,
                limit=least,
                unit="mm",
                advice=f"{_called(piece)} has a {rule.split()[1]} {_about(width)}; a cutter "
                f"manages {least:g} mm in this material. Try a cut first, {cure}.",
            )


def _about(width_mm: float) -> str:
    """Rounded down, so that what is just too narrow is not told to be as wide as the limit."""
    told = np.floor(width_mm * 10 + 1e-9) / 10
    return f"of about {told:.1f} mm" if told >= 0.1 else "that runs to a point"


def _islands(piece: Cuttable, where: str, limits: CutLimits) -> Iterator[Finding]:
    """Parts inside another part's hole, and parts so small that they lift with the waste."""
    parts = list(shapely.get_parts(piece.outline))
    solid = [shapely.Polygon(part.exterior) for part in parts]
    tree = shapely.STRtree(solid)
    inner, outer = tree.query(solid, predicate="within")
    loose = len(np.unique(inner[inner != outer]))
    if loose:
        yield Finding(
            severity="note",
            rule="island",
            where=where,
            measured=float(loose),
            limit=0.0,
            unit="pieces",
            advice=f"{_called(piece)} has {_count(loose, 'island')} inside its holes, held by "
            "nothing once cut. Lay it with transfer tape and do not weed the inside by itself.",
        )
    least = limits.least_mm(piece.material)
    longest = np.ptp(shapely.bounds(parts).reshape(-1, 2, 2), axis=1).max(axis=1)
    specks = longest[longest < 2 * least]
    if len(specks):
        smallest = float(specks.min())
        yield Finding(
            severity="warn",
            rule="speck",
            where=where,
            measured=smallest,
            limit=2 * least,
            unit="mm",
            advice=f"{_called(piece)} has {_count(len(specks), 'part')} smaller than "
            f"{2 * least:g} × {2 * least:g} mm, which lift with the waste. Make them larger, "
            "leave them out, or place them by hand.",
        )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _edges(piece: Cuttable, where: str, wall: Wall, limits: CutLimits) -> Iterator[Finding]:
    _, heights = _on_wall(piece, wall)
    for edge, room in (("foot", heights.min()), ("rim", wall.length_mm - heights.max())):
        if room < limits.edge_mm:
            yield Finding(
                severity="warn",
                rule=f"near the {edge}",
                where=where,
                measured=float(room),
                limit=limits.edge_mm,
                unit="mm",
                advice=f"{_called(piece)} comes within {max(room, 0):.1f} mm of the wall's {edge}, "
                f"where trimming and wear lift it. Keep {limits.edge_mm:g} mm clear.",
            )


def _seams(design: Design, piece: Cuttable, where: str, wall: Wall) -> Iterator[Finding]:
    """Wraps below that meet at a seam somewhere under the piece."""
    turns, heights = _on_wall(piece, wall)
    for layer in design.document.layers[: piece.layer]:
        if not isinstance(layer, WrapLayer) or layer.fit == "placed":
            continue
        top = wall.length_mm if layer.to_mm is None else layer.to_mm
        beside = wrapped_turn(np.radians(layer.seam_deg - piece.turn_deg))
        reach = turns - np.radians(piece.turn_deg)
        across = bool(reach.min() < beside < reach.max())
        if across and heights.min() < top and heights.max() > layer.from_mm:
            yield Finding(
                severity="warn",
                rule="across the seam",
                where=where,
                measured=None,
                limit=None,
                unit="",
                advice=f"{_called(piece)} lies across the seam of "
                f"{layer.name or layer.artwork} at {layer.seam_deg:g}°, and the step shows "
                "through. Move the piece or the seam.",
            )


def _letters(
    piece: Cuttable, layer: DecalLayer, where: str, limits: CutLimits
) -> Iterator[Finding]:
    """The tallest letter stands for all; without a letter height it is measured on the outline."""
    if layer.text is None:
        return
    tops = shapely.bounds(shapely.get_parts(piece.outline))
    height = layer.letter_height_mm or float((tops[:, 3] - tops[:, 1]).max())
    if height < limits.letter_mm:
        yield Finding(
            severity="warn",
            rule="small letters",
            where=where,
            measured=height,
            limit=limits.letter_mm,
            unit="mm",
            advice=f"The letters of {piece.name!r} are {height:.1f} mm high; below "
            f"{limits.letter_mm:g} mm they are hard to weed. Set them larger.",
        )


def _patches(design: Design, piece: Cuttable, where: str, wall: Wall) -> Iterator[Finding]:
    """Soft patches of glitter behind a piece that are smaller than it."""
    for layer in design.document.layers[: piece.layer]:
        if not isinstance(layer, GlitterLayer):
            continue
        for patch in layer.coverage:
            if not isinstance(patch, Patch) or patch.radius_mm <= 0:
                continue
            over = _reach_from(piece, patch, wall)
            if over is not None and over > patch.radius_mm + patch.feather_mm / 2:
                yield Finding(
                    severity="warn",
                    rule="larger than its patch",
                    where=where,
                    measured=over,
                    limit=patch.radius_mm + patch.feather_mm / 2,
                    unit="mm",
                    advice=f"{_called(piece)} reaches {over:.1f} mm from the middle of the glitter "
                    f"patch of {layer.name or 'the glitter'}, which has half gone at "
                    f"{patch.radius_mm + patch.feather_mm / 2:.1f} mm. Widen the patch.",
                )


def _reach_from(piece: Cuttable, patch: Patch, wall: Wall) -> float | None:
    """Furthest point of a piece from a patch's middle, mm; None where the patch is not behind it.

    A patch is behind a piece that has its middle within the patch.
    """
    turn, height = np.radians(patch.angle_deg), patch.height_mm
    turns, heights = _on_wall(piece, wall)
    away = np.hypot(*sheet_from_wall(wall, turn, height, turns, heights).T)
    middle = sheet_from_wall(wall, turn, height, np.radians(piece.turn_deg), piece.height_mm)
    return float(away.max()) if np.hypot(*middle) <= patch.radius_mm else None


def _on_wall(piece: Cuttable, wall: Wall) -> tuple[np.ndarray, np.ndarray]:
    """Turns, rad, and heights, mm, of the piece's edge on the wall."""
    points = shapely.get_coordinates(shapely.segmentize(piece.outline, 1.0))
    return wall_from_sheet(wall, np.radians(piece.turn_deg), piece.height_mm, points)
