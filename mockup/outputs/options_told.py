"""Options' figures on the screen and as plain JSON."""

import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from mockup.checks.contrast import DecalContrast, limit_of
from mockup.checks.finding import Finding
from mockup.checks.legibility import DecalLegibility
from mockup.colorimetry.vision import VISIONS
from mockup.design.shelf import Rates
from mockup.material.metamers import Pair
from mockup.outputs.options_facts import OptionsFacts
from mockup.outputs.plan.price import Price

__all__ = ["figures_as_json", "options_in_words"]


def options_in_words(facts: OptionsFacts) -> str:
    """A line for each option, a column for each row of the sheet; a star marks the one in use."""
    table = [["", *(label.lower() for label in facts.rows)]]
    for nth, column in enumerate(facts.columns, start=1):
        mark = "*" if column.in_use else " "
        cells = (f"{cell.figure}  {cell.verdict}".rstrip() for cell in column.cells)
        table.append([f"{nth:2d}{mark} {column.name}", *cells])
    widths = [max(len(row[i]) for row in table) for i in range(len(table[0]))]
    lines = ("  ".join(t.ljust(w) for t, w in zip(row, widths, strict=True)) for row in table)
    return "\n".join(line.rstrip() for line in lines)


def figures_as_json(
    contrasts: Sequence[DecalContrast],
    legibility: Sequence[DecalLegibility],
    pair: Pair | None,
    price: Price | None,
    findings: Sequence[Finding],
    *,
    rates: Rates,
) -> dict[str, Any]:
    """Plain values of one option. Ratios are WCAG 2.2's; differences say what they are."""
    return {
        "contrast": [_contrast(contrast) for contrast in contrasts],
        "legibility": [_legibility(read) for read in legibility],
        "metamerism": None if pair is None else {**pair._asdict(), "metamers": pair.metamers},
        "materials": None
        if price is None
        else {
            "materials_minor": price.materials_minor,
            "waste_minor": price.waste.minor,
            "currency": rates.currency,
            "minor_digits": rates.minor_digits,
        },
        "findings": [asdict(finding) for finding in findings],
    }


def _contrast(contrast: DecalContrast) -> dict[str, Any]:
    weakest = {}
    for vision in VISIONS:
        place = contrast.worst((vision,))
        if place is not None:
            weakest[vision] = {
                "ratio": round(place.ratio, 4),
                "delta_e_2000": round(place.delta_e_2000, 3),
                "delta_e_cam16_ucs": round(place.delta_e_cam16_ucs, 3),
                "illuminant": place.key.illuminant,
                "turn_deg": round(math.degrees(place.turn_rad), 3),
                "height_mm": round(place.height_mm, 3),
                "share_below": round(contrast.share_below(place.key), 4),
            }
    return {
        "decal": contrast.shape.name,
        "layer_index": contrast.shape.layer,
        "limit": contrast.limit,
        "weakest": weakest,
    }


def _legibility(read: DecalLegibility) -> dict[str, Any]:
    limit, seen = limit_of(read.shape), read.of()
    return {
        "decal": read.shape.name,
        "layer_index": read.shape.layer,
        "limit": limit,
        "lights": list(read.lights),
        "elevations_deg": list(read.elevations_deg),
        "views": int(seen.size),
        "share_above_limit": round(read.share_above(limit), 4),
        "worst": round(read.worst(), 4) if seen.size else None,
        "median": round(read.median(), 4) if seen.size else None,
        "stroke_arcmin": round(read.stroke_arcmin, 3),
    }
