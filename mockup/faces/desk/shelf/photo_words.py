"""How to take a photo that a material's look can be measured from, in words and as a drawing."""

import re
from urllib.parse import quote

__all__ = ["CAUTION", "FIGURES", "LIGHTS", "asks_for", "drawing", "how_to", "limit_words"]

LIGHTS = {
    "": "not sure",
    "D65": "daylight, lamps out (D65)",
    "LED-B1": "warm white LED (LED-B1)",
    "LED-B3": "neutral white LED (LED-B3)",
    "A": "filament lamp (A)",
}
"""Lights by their CIE names, as a maker knows them."""
_OF_LIGHT = re.compile(r"^(The light was|By the card's cast the light)")
_LAMP = re.compile(r"(?<![\w-])(D65|D50|LED-B1|LED-B3|A)(?![\w-])")
_LAMPS = {
    "D65": "daylight", "D50": "warm daylight", "LED-B1": "a warm white LED",
    "LED-B3": "a neutral white LED", "A": "a filament lamp",
}  # fmt: skip
FIGURES = {
    "cut_mm": ("Cut, mm", 1.0, 2),
    "coverage": ("Hidden where it was strewn, %", 100.0, 0),
    "specular_roughness": ("Roughness", 1.0, 2),
}
"""What is told of a measurement beside colours: its name, a factor, digits after the point."""
CAUTION = "Fine glitter is not breathed, and kept from small children; gather it afterwards."

_LIGHT = (
    "**Shade by a window, lamps out**, or one lamp with the curtain drawn. No flash; nothing "
    "coloured stands near."
)
_FLAT = (
    "**The card lies flat beside it**, in the same light, the whole of it in the picture, on a "
    "ground of another brightness."
)
_ABOVE = "**Hold the phone straight above**, and step aside until no lamp mirrors in it."
_FIRST = {
    "paint": "**Paint it out and let it dry**, in as many coats as on the cup.",
    "print": "**Lay the sheet flat.** One even colour of it is measured.",
    "fabric": "**Lay it flat, without a crease**, on the ground that it will have on the cup.",
    "vinyl": "**Lay it flat on white paper**, its film taken off.",
}
_GLITTER = (
    "**Strew some on white paper, and as much on black.** Leave a part of the paper bare.",
    _FLAT,
    "**Go near**: a flake is to be eight pixels wide or more. Hold the phone straight above.",
    _LIGHT,
)
_FOIL = (
    "**Lay the foil flat before the standing card** and look down aslant: you see the card, and "
    "its mirror image in the foil.",
    "**For the second photo** something black, as large, takes the card's place; the card lies "
    "beside.",
    _LIGHT,
)


def how_to(kind: str) -> tuple[str, ...]:
    """What to do, a line each, Markdown."""
    if kind == "glitter":
        return _GLITTER
    return _FOIL if kind == "foil" else (_FIRST[kind], _FLAT, _ABOVE, _LIGHT)


def limit_words(told: str) -> str:
    """What limits a measurement, with lamps in words in place of their CIE names."""
    if not _OF_LIGHT.match(told):
        return told
    return _LAMP.sub(lambda found: _LAMPS[found[1]], told).replace("tell it", "choose it above")


def asks_for(kind: str) -> tuple[str, ...]:
    """What each photo's field is called."""
    if kind == "glitter":
        return ("Strewn on white", "Strewn on black")
    if kind == "foil":
        return ("It mirrors the card", "It mirrors something black")
    return ("The photo",)


def drawing(kind: str) -> str:
    """How things lie in each picture: a drawing for ``img``."""
    if kind == "glitter":
        frames = [_strewn("#ffffff", "#1f2225"), _strewn("#1f2225", "#ffffff")]
    elif kind == "foil":
        frames = [_mirroring("#9a9a9a", "card"), _mirroring("#1f2225", "black") + _beside()]
    else:
        card = _rect(12, 30, 58, 40, "#9a9a9a", "card")
        frames = [card + _rect(86, 22, 60, 72, "#2f6f7f", kind)]
    table = _rect(0, 0, 158, 116, "#e9e2d6", "")
    drawn = "".join(
        f'<g transform="translate({i * 170 + 1} 1)">{table}{frame}</g>'
        for i, frame in enumerate(frames)
    )
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {170 * len(frames) - 10} 118" '
        f'font-family="sans-serif" font-size="12" text-anchor="middle">{drawn}</svg>'
    )
    return "data:image/svg+xml," + quote(svg)


def _rect(x: int, y: int, width: int, height: int, fill: str, name: str) -> str:
    ink = "#ffffff" if fill in ("#1f2225", "#2f6f7f") else "#1f2225"
    return (
        f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}" stroke="#555b61"/>'
        f'<text x="{x + width / 2}" y="{y + height / 2 + 4}" fill="{ink}">{name}</text>'
    )


def _strewn(paper: str, ink: str) -> str:
    """Card at the top left, bare paper below, flakes on the right."""
    flakes = "".join(
        f'<circle cx="{84 + 37 * i % 66}" cy="{14 + 53 * i % 90}" r="3.4" fill="#b8763c"/>'
        for i in range(60)
    )
    return (
        _rect(0, 0, 158, 116, paper, "")
        + _rect(10, 12, 56, 38, "#9a9a9a", "card")
        + f'<text x="38" y="88" fill="{ink}">bare paper</text>{flakes}'
    )


def _mirroring(fill: str, name: str) -> str:
    """What stands behind, and its mirror image in the foil before it."""
    return (
        _rect(28, 56, 70, 54, "#d9b98a", "")
        + _rect(32, 10, 62, 44, fill, name)
        + _rect(34, 58, 58, 32, fill, "")
        + '<text x="63" y="104" fill="#1f2225">foil</text>'
    )


def _beside() -> str:
    return _rect(104, 66, 48, 34, "#9a9a9a", "card")
