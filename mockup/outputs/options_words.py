"""An option's figures in the words of the options sheet."""

from collections.abc import Mapping, Sequence

from mockup.checks.contrast import DecalContrast, limit_of
from mockup.checks.finding import Finding, Severity
from mockup.checks.legibility import DecalLegibility
from mockup.checks.reading import FADES, READS
from mockup.checks.words import lamp_words, ratio_words
from mockup.colorimetry.vision import Vision
from mockup.design.shelf import Rates
from mockup.material.metamers import Pair
from mockup.outputs.options_facts import Cell
from mockup.outputs.plan.money import shown
from mockup.outputs.plan.price import Price

__all__ = [
    "contrast_cell",
    "cost_cell",
    "findings_cell",
    "legibility_cell",
    "matching_cell",
]

_EYES: tuple[Vision, ...] = ("protan", "deutan", "tritan")
_GRAVITY: tuple[Severity, ...] = ("stop", "warn", "note")
_VERDICTS: Mapping[Severity, str] = {
    "stop": "to mend", "warn": "to look at", "note": "to know",
}  # fmt: skip
_NOTHING = Cell("none", detail="There is no lettering or drawing to be read")


def contrast_cell(contrasts: Sequence[DecalContrast]) -> Cell:
    """The decal that stands out least, measured by what is asked of it, at its weakest place."""
    places = [(c, place) for c in contrasts if (place := c.worst(("normal",))) is not None]
    if not places:
        return _NOTHING
    weakest, place = min(places, key=lambda pair: pair[1].ratio / pair[0].limit)
    missed = weakest.share_below(place.key)
    verdict = "enough" if missed == 0 else "too little" if missed > 0.5 else "too little in places"
    name, asked = _begun(weakest.shape.name), f"{weakest.limit:g}\u00a0:\u00a01"
    detail = (
        f"{name}, where it is weakest, by {lamp_words(place.key.illuminant)}; {asked} is asked for"
    )
    for_eyes = min(
        (
            (seen.ratio, vision)
            for c in contrasts
            for vision in _EYES
            if (seen := c.worst((vision,))) is not None and seen.ratio < c.limit
        ),
        default=None,
    )
    if for_eyes is not None and missed == 0:
        ratio, vision = for_eyes
        detail += f"; only {ratio_words(ratio)} for {vision} eyes"
    return Cell(ratio_words(place.ratio), verdict, missed > 0, detail)


def legibility_cell(read: Sequence[DecalLegibility]) -> Cell:
    """The words that reach what is asked of them from the smallest share of the views."""
    shown_at_all = [decal for decal in read if decal.of().size]
    words = [decal for decal in shown_at_all if decal.shape.text] or shown_at_all
    seen = [(decal.share_above(limit_of(decal.shape)), decal) for decal in words]
    if not seen:
        return _NOTHING
    share, decal = min(seen, key=lambda pair: (pair[0], pair[1].worst()))
    verdict = "reads" if share >= READS else "fades" if share >= FADES else "hard to read"
    count, asked = int(decal.of().size), limit_of(decal.shape)
    detail = (
        f"show the {decal.shape.name} at {asked:g}\u00a0:\u00a01 or more; "
        f"{ratio_words(decal.worst())} at the worst"
    )
    figure = f"{round(share * count)} of {count} {'view' if count == 1 else 'views'}"
    return Cell(figure, verdict, share < READS, detail)


def matching_cell(pair: Pair | None, labels: Mapping[str, str]) -> Cell:
    """The two materials that come nearest in some light; `labels` names each role."""
    if pair is None:
        return Cell("one", detail="There is only one colour")
    least, most = (lamp_words(light) for light in (pair.least_under, pair.most_under))
    figure = f"ΔE\u00a0{pair.least:.1f} to {pair.most:.1f}"
    detail = f"{_begun(labels[pair.role_a])} and {labels[pair.role_b]}"
    if pair.metamers:
        return Cell(figure, "part", True, f"{detail}: alike by {least}, not by {most}")
    return Cell(
        figure, "hold", False, f"{detail}, the nearest two: least by {least}, most by {most}"
    )


def cost_cell(price: Price, rates: Rates) -> Cell:
    """Materials and their waste, of one cup."""
    each = (price.materials_minor + price.waste.minor) // price.cups
    figure = shown(each, currency=rates.currency, minor_digits=rates.minor_digits)
    return Cell(figure, detail="of materials for one cup, with what is lost")


def findings_cell(findings: Sequence[tuple[str, Finding]]) -> Cell:
    """How many, and what they are about, the gravest first; each comes with its decal's name."""
    if not findings:
        return Cell("none")
    gravest = sorted(findings, key=lambda entry: _GRAVITY.index(entry[1].severity))
    grave = gravest[0][1].severity
    named: dict[str, list[str]] = {}
    for name, finding in gravest:
        named.setdefault(finding.rule, []).append(name)
    told = ". ".join(f"{_begun(rule)}: {', '.join(names)}" for rule, names in named.items())
    return Cell(str(len(findings)), _VERDICTS[grave], grave != "note", told)


def _begun(text: str) -> str:
    return text[:1].upper() + text[1:]
