"""Which styles an SVG element has: attributes, simple style rules, inheritance.

CSS Cascading and Inheritance 4 and Selectors 3, as far as drawings use them: types, classes and
ids, alone or as descendants and children. Other selectors and at-rules are refused, not skipped.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from xml.etree import ElementTree as ET

__all__ = ["GEOMETRY", "INITIAL", "Styles", "amount", "is_seen", "reference_of"]

INITIAL: dict[str, str] = {  # inherited ones, with their initial values; SVG 2, chapter 13
    "clip-rule": "nonzero",
    "color": "black",
    "fill": "black",
    "fill-opacity": "1",
    "fill-rule": "nonzero",
    "marker-end": "none",
    "marker-mid": "none",
    "marker-start": "none",
    "stroke": "none",
    "stroke-dasharray": "none",
    "stroke-dashoffset": "0",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "stroke-miterlimit": "4",
    "stroke-opacity": "1",
    "stroke-width": "1",
    "visibility": "visible",
}
_OWN: dict[str, str] = {  # not inherited
    "clip-path": "none",
    "display": "inline",
    "filter": "none",
    "mask": "none",
    "opacity": "1",
    "overflow": "",
    "transform": "none",
    "transform-origin": "",
    "vector-effect": "none",
}
GEOMETRY = frozenset({"cx", "cy", "d", "height", "r", "rx", "ry", "width", "x", "y"})
_RULE = re.compile(r"([^{}]*)\{([^{}]*)\}")
_COMPOUND = re.compile(r"(\*|[A-Za-z][\w-]*)?((?:[.#][A-Za-z_-][\w-]*)*)")
_DRAWS_NOTHING = re.compile(r"@(?:charset|namespace)[^;{]*;|@font-face\s*\{[^}]*\}", re.I)
_COMMENT = re.compile(r"/\*.*?\*/|<!--|-->", re.S)

_Steps = list[tuple[str, str]]  # (combinator before it, compound), the subject first


@dataclass(frozen=True, slots=True)
class _Rule:
    steps: _Steps
    weight: tuple[int, int, int]
    declared: dict[str, str]


@dataclass(slots=True)
class Styles:
    """The styles of one document.

    Raises
    ------
    ValueError
        A style rule is of a kind that is not understood here.
    """

    root: ET.Element
    rules: list[_Rule] = field(default_factory=list)
    parents: dict[ET.Element, ET.Element] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.parents = {child: parent for parent in self.root.iter() for child in parent}
        for sheet in self.root.iter("style"):
            self.rules += _rules("".join(sheet.itertext()))
        self.rules.sort(key=lambda rule: rule.weight)  # stable: later of equals wins

    def declared(self, element: ET.Element) -> dict[str, str]:
        """What attributes, rules and the style attribute say of `element`, the strongest kept."""
        whole = {k: v for k, v in element.attrib.items() if k in INITIAL or k in _OWN}
        urgent: dict[str, str] = {}
        inline = _declarations(element.get("style", ""))
        for declared in [r.declared for r in self.rules if self._matches(r.steps, element)]:
            _lay_over(whole, urgent, declared)
        _lay_over(whole, urgent, inline)
        return whole | urgent

    def geometry(self, element: ET.Element) -> dict[str, str]:
        """Lengths that style rules or the style attribute give `element`; SVG 2, sec. 7.4."""
        declared = self.declared(element)
        return {k: v for k, v in declared.items() if k in GEOMETRY}

    def of(self, element: ET.Element, inherited: Mapping[str, str]) -> dict[str, str]:
        """Every property's value for `element` below a parent with `inherited`."""
        style = {**_OWN, **{k: inherited.get(k, v) for k, v in INITIAL.items()}}
        for key, value in self.declared(element).items():
            if value == "inherit":
                style[key] = inherited.get(key, INITIAL.get(key, _OWN.get(key, "")))
            elif value in ("initial", "unset", "revert"):
                style[key] = INITIAL.get(key, _OWN.get(key, ""))
            else:
                style[key] = value
        return style

    def in_place(self, element: ET.Element) -> dict[str, str]:
        """The style of `element` where it stands in the document."""
        parent = self.parents.get(element)
        return self.of(element, {} if parent is None else self.in_place(parent))

    def _matches(self, steps: _Steps, element: ET.Element) -> bool:
        (_, compound), rest = steps[0], steps[1:]
        if not _is(compound, element):
            return False
        if not rest:
            return True
        parent = self.parents.get(element)
        while parent is not None:
            if self._matches(rest, parent):
                return True
            parent = None if rest[0][0] == ">" else self.parents.get(parent)
        return False


