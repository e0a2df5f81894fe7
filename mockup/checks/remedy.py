"""The nearest change by which a decal that does not stand out would, each as a changed design.

Three ways: another swatch for the decal, another for what lies behind it, or a backing under it.
Swatches are those of every palette at hand, sheets for sheets, flakes for flakes, paint for paint;
the nearest is the one that changes least to the eye, by ΔE00 in even light. A change counts only if
the decal then passes in every light for every kind of vision, and no other decal stands out less
than it did and less than it should.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, get_parts

from mockup.blank.wall import Wall
from mockup.checks.at_hand import (
    are_alike,
    called,
    even_colour,
    form_of,
    forms_of,
    swatches_by_distance,
)
from mockup.checks.contrast import ContrastKey, DecalContrast, layer_roles
from mockup.design.document import Design
from mockup.design.edit import with_layer, with_swatch
from mockup.design.layers import DecalLayer
from mockup.design.palette import Palette, Swatch
from mockup.errors import DesignError, GeometryError
from mockup.skin.place import check_fit
from mockup.skin.skin import MOST_SHEETS, Skin

__all__ = ["Backed", "Rejudged", "Remedy", "find_remedies"]

Floats = NDArray[np.float64]
Kind = Literal["decal", "behind", "backing"]

# Contrasts of chosen decals of a design with the same shapes under these lights and eyes.
Rejudged = Callable[[Design, Sequence[int], bool], list[DecalContrast]]
# Contrast of one decal over a backing of so many mm in a swatch; quick or whole.
Backed = Callable[[int, float, Swatch, bool], DecalContrast]

OUTSETS_MM = (0.4, 0.6, 0.8, 1.0, 1.2)  # the last reaches as far as an edge is judged by
BEHIND = 0.2  # share of what lies behind from which on a role is worth changing
_DAY = ContrastKey("D65", "normal")
_SLACK = 0.05  # of a ratio: as much as another decal may lose
_MOST_NAME = 60


@dataclass(frozen=True, slots=True)
class Remedy:
    """One change that would pass.

    Attributes
    ----------
    layer
        The decal's index in the document.
    words
        An imperative without its full stop.
    delta_e_2000
        How far the changed material moves; of a backing, from what it hides.
    ratio
        Least contrast of the decal afterwards, in any light for any eye.
    design
        The changed design, under a palette of its own name.
    """

    layer: int
    kind: Kind
    words: str
    delta_e_2000: float
    ratio: float
    design: Design


@dataclass(frozen=True, slots=True)
class _Trial:
    """What a search needs: the design as it is, and ways to judge a change."""

    design: Design
    skin: Skin
    wall: Wall
    contrasts: Sequence[DecalContrast]
    rejudged: Rejudged
    backed: Backed


def find_remedies(
    design: Design,
    skin: Skin,
    wall: Wall,
    contrasts: Sequence[DecalContrast],
    nth: int,
    *,
    rejudged: Rejudged,
    backed: Backed,
) -> list[Remedy]:
    """The nearest change of each kind that passes, the least of them first.

    Parameters
    ----------
    contrasts, nth
        Of every decal, and which of them fails.
    """
    trial = _Trial(design, skin, wall, contrasts, rejudged, backed)
    found = [_backing(trial, nth), _decal(trial, nth), _behind(trial, nth)]
    passing = [remedy for remedy in found if remedy is not None]
    return sorted(passing, key=lambda remedy: (remedy.kind != "backing", remedy.delta_e_2000))


def _decal(trial: _Trial, nth: int) -> Remedy | None:
    """Another swatch for the decal: of its own kind, metal or matt, if any of that kind passes."""
    role = trial.contrasts[nth].shape.role
    now = trial.design.palette.roles[role]
    depth = _depth_mm(trial.skin, role)
    near = swatches_by_distance(trial.design, even_colour(now, depth), depth, "sheet")
    near.sort(key=lambda item: (item[1].metallic != now.metallic, item[0]))
    for apart, swatch in near:
        option = _swapped(trial, nth, role, swatch)
        if option is not None:
            design, ratio = option
            words = f"Cut the {role} from {called(swatch)} in place of {called(now)}"
            return Remedy(trial.contrasts[nth].shape.layer, "decal", words, apart, ratio, design)
    return None


def _behind(trial: _Trial, nth: int) -> Remedy | None:
    """Another swatch for one of the materials that lie behind."""
    best: Remedy | None = None
    for role in _roles_behind(trial, nth):
        now = trial.design.palette.roles[role]
        form = form_of(role, forms_of(trial.design))
        depth = _depth_mm(trial.skin, role)
        colour = even_colour(now, depth, flakes=form == "flakes")
        near = swatches_by_distance(trial.design, colour, depth, form)
        for apart, swatch in near:
            if best is not None and apart >= best.delta_e_2000:
                break
            option = _swapped(trial, nth, role, swatch)
            if option is not None:
                design, ratio = option
                words = f"Take {called(swatch)} in place of {called(now)} ({role})"
                layer = trial.contrasts[nth].shape.layer
                best = Remedy(layer, "behind", words, apart, ratio, design)
                break
    return best


def _swapped(trial: _Trial, nth: int, role: str, swatch: Swatch) -> tuple[Design, float] | None:
    """The design with one role changed, and the decal's least contrast; None if it does not do."""
    try:
        design = with_swatch(trial.design, role, swatch)
    except DesignError:
        return None  # a metal for a base coat
    limit = trial.contrasts[nth].limit
    (quick,) = trial.rejudged(design, [nth], True)
    if _least(quick) < limit:
        return None
    after = trial.rejudged(design, range(len(trial.contrasts)), False)
    if _least(after[nth]) < limit:
        return None
    for before, then in zip(trial.contrasts, after, strict=True):
        if _least(then) < min(before.limit, _least(before) - _SLACK):
            return None
    return _renamed(trial.design, design, called(swatch)), _least(after[nth])


