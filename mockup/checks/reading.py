"""Findings about decals: whether they stand out, for whom, from where, and are broad enough.

| rule | limit | source |
|---|---|---|
| low contrast | 4.5, or 3 for large lettering and drawings | WCAG 2.2, 1.4.3 and 1.4.11 |
| weak colour vision | the same, as dichromats see it | the same; Machado et al. (2009) |
| fades out | the same, in nine of ten views | ISO 9241-303 for 3; the share is our choice |
| fine stroke | 2′ at 1 m | ISO 8596: what sight of decimal 0.5, half the normal, tells apart |
| covered | 10 % | our choice |
"""

from collections.abc import Iterator, Mapping

import numpy as np

from mockup.checks.contrast import DecalContrast
from mockup.checks.finding import Finding
from mockup.checks.legibility import DecalLegibility
from mockup.checks.words import (
    EYES,
    behind_words,
    lamp_words,
    legibility_words,
    place_words,
    ratio_words,
)
from mockup.design.document import Design
from mockup.skin.skin import Skin

__all__ = ["FADES", "READS", "check_contrast", "check_legibility"]

READS, FADES = 0.9, 0.5  # share of the views that reach the limit: from there on it reads, it fades
PATCH = 0.1  # share of the edge from which on low contrast is likely to be remarked on
COVERED = 0.1
FINE_STROKE_ARCMIN = 2.0


def check_contrast(
    design: Design, contrast: DecalContrast, skin: Skin, cure: str | None = None
) -> list[Finding]:
    """What contrast in even light has to say of one decal.

    Parameters
    ----------
    cure
        An imperative without its full stop: what would pass; None tells in general.
    """
    where = f"{design.where}: layers[{contrast.shape.layer}]"
    found = [*_covered(contrast, where)]
    plain, any_eye = contrast.worst(("normal",)), contrast.worst()
    if plain is None or any_eye is None:
        return found
    labels = _labels(design)
    cure = cure or _cure(design, contrast)
    called = f"{contrast.shape.name!r} in {labels.get(contrast.shape.role, contrast.shape.role)}"
    asked = f"{_kind(contrast)} needs {ratio_words(contrast.limit)} (WCAG\u00a02.2)"
    if plain.ratio < contrast.limit:
        missed = contrast.share_below(plain.key)
        behind = behind_words(contrast, plain.station, skin, labels)
        all_along = "all along" if missed > 0.995 else f"on {100 * missed:.0f}\u00a0% of"
        found.append(
            Finding(
                severity="warn" if missed >= PATCH else "note",
                rule="low contrast",
                where=where,
                measured=plain.ratio,
                limit=contrast.limit,
                unit=":1",
                advice=f"{called} stands out only {ratio_words(plain.ratio)} from what lies behind "
                f"it ({behind}), least {place_words(plain)}, by {lamp_words(plain.key.illuminant)};"
                f" {asked}, which it misses {all_along} its edge. {cure}.",
            )
        )
    elif any_eye.ratio < contrast.limit:
        found.append(
            Finding(
                severity="note",
                rule="weak colour vision",
                where=where,
                measured=any_eye.ratio,
                limit=contrast.limit,
                unit=":1",
                advice=f"{called} stands out {ratio_words(any_eye.ratio)} for "
                f"{EYES[any_eye.key.vision]}, least {place_words(any_eye)}, by "
                f"{lamp_words(any_eye.key.illuminant)}; {asked}. {cure}.",
            )
        )
    return found


def check_legibility(
    design: Design, contrast: DecalContrast, read: DecalLegibility
) -> list[Finding]:
    """What the look round the turn has to say of one decal."""
    where = f"{design.where}: layers[{contrast.shape.layer}]"
    found = [*_fine_stroke(read, where)] if contrast.shape.text else []
    shares = {light: read.share_above(contrast.limit, light) for light in read.lights}
    seen = {light: share for light, share in shares.items() if read.of(light).size}
    least = min(seen, key=lambda light: seen[light], default=None)
    if least is None or seen[least] >= READS:
        return found
    words = legibility_words(read, contrast.limit)
    found.append(
        Finding(
            severity="warn" if float(np.mean(list(seen.values()))) < FADES else "note",
            rule="fades out",
            where=where,
            measured=100 * seen[least],
            limit=100 * READS,
            unit="% of views",
            advice=f"{contrast.shape.name!r} {words}. See it there before you promise it; "
            f"{_evener(design, contrast)} reads more evenly.",
        )
    )
    return found


def _covered(contrast: DecalContrast, where: str) -> Iterator[Finding]:
    if contrast.covered >= COVERED:
        yield Finding(
            severity="warn",
            rule="covered",
            where=where,
            measured=100 * contrast.covered,
            limit=100 * COVERED,
            unit="%",
            advice=f"What is laid over {contrast.shape.name!r} hides "
            f"{100 * contrast.covered:.0f}\u00a0% of it. Lay it further out in the stack.",
        )


def _fine_stroke(read: DecalLegibility, where: str) -> Iterator[Finding]:
    if read.stroke_arcmin < FINE_STROKE_ARCMIN:
        yield Finding(
            severity="note",
            rule="fine stroke",
            where=where,
            measured=read.stroke_arcmin,
            limit=FINE_STROKE_ARCMIN,
            unit="arcmin at 1 m",
            advice=f"The strokes of {read.shape.name!r} are {read.shape.stroke_mm:.1f}\u00a0mm "
            f"wide, {read.stroke_arcmin:.1f}′ from 1\u00a0m away; many need "
            f"{FINE_STROKE_ARCMIN:g}′ to tell them apart. Set it larger or bolder.",
        )


def _cure(design: Design, contrast: DecalContrast) -> str:
    """What may mend low contrast, as an imperative without its full stop."""
    if _is_backed(design, contrast):
        return "Choose another swatch for it or for its backing, or lay a broader backing"
    return "Lay a backing under it, or choose another swatch for it or for what lies behind"


def _evener(design: Design, contrast: DecalContrast) -> str:
    """What would read more evenly round the turn than the decal as it is."""
    metal = design.swatch(contrast.shape.role, where="palette").metallic
    if _is_backed(design, contrast):
        return "matt vinyl" if metal else "another colour for it or for its backing"
    return "a dark backing or matt vinyl" if metal else "a plain backing"


def _is_backed(design: Design, contrast: DecalContrast) -> bool:
    layer = design.document.layers[contrast.shape.layer]
    return layer.kind == "decal" and bool(layer.backing)


def _kind(contrast: DecalContrast) -> str:
    if not contrast.shape.text:
        return "a drawing"
    return "lettering of its size"


def _labels(design: Design) -> Mapping[str, str]:
    """What each role of the palette is called."""
    labels = {role: swatch.label or role for role, swatch in design.palette.roles.items()}
    return {**labels, "steel": "bare steel", "print": "print"}
