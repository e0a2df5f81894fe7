"""An option's figures in the words of the options sheet."""

from collections.abc import Mapping, Sequence

from mockup.checks.contrast import DecalContrast, limit_of
from mockup.checks.finding import Finding
from mockup.checks.legibility import DecalLegibility
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

READS, FADES = 0.9, 0.5  # share of the views that reach the contrast asked for; our choice
_MOST_ADVICE = 2
_EYES: tuple[Vision, ...] = ("protan", "deutan", "tritan")
_LAMPS: Mapping[str, str] = {
    "D65": "daylight",
    "D50": "noon sun",
    "A": "a filament lamp",
    "LED-B1": "a warm LED",
    "LED-B3": "a neutral LED",
    "FL2": "an office tube",
    "FL11": "a shop tube",
}
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
    lamp = _LAMPS.get(place.key.illuminant, place.key.illuminant)
    detail = f"{name}, where it is weakest, by {lamp}; {asked} is asked for"
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
        detail += f"; only {_ratio(ratio)} for {vision} eyes"
    return Cell(_ratio(place.ratio), verdict, missed > 0, detail)


def legibility_cell(read: Sequence[DecalLegibility]) -> Cell:
    """The words that reach what is asked of them from the smallest share of the views."""
    shown_at_all = [decal for decal in read if decal.of().size]
    words = [decal for decal in shown_at_all if decal.shape.text] or shown_at_all
    seen = [(decal.share_above(limit_of(decal.shape)), decal) for decal in words]
    if not seen:
        return _NOTHING
    share, decal = min(seen, key=lambda pair: (pair[0], pair[1].worst()))
    verdict = "reads" if share >= READS else "fades" if share >= FADES else "hard to read"
    asked = limit_of(decal.shape)
    detail = (
        f"of the sides that show the {decal.shape.name} give it {asked:g}\u00a0:\u00a01; "
        f"{_ratio(decal.worst())} at the worst"
    )
    return Cell(f"{100 * share:.0f}\u00a0%", verdict, share < READS, detail)


def matching_cell(pair: Pair | None, labels: Mapping[str, str]) -> Cell:
    """The two materials that come nearest in some light; `labels` names each role."""
    if pair is None:
        return Cell("one", detail="There is only one colour")
    least, most = (_LAMPS.get(light, light) for light in (pair.least_under, pair.most_under))
    figure = f"ΔE\u00a0{pair.least:.1f} to {pair.most:.1f}"
    detail = f"{_begun(labels[pair.role_a])} and {labels[pair.role_b]}"
    if pair.metamers:
        return Cell(figure, "part", True, f"{detail}: alike by {least}, not by {most}")
    return Cell(figure, "hold", False, f"{detail}, which come nearest: by {least}, by {most}")


def cost_cell(price: Price, rates: Rates) -> Cell:
    """Materials and their waste, of one cup."""
    each = (price.materials_minor + price.waste.minor) // price.cups
    figure = shown(each, currency=rates.currency, minor_digits=rates.minor_digits)
    return Cell(figure, detail="of materials for one cup, with what is lost")


def findings_cell(findings: Sequence[Finding]) -> Cell:
    """How many there are, and the gravest in words."""
    if not findings:
        return Cell("none")
    gravest = sorted(findings, key=lambda finding: ("stop", "warn", "note").index(finding.severity))
    grave = gravest[0].severity
    verdict = {"stop": "to mend", "warn": "to look at", "note": "to know"}[grave]
    more = len(gravest) - _MOST_ADVICE
    advice = [finding.advice for finding in gravest[:_MOST_ADVICE]]
    advice += [f"And {more} more."] if more > 0 else []
    return Cell(str(len(findings)), verdict, grave != "note", " ".join(advice))


def _ratio(ratio: float) -> str:
    """Rounded down, so that what is told is reached."""
    return f"{int(10 * ratio + 1e-9) / 10:.1f}\u00a0:\u00a01"


def _begun(text: str) -> str:
    return text[:1].upper() + text[1:]
