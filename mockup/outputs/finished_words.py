"""A sentence for each role, decal and fade of a finished cup, as one maker would tell another."""

import numpy as np

from mockup.outputs.finished_facts import DecalHeld, FinishedFacts, RoleHeld
from mockup.photo.compare import Fade

__all__ = ["decal_words", "fade_words", "finished_sentences", "role_words"]

# ΔE00: what nobody sees side by side, what an eye for it sees, what a customer remarks on
UNSEEN, SLIGHT, PLAIN = 2.0, 4.0, 8.0
_LEVEL_MM, _LEVEL_DEG = 0.5, 0.5
_SHARE, _FADE_MM = 0.06, 2.0
_LEAST_SHIFT = 1.5  # of L*, a* or b*, before a word is spent on it


def finished_sentences(facts: FinishedFacts) -> tuple[str, ...]:
    """One for each role, decal, and for the glitter's cover."""
    said = [role_words(role) for role in facts.roles]
    said += [decal_words(decal) for decal in facts.decals]
    if facts.fade is not None:
        said.append(fade_words(facts.fade))
    return tuple(said)


def role_words(held: RoleHeld) -> str:
    """How a material's colour came out."""
    name = _capital(held.label)
    if held.pair is None:
        return f"{name}: too little of it is seen in this photo to judge."
    delta_e, way = held.pair.delta_e, _way(held)
    told = f"(ΔE {delta_e:.1f})"
    if delta_e < UNSEEN or not way:
        return f"{name}: as promised {told}."
    much = "a touch" if delta_e < SLIGHT else "clearly" if delta_e < PLAIN else "much"
    return f"{name}: {much} {way} than promised {told}."


def _way(held: RoleHeld) -> str:
    """The two largest ways in which it differs: darker, bluer."""
    assert held.pair is not None
    before, after = held.pair.lab
    step = after - before
    words = [
        (abs(step[0]), "lighter" if step[0] > 0 else "darker"),
        (abs(step[1]), "redder" if step[1] > 0 else "greener"),
        (abs(step[2]), "yellower" if step[2] > 0 else "bluer"),
    ]
    chroma = [float(np.hypot(*lab[1:])) for lab in (before, after)]
    along = abs(chroma[1] - chroma[0]) > 0.8 * float(np.hypot(*step[1:]))
    if along and min(chroma) > 6:  # the same hue, stronger or weaker
        vivid = "more vivid" if chroma[1] > chroma[0] else "duller"
        words[1:] = [(abs(chroma[1] - chroma[0]), vivid)]
    chosen = sorted((w for w in words if w[0] >= _LEAST_SHIFT), reverse=True)[:2]
    return " and ".join(word for _, word in chosen)


def decal_words(held: DecalHeld) -> str:
    """Where a decal lies against its place."""
    name = f"“{held.name}”"
    if held.placed is None:
        return f"{name} is not seen well enough in this photo to say where it lies."
    up, tilt = held.placed.up_mm, held.placed.tilt_deg
    parts = []
    if abs(up) >= _LEVEL_MM:
        parts.append(f"{abs(up):.1f} mm {'higher' if up > 0 else 'lower'}")
    if held.sideways_mm is not None and abs(held.sideways_mm) >= _LEVEL_MM:
        side = "right" if held.sideways_mm > 0 else "left"
        parts.append(f"{abs(held.sideways_mm):.1f} mm further {side} among the rest")
    if abs(tilt) >= _LEVEL_DEG:
        way = "anticlockwise" if tilt > 0 else "clockwise"
        parts.append(f"tilted {abs(tilt):.1f}° {way}")
    alone = " (nothing else in view tells how far round it sits)"
    tail = alone if held.sideways_mm is None else ""
    if not parts:
        return f"{name} sits where it was promised, to half a millimetre{tail}."
    return f"{name} sits {', '.join(parts)} against the proof{tail}."


def fade_words(fade: Fade) -> str:
    """How the glitter covers."""
    most = int(fade.promised.argmax())
    covered, meant = (f"{100 * share[most]:.0f} %" for share in (fade.finished, fade.promised))
    dense = f"{covered} at its densest, promised {meant}"
    half = fade.half_mm()
    if half is None:
        alike = fade.rms < _SHARE
        return f"Glitter covers {'as promised' if alike else 'otherwise than promised'}: {dense}."
    shift = half[1] - half[0]
    if abs(shift) < _FADE_MM and fade.rms < _SHARE:
        return f"Glitter fades as promised: half its cover at {half[1]:.0f} mm; {dense}."
    way = "higher" if shift > 0 else "lower"
    where = f"half its cover at {half[1]:.0f} mm, {abs(shift):.0f} mm {way} than promised"
    if abs(shift) < _FADE_MM:
        where = f"half its cover at {half[1]:.0f} mm as promised"
    return f"Glitter: {where}; {dense}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
