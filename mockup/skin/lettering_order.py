"""Lines that mix directions: which runs of letters stand where, from left to right.

The Unicode Bidirectional Algorithm (UAX 9) for one line without explicit embeddings: rules P2,
P3, W1, W2, W4 to W7, N1, N2, I1, I2 and L2. Letters within a run stay in logical order; the
shaper turns and mirrors those of right-to-left runs.
"""

import unicodedata
from itertools import groupby

__all__ = ["runs"]

_STRONG = ("L", "R", "AL")


def runs(text: str) -> list[tuple[str, bool]]:
    """Runs of one direction in visual order: (text in logical order, right to left?)."""
    levels = _levels(text)
    whole = [
        (level, "".join(text[i] for i in places))
        for level, places in (
            (level, list(group)) for level, group in groupby(range(len(text)), levels.__getitem__)
        )
    ]
    lowest_odd = min((level for level, _ in whole if level % 2), default=1)
    for least in range(max(levels, default=0), lowest_odd - 1, -1):
        whole = _turned(whole, least)
    return [(part, bool(level % 2)) for level, part in whole]


def _turned(whole: list[tuple[int, str]], least: int) -> list[tuple[int, str]]:
    """Rule L2: every stretch at level `least` or higher is reversed."""
    turned: list[tuple[int, str]] = []
    for high, group in groupby(whole, lambda part: part[0] >= least):
        stretch = list(group)
        turned += stretch[::-1] if high else stretch
    return turned


def _levels(text: str) -> list[int]:
    kinds = [unicodedata.bidirectional(c) or "L" for c in text]
    first = next((k for k in kinds if k in _STRONG), "L")  # P2, P3
    base = 0 if first == "L" else 1
    sides = _neutrals_resolved(_numbers_resolved(kinds, base), base)
    if base == 0:  # I1
        return [{"L": 0, "R": 1}.get(side, 2) for side in sides]
    return [1 if side == "R" else 2 for side in sides]  # I2


def _numbers_resolved(kinds: list[str], base: int) -> list[str]:
    """Rules W1 to W7: marks, numbers and what belongs to numbers."""
    side = "R" if base else "L"
    out = list(kinds)
    strong = side
    for i, kind in enumerate(out):
        if kind == "NSM":  # W1
            out[i] = kind = out[i - 1] if i else side
        if kind in _STRONG:
            strong = kind
        elif kind == "EN" and strong == "AL":  # W2
            out[i] = "AN"
    out = ["R" if kind == "AL" else kind for kind in out]  # W3
    for i in range(1, len(out) - 1):  # W4
        before, after = out[i - 1], out[i + 1]
        if before == after and (
            (out[i] in ("ES", "CS") and before == "EN") or (out[i] == "CS" and before == "AN")
        ):
            out[i] = before
    for kind, group in groupby(list(range(len(out))), lambda i: out[i]):  # W5
        places = list(group)
        beside = {out[i] for i in (places[0] - 1, places[-1] + 1) if 0 <= i < len(out)}
        if kind == "ET" and "EN" in beside:
            for i in places:
                out[i] = "EN"
    strong = side
    for i, kind in enumerate(out):  # W7
        if kind in ("L", "R"):
            strong = kind
        elif kind == "EN" and strong == "L":
            out[i] = "L"
    return out


def _neutrals_resolved(kinds: list[str], base: int) -> list[str]:
    """Rules N1 and N2: what stands between two of one side joins it, else the line's side."""
    side = "R" if base else "L"
    out = list(kinds)
    strong = {"L": "L", "R": "R", "EN": "R", "AN": "R"}
    for neutral, group in groupby(range(len(kinds)), lambda i: kinds[i] not in strong):
        places = list(group)
        if not neutral:
            continue
        before = strong[kinds[places[0] - 1]] if places[0] else side
        after = strong[kinds[places[-1] + 1]] if places[-1] + 1 < len(kinds) else side
        for i in places:
            out[i] = before if before == after else side
    return out
