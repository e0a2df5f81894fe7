"""A check's figures on the screen and as plain JSON."""

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

import numpy as np

from mockup.checks.contrast import DecalContrast, Place
from mockup.checks.legibility import DecalLegibility
from mockup.checks.remedy import Remedy
from mockup.checks.words import legibility_words, light_words, place_words, ratio_words
from mockup.outputs.check_facts import CheckFacts, CheckRow

__all__ = ["check_as_json", "check_in_words", "row_words"]

SEVERITIES = {"stop": "Do not make it so", "warn": "To look at", "note": "To know"}


def check_in_words(facts: CheckFacts) -> str:
    """A line for each decal, then the findings, the gravest first, then what would pass."""
    lines = [f"{facts.title}, {facts.palette}"]
    lines += [f"{row.number:2d}  {row_words(row)}" for row in facts.rows]
    if not facts.findings:
        lines += ["", "Nothing to remark."]
    for severity, heading in SEVERITIES.items():
        told = [finding for finding in facts.findings if finding.severity == severity]
        if told:
            lines += ["", f"{heading}:"]
            lines += [f"  {finding}" for finding in told]
    if facts.remedies:
        lines += ["", "Options that would pass:"]
        lines += [f"  {remedy_words(remedy, facts)}" for remedy in facts.remedies]
    return "\n".join(lines)


def row_words(row: CheckRow) -> str:
    """As "crew name, copper foil: 5.6 : 1 of 3.0 : 1 asked for; reads from every side …"."""
    told = f"{row.name}, {row.material}: "
    if row.place is None:
        told += "nothing but its own material lies round it"
    else:
        told += f"{ratio_words(row.place.ratio)} of {ratio_words(row.contrast.limit)} asked for"
    if row.legibility is not None and row.legibility.of().size:
        told += f"; {legibility_words(row.legibility, row.contrast.limit)}"
    return told


def remedy_words(remedy: Remedy, facts: CheckFacts) -> str:
    """What it changes, for which decal, how far it moves the colour, and what it reaches."""
    name = next(row.name for row in facts.rows if row.contrast.shape.layer == remedy.layer)
    return (
        f"{name}: {remedy.words} (ΔE {remedy.delta_e_2000:.0f}, then {ratio_words(remedy.ratio)})"
    )


def check_as_json(facts: CheckFacts) -> dict[str, Any]:
    """Plain values: every figure of every decal, light and kind of vision."""
    return {
        "title": facts.title,
        "design": facts.where,
        "palette": facts.palette,
        "fingerprint": facts.fingerprint,
        "decals": [_row(row) for row in facts.rows],
        "findings": [asdict(finding) for finding in facts.findings],
        "remedies": [_remedy(remedy) for remedy in facts.remedies],
    }


def _row(row: CheckRow) -> dict[str, Any]:
    return {
        "number": row.number,
        "decal": row.name,
        "layer_index": row.contrast.shape.layer,
        "material": row.material,
        "limit": row.contrast.limit,
        "weakest": _place(row.place, row.flat_mm),
        "contrast": [*_under(row.contrast)],
        "along": _along(row.contrast, row.place),
        "stroke_mm": round(row.contrast.shape.stroke_mm, 3),
        "legibility": None if row.legibility is None else _legibility(row.legibility),
    }


def _place(place: Place | None, flat_mm: tuple[float, float] | None) -> dict[str, Any] | None:
    if place is None or flat_mm is None:
        return None
    return {
        "ratio": round(place.ratio, 4),
        "delta_e_2000": round(place.delta_e_2000, 3),
        "delta_e_cam16_ucs": round(place.delta_e_cam16_ucs, 3),
        "illuminant": place.key.illuminant,
        "vision": place.key.vision,
        "turn_deg": round(float(np.degrees(place.turn_rad)), 3),
        "height_mm": round(place.height_mm, 3),
        "flat_mm": [round(mm, 3) for mm in flat_mm],
        "words": place_words(place),
    }


def _under(contrast: DecalContrast) -> Iterator[dict[str, Any]]:
    """The weakest station under each light for each kind of vision."""
    for key, ratio in contrast.ratio.items():
        if np.isfinite(ratio).any():
            place = contrast.place(int(np.nanargmin(ratio)), key)
            yield {
                "illuminant": key.illuminant,
                "vision": key.vision,
                "ratio": round(place.ratio, 4),
                "median_ratio": round(float(np.nanmedian(ratio)), 4),
                "delta_e_2000": round(place.delta_e_2000, 3),
                "delta_e_cam16_ucs": round(place.delta_e_cam16_ucs, 3),
                "share_below": round(contrast.share_below(key), 4),
            }


def _along(contrast: DecalContrast, place: Place | None) -> list[dict[str, Any]]:
    """Station by station along the edge, in the light in which it stands out least."""
    if place is None:
        return []
    stations, ratio = contrast.stations, contrast.ratio[place.key]
    return [
        {
            "along_mm": round(float(along), 2),
            "part": int(part),
            "turn_deg": round(float(np.degrees(turn)), 2),
            "height_mm": round(float(height), 2),
            "ratio": None if np.isnan(value) else round(float(value), 3),
        }
        for along, part, turn, height, value in zip(
            stations.along_mm, stations.part, stations.turn_rad, stations.height_mm, ratio,
            strict=True,
        )
    ]  # fmt: skip


def _legibility(read: DecalLegibility) -> dict[str, Any]:
    return {
        "stroke_arcmin_at_1_m": round(read.stroke_arcmin, 3),
        "turns_deg": list(read.turns_deg),
        "elevations_deg": list(read.elevations_deg),
        "lights": [
            {
                "light": light,
                "words": light_words(light),
                "share_above_3": round(read.share_above(3.0, light), 4),
                "share_above_4_5": round(read.share_above(4.5, light), 4),
                "worst": _finite(read.worst(light)),
                "median": _finite(read.median(light)),
                "contrast": [
                    [_finite(value) for value in row] for row in read.contrast[nth].tolist()
                ],
            }
            for nth, light in enumerate(read.lights)
        ],
    }


def _finite(value: float) -> float | None:
    return round(value, 3) if np.isfinite(value) else None


def _remedy(remedy: Remedy) -> dict[str, Any]:
    return {
        "layer_index": remedy.layer,
        "kind": remedy.kind,
        "words": remedy.words,
        "delta_e_2000": round(remedy.delta_e_2000, 3),
        "ratio": round(remedy.ratio, 4),
        "palette": remedy.design.document.palette,
    }