def _backing(trial: _Trial, nth: int) -> Remedy | None:
    """The narrowest backing that does, and of swatches the one nearest to what it hides."""
    contrast, layer = trial.contrasts[nth], _layer(trial, nth)
    widest = max((backing.outset_mm for backing in layer.backing), default=0.0)
    free = len(trial.skin.sheets) < MOST_SHEETS
    behind = _mean_behind(trial, nth)
    depth = _depth_mm(trial.skin, layer.swatch)
    near = [
        (apart, swatch)
        for apart, swatch in swatches_by_distance(trial.design, behind, depth, "sheet")
        if not swatch.metallic
        and _least(trial.backed(nth, OUTSETS_MM[-1], swatch, True)) >= contrast.limit
    ]
    for outset in (o for o in OUTSETS_MM if free and o > widest):
        for apart, swatch in near:
            if _least(trial.backed(nth, outset, swatch, True)) < contrast.limit:
                continue
            ratio = _least(trial.backed(nth, outset, swatch, False))
            design = _with_backing(trial, nth, outset, swatch) if ratio >= contrast.limit else None
            if design is not None:
                words = f"Lay {called(swatch)} under it, {outset:g}\u00a0mm wider all round"
                return Remedy(contrast.shape.layer, "backing", words, apart, ratio, design)
    return None


def _with_backing(trial: _Trial, nth: int, outset_mm: float, swatch: Swatch) -> Design | None:
    """None where the backing would leave the wall."""
    shape, layer = trial.contrasts[nth].shape, _layer(trial, nth)
    grown = MultiPolygon(list(get_parts(shape.outline.buffer(outset_mm))))
    try:
        check_fit(trial.wall, shape.spot, grown, where="backing")
    except GeometryError:
        return None
    roles = dict(trial.design.palette.roles)
    role = next((name for name, there in roles.items() if are_alike(there, swatch)), None)
    design = trial.design
    if role is None:
        role = next(name for name in _free_names("backing") if name not in roles)
        palette = design.palette.model_copy(update={"roles": {**roles, role: swatch}})
        palettes = {**design.palettes, design.document.palette: palette}
        design = replace(design, palettes=palettes)
    backing = ({"swatch": role, "outset_mm": outset_mm}, *(b.model_dump() for b in layer.backing))
    changed = with_layer(design, shape.layer, backing=backing)
    return _renamed(trial.design, changed, f"{called(swatch)} backing")


def _renamed(before: Design, after: Design, what: str) -> Design:
    """The changed palette under a name of its own, so that it is one more option."""
    own = re.sub(r"[^a-z0-9]+", "-", f"{before.palette.name} {what}".lower()).strip("-")
    own = own[:_MOST_NAME].strip("-")
    name = next(name for name in _free_names(own) if name not in before.palettes)
    note = f"{before.palette.name} with {what}"
    palette: Palette = after.palette.model_copy(update={"name": name, "note": note})
    palettes = {**before.palettes, name: palette}
    document = after.document.model_copy(update={"palette": name})
    return replace(after, palettes=palettes, document=document)


def _free_names(name: str) -> Iterator[str]:
    yield name
    yield from (f"{name}-{number}" for number in count(2))


def _roles_behind(trial: _Trial, nth: int) -> list[str]:
    """Roles that make up much of what lies round the decal where it fails."""
    contrast = trial.contrasts[nth]
    failing = np.nan_to_num(contrast.ratio[_DAY], nan=np.inf) < contrast.limit
    worst = contrast.worst()
    if worst is not None:
        failing[worst.station] = True
    layers = contrast.stations.around.layers[failing].mean(axis=0)
    shares: dict[str, float] = {}
    for share, roles in zip(layers, layer_roles(trial.skin), strict=True):
        for role, part in roles:
            shares[role] = shares.get(role, 0.0) + float(share) * part
    known = trial.design.palette.roles
    wanted = [r for r, share in shares.items() if share >= BEHIND and r in known]
    return sorted(wanted, key=lambda role: -shares[role])


def _mean_behind(trial: _Trial, nth: int) -> Floats:
    """Colour of what a backing would hide, roughly: its roles by their shares."""
    total, weight = np.zeros(3), 1e-9
    known = trial.design.palette.roles
    layers = trial.contrasts[nth].stations.around.layers.mean(axis=0)
    for nth_layer, (share, roles) in enumerate(zip(layers, layer_roles(trial.skin), strict=True)):
        flakes = nth_layer > len(trial.skin.sheets)
        for role, part in roles:
            if role in known:
                total = total + share * part * even_colour(known[role], 1.0, flakes=flakes)
                weight += share * part
    return np.asarray(total / weight)


def _depth_mm(skin: Skin, role: str) -> float:
    """Resin above a role where it lies; the base coat's if it is no sheet."""
    depths = [s.depth_mm for s in skin.sheets if s.role == role]
    depths += [f.depth_mm for f in skin.flakes if any(role == part for part, _ in f.mix)]
    return depths[-1] if depths else skin.base_depth_mm


def _least(contrast: DecalContrast) -> float:
    worst = contrast.worst()
    return worst.ratio if worst is not None else float("inf")


def _layer(trial: _Trial, nth: int) -> DecalLayer:
    layer = trial.design.document.layers[trial.contrasts[nth].shape.layer]
    assert isinstance(layer, DecalLayer)
    return layer