def _lay_over(whole: dict[str, str], urgent: dict[str, str], declared: dict[str, str]) -> None:
    for key, value in declared.items():
        plain = re.sub(r"\s*!\s*important\s*$", "", value, flags=re.I)
        (whole if plain == value else urgent)[key] = plain


def _is(compound: str, element: ET.Element) -> bool:
    match = _COMPOUND.fullmatch(compound)
    assert match is not None
    if match[1] not in (None, "*", element.tag):
        return False
    classes = element.get("class", "").split()
    return all(
        part[1:] in classes if part[0] == "." else part[1:] == element.get("id")
        for part in re.findall(r"[.#][\w-]+", match[2])
    )


def _rules(sheet: str) -> list[_Rule]:
    sheet = _DRAWS_NOTHING.sub("", _COMMENT.sub("", sheet))
    rules = []
    for selectors, body in _RULE.findall(sheet):
        for selector in selectors.split(","):
            steps = _steps(selector.strip())
            names = [_COMPOUND.fullmatch(compound) for _, compound in steps]
            ids = sum(m[2].count("#") for m in names if m)
            classes = sum(m[2].count(".") for m in names if m)
            types = sum(m[1] not in (None, "*") for m in names if m)
            rules.append(_Rule(steps, (ids, classes, types), _declarations(body)))
    if left := _RULE.sub("", sheet).strip():
        raise ValueError(f"the style rule {left[:40]!r} is not understood here")
    return rules


def _steps(selector: str) -> _Steps:
    """The compounds of a selector from its subject outward, each with the combinator after it."""
    words = selector.replace(">", " > ").split()
    steps: _Steps = []
    combinator = ""
    for word in reversed(words):
        if word == ">":
            combinator = ">"
            continue
        match = _COMPOUND.fullmatch(word)
        if match is None or not match[0]:
            raise ValueError(f"the style rule for {selector!r} is not understood here")
        steps.append((combinator, word))
        combinator = " "
    if not steps:
        raise ValueError("a style rule has no selector")
    return steps


def _declarations(body: str) -> dict[str, str]:
    declared = {}
    for part in _COMMENT.sub("", body).split(";"):
        key, colon, value = part.partition(":")
        if colon and value.strip():
            declared[key.strip().lower()] = value.strip()
    if "marker" in declared:
        short = declared.pop("marker")
        declared |= dict.fromkeys(("marker-start", "marker-mid", "marker-end"), short)
    return declared


def amount(text: str, what: str = "opacity") -> float:
    """A number without a unit, or a percentage of one.

    Raises
    ------
    ValueError
        It is neither.
    """
    text = text.strip()
    try:
        return float(text[:-1]) / 100 if text.endswith("%") else float(text)
    except ValueError:
        raise ValueError(f"{what} {text!r} is not a number") from None


def reference_of(value: str) -> str | None:
    """The id in ``url(#id)``, or None if `value` is no such reference."""
    match = re.match(r"\s*url\(\s*['\"]?\s*#([^'\")\s]+)", value, re.I)
    return match[1] if match else None


def is_seen(colour: str) -> bool:
    """Whether a colour is anything but fully transparent."""
    text = colour.strip().lower()
    if text in ("none", "transparent"):
        return False
    if re.fullmatch(r"#[0-9a-f]{4}", text):
        return text[4] != "0"
    if re.fullmatch(r"#[0-9a-f]{8}", text):
        return text[7:] != "00"
    if re.match(r"(rgb|hsl)a?\(", text):
        parts = [p for p in re.split(r"[\s,/()]+", text)[1:] if p]
        return len(parts) < 4 or amount(parts[3]) > 0
    return True
