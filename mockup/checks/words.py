"""Figures of contrast and legibility in words, for findings and wherever else they are told."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

import numpy as np

from mockup.checks.contrast import DecalContrast, Place, layer_roles
from mockup.checks.legibility import DecalLegibility
from mockup.colorimetry.vision import Vision
from mockup.skin.skin import Skin

__all__ = [
    "EYES",
    "LAMPS",
    "behind_words",
    "lamp_words",
    "legibility_words",
    "light_words",
    "place_words",
    "ratio_words",
]

LAMPS: Mapping[str, str] = {
    "D65": "daylight",
    "D50": "noon sun",
    "A": "a filament lamp",
    "LED-B1": "a warm LED",
    "LED-B3": "a neutral LED",
    "FL2": "an office tube",
    "FL11": "a shop tube",
}
EYES: Mapping[Vision, str] = {
    "normal": "eyes that see all colours",
    "protan": "eyes without red cones (protan)",
    "deutan": "eyes without green cones (deutan)",
    "tritan": "eyes without blue cones (tritan)",
}
_LIGHTS: Mapping[str, str] = {
    "evening": "among evening lamps",
    "kitchen": "under kitchen lamps",
    "market": "outdoors at noon",
    "softbox": "in the softbox",
    "window": "by the window",
}
_MOST_SPANS = 2
_LEAST_SHARE = 0.1  # of a material that is worth naming


def lamp_words(illuminant: str) -> str:
    """What throws this light: "a warm LED"; its CIE name where we have no word."""
    return LAMPS.get(illuminant, illuminant)


def light_words(light: str) -> str:
    """Where a light is: "by the window"."""
    return _LIGHTS.get(light, f"in the light of {light.rsplit('/', 1)[-1].rsplit('.', 1)[0]}")


def ratio_words(ratio: float) -> str:
    """Rounded down to a tenth, so that what is told is reached: "2.9 : 1"."""
    return f"{int(10 * ratio + 1e-9) / 10:.1f}\u00a0:\u00a01"


def place_words(place: Place) -> str:
    """A place of the wall as the maker finds it: "93 mm up, 12° right of the front"."""
    turn = round(float(np.degrees(np.mod(place.turn_rad + np.pi, 2 * np.pi) - np.pi)))
    if turn == 0:
        side = "at the front"
    elif abs(turn) >= 179:
        side = "at the back"
    else:
        side = f"{abs(turn)}° {'right' if turn > 0 else 'left'} of the front"
    return f"{place.height_mm:.0f}\u00a0mm up, {side}"


def behind_words(
    contrast: DecalContrast, station: int, skin: Skin, labels: Mapping[str, str]
) -> str:
    """What lies round the decal at a station: "62 % pale gold flake, 38 % navy paint"."""
    side = contrast.stations.around
    shares: dict[str, float] = {}
    for share, roles in zip(side.layers[station], layer_roles(skin), strict=True):
        for role, part in roles:
            shares[role] = shares.get(role, 0.0) + float(share) * part
    print_ = float(side.art_weight[side.art_station == station].sum())
    base = skin.base_role or "steel"
    if print_ > 0:
        shares[base] = max(shares.get(base, 0.0) - print_, 0.0)
        shares["print"] = print_
    told = sorted(shares.items(), key=lambda item: -item[1])
    named = [
        f"{100 * share:.0f}\u00a0% {labels.get(role, role)}"
        for role, share in told
        if share >= _LEAST_SHARE
    ]
    return ", ".join(named)


def legibility_words(read: DecalLegibility, limit: float) -> str:
    """Where it reads and where it fades, light by light, in one sentence without its subject.

    "reads from every side in the softbox; fades out by the window between 20° and 50°". A view
    counts as read where the decal stands out by `limit`; angles are turns of the cup.
    """
    reads, never, fades = [], [], []
    for light in read.lights:
        seen, where = read.of(light), light_words(light)
        if not seen.size:
            continue
        if seen.min() >= limit:
            reads.append(where)
        elif seen.max() < limit:
            never.append(where)
        else:
            fades.append(f"{where} {_faded(read, light, limit)}")
    sides = "every side" if _all_round(read) else "every side that shows it"
    told = []
    if reads:
        told.append(f"reads from {sides} {_joined(reads)}")
    if fades:
        told.append(f"fades out {', '.join(fades)}")
    if never:
        best = ratio_words(
            max(read.of(light).max() for light in read.lights if read.of(light).size)
        )
        reached = "" if reads or fades else f", {best} at best"
        told.append(f"reads from no side {_joined(never)}{reached}")
    return "; ".join(told) or "is never in view"


def _joined(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _faded(read: DecalLegibility, light: str, limit: float) -> str:
    spans = list(_faded_spans(read, light, limit))
    if spans and len(spans) <= _MOST_SPANS:
        return " and ".join(spans)
    return f"in {100 * float(np.mean(read.of(light) < limit)):.0f}\u00a0% of the views"


def _all_round(read: DecalLegibility) -> bool:
    return bool(np.isfinite(read.contrast).all())


def _faded_spans(read: DecalLegibility, light: str, limit: float) -> Iterator[str]:
    """Runs of turns in view where it misses the limit, widened by half a step at both ends."""
    turns = np.array(read.turns_deg)
    ratio = read.round_the_turn(light)
    step = 360.0 / len(turns)
    order = _from_a_gap(ratio, limit)
    runs = []
    for faded, run in groupby(order, key=lambda i: bool(ratio[i] < limit)):
        places = list(run)
        if faded:
            runs.append((_signed(float(turns[places[0]])), len(places)))
    for first, count in sorted(runs):
        if count == 1:
            yield f"at about {_degrees(first)}"
        else:
            low, high = first - step / 2, first + step * (count - 0.5)
            yield f"between {_degrees(low)} and {_degrees(high)}"


def _signed(turn_deg: float) -> float:
    """Within (−180°, 180°]."""
    return 180.0 - (180.0 - turn_deg) % 360.0


def _degrees(turn_deg: float) -> str:
    return f"{turn_deg:.0f}°".replace("-", "\u2212")


def _from_a_gap(ratio: np.ndarray, limit: float) -> list[int]:
    """Turns in order, begun where it does not fade, so that a run across 0° stays whole."""
    count = len(ratio)
    start = next((i for i in range(count) if not ratio[i] < limit), 0)
    return [(start + i) % count for i in range(count)]
