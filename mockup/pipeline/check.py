"""From a design file to everything that the checks say of it, and a sheet that shows where."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mockup.blank.flat import flat_from_wall, flat_outline, object_from_wall
from mockup.checks.cutting import check_cutting
from mockup.checks.finding import Finding
from mockup.checks.remedy import Remedy
from mockup.design.pack import write_pack
from mockup.files import make_folder
from mockup.outputs.check_facts import CheckFacts, CheckRow, CheckView, Mark
from mockup.outputs.check_sheet import draw_check
from mockup.outputs.flat_picture import draw_flat
from mockup.outputs.pictures import write_picture
from mockup.outputs.pieces import pieces
from mockup.outputs.proof_facts import flat_colours
from mockup.pipeline.checking import (
    DecalJudgement,
    Judgement,
    Survey,
    Views,
    findings_of,
    judge,
    remedies,
    survey,
)
from mockup.pipeline.cup import Cup, Quiet, Shot, build_cup, opened, part, picture_request
from mockup.pipeline.looking import usual_lights
from mockup.progress import Progress
from mockup.render.process import RenderProcess
from mockup.render.sight import picture_from_stage

__all__ = ["check"]

Floats = NDArray[np.float64]

GRAVEST_FIRST = ("stop", "warn", "note")
FLAT_PX_PER_MM = 4.5
VIEW = Shot(480, 768, samples=9)
MOST_VIEWS = 2
_SHOWN_DEG = 62.0  # to either side of the turn that faces the eye
_CANDIDATES_DEG = (0.0, *(sign * step for step in range(5, 180, 5) for sign in (1.0, -1.0)), 180.0)
_CROP = 0.62  # of a view's width that the cup takes up, with some air


def check(
    path: Path,
    *,
    palette: str | None = None,
    light: str | None = None,
    quick: bool = False,
    sheet: Path | None = None,
    offers: Path | None = None,
    progress: Progress = Quiet,
) -> CheckFacts:
    """Read a design and check it: contrast, legibility, making; and what would mend it.

    Parameters
    ----------
    quick
        Leave out the look round the turn, which takes pictures.
    sheet
        A .png to draw the weakest places on the flat and on the cup in, with all figures.
    offers
        A folder to write every change that would pass into, each as a pack.
    """
    design = opened(path, palette, light)
    name = light or design.document.light
    with RenderProcess() as renderer:
        if not quick or sheet is not None:
            renderer.start()  # it warms up while the skin is compiled
        cup = build_cup(design, progress=part(progress, 0.0, 0.15))
        surveyed = survey(cup)
        judged = judge(
            cup,
            None if quick else renderer,
            surveyed=surveyed,
            views=Views(lights=usual_lights(name)),
            progress=part(progress, 0.15, 0.75),
        )
        progress(0.75, "looking for changes that would pass")
        cures = _cures(cup, judged, surveyed)
        facts = _facts(cup, judged, cures)
        if sheet is not None:
            progress(0.85, "drawing the sheet")
            facts = _shown(cup, facts, renderer, name)
            write_picture(draw_check(facts), sheet)
    if offers is not None:
        make_folder(offers)
        for remedy in facts.remedies:
            option = remedy.design
            write_pack(option, offers / f"{option.document.palette}.tumbler")
    progress(1.0, "done")
    return facts


def _cures(cup: Cup, judged: Judgement, surveyed: Survey) -> dict[int, list[Remedy]]:
    """Remedies of every decal that fails, by its place among the decals."""
    failing = {
        nth
        for nth, decal in enumerate(judged.decals)
        if any(found.rule == "low contrast" for found in findings_of(cup, decal))
    }
    return {nth: remedies(cup, judged, surveyed, nth) for nth in sorted(failing)}


def _facts(cup: Cup, judged: Judgement, cures: dict[int, list[Remedy]]) -> CheckFacts:
    design, wall = cup.design, cup.blank.wall
    found: list[Finding] = []
    for nth, decal in enumerate(judged.decals):
        first = next(iter(cures.get(nth, [])), None)
        found += findings_of(cup, decal, first.words if first is not None else None)
    found += check_cutting(design, wall, pieces(design, cup.blank))
    found.sort(key=lambda finding: GRAVEST_FIRST.index(finding.severity))
    return CheckFacts(
        title=design.document.title,
        where=design.where,
        palette=design.palette.name,
        fingerprint=design.fingerprint,
        rows=tuple(_row(cup, nth, decal) for nth, decal in enumerate(judged.decals, start=1)),
        findings=tuple(found),
        remedies=tuple(remedy for some in cures.values() for remedy in some),
    )


def _row(cup: Cup, number: int, decal: DecalJudgement) -> CheckRow:
    contrast, wall = decal.contrast, cup.blank.wall
    place, stations = contrast.worst(("normal",)), contrast.stations
    corner = flat_outline(wall).min(axis=0)
    turn = np.mod(stations.turn_rad + np.pi, 2 * np.pi) - np.pi
    on_flat = flat_from_wall(wall, turn, stations.height_mm) - corner
    missed, weakest = np.zeros((0, 2)), None
    if place is not None:
        ratio = np.nan_to_num(contrast.ratio[place.key], nan=np.inf)
        missed = on_flat[ratio < contrast.limit]
        x, up = on_flat[place.station]
        weakest = float(x), float(up)
    swatch = cup.design.swatch(contrast.shape.role, where="palette")
    return CheckRow(
        number=number,
        name=contrast.shape.name,
        material=swatch.label or contrast.shape.role,
        contrast=contrast,
        legibility=decal.legibility,
        place=place,
        flat_mm=weakest,
        missed_mm=missed,
    )


def _shown(cup: Cup, facts: CheckFacts, renderer: RenderProcess, light: str) -> CheckFacts:
    """The same facts with pictures of the flat and of the cup."""
    flat = draw_flat(
        cup.model.skin,
        cup.blank.wall,
        flat_colours(cup.design, cup.optics()),
        px_per_mm=FLAT_PX_PER_MM,
    )
    views = tuple(_views(cup, facts.rows, renderer, light))
    return replace(facts, flat=flat, views=views)


def _views(
    cup: Cup, rows: Sequence[CheckRow], renderer: RenderProcess, light: str
) -> Iterator[CheckView]:
    for turn in _turns(rows):
        shot = replace(VIEW, turn_deg=turn)
        request = picture_request(cup, shot, light)
        picture = renderer.draw(cup.model, request).rgba8_srgb[..., :3]
        marks = []
        aspect = shot.width_px / shot.height_px
        for row in rows:
            if row.place is None or abs(_beside(row, turn)) > _SHOWN_DEG:
                continue
            beside = np.radians(_beside(row, turn))
            point = object_from_wall(cup.blank, beside, row.place.height_mm)
            x, y = picture_from_stage(request.camera, aspect, point)
            marks.append(Mark(row.number, float(x), float(y), row.trouble))
        yield _cropped(CheckView(turn, picture, tuple(marks)))


def _turns(rows: Sequence[CheckRow]) -> list[float]:
    """Turns that show most of the weakest places, those in trouble above all; at least one.

    A place counts the more, the straighter it is looked at.
    """
    left = [row for row in rows if row.place is not None]
    turns: list[float] = []
    while left and len(turns) < MOST_VIEWS:
        turns.append(max(_CANDIDATES_DEG, key=lambda turn: _worth(left, turn)))
        left = [row for row in left if abs(_beside(row, turns[-1])) > _SHOWN_DEG]
    return turns or [0.0]


def _worth(rows: Sequence[CheckRow], turn_deg: float) -> float:
    seen = (row for row in rows if abs(_beside(row, turn_deg)) <= _SHOWN_DEG)
    return sum(
        (3.0 if row.trouble else 1.0) * float(np.cos(np.radians(_beside(row, turn_deg))))
        for row in seen
    )


def _turn_deg(row: CheckRow) -> float:
    assert row.place is not None
    return float(np.degrees(np.mod(row.place.turn_rad + np.pi, 2 * np.pi) - np.pi))


def _beside(row: CheckRow, turn_deg: float) -> float:
    return (_turn_deg(row) - turn_deg + 180.0) % 360.0 - 180.0


def _cropped(view: CheckView) -> CheckView:
    """Without the empty sides."""
    wide = view.rgb8_srgb.shape[1]
    cut = round(wide * (1 - _CROP) / 2)
    marks = tuple(mark._replace(x=(mark.x * wide - cut) / (wide - 2 * cut)) for mark in view.marks)
    return replace(view, rgb8_srgb=view.rgb8_srgb[:, cut : wide - cut], marks=marks)
