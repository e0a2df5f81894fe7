"""What changed from one design to another, in a maker's words.

A change that alters the fingerprint is always told, and what does not alter it never is.
"""

import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from difflib import SequenceMatcher
from itertools import takewhile
from typing import Any, get_args

from mockup.design.document import Design
from mockup.design.fields import Part
from mockup.design.layers import LAYER_KINDS, AnyLayer
from mockup.design.palette import Swatch

__all__ = ["changes_in_words"]

_UNITS = {"mm": "mm", "deg": "°", "ml": "mL", "in": "in", "nm": "nm", "um": "µm"}
_WORDS = {  # of fields whose name is not a maker's word
    "srgb": "colour",
    "tint_srgb": "tint",
    "specular_roughness": "roughness",
    "specular_roughness_anisotropy": "brushing",
    "coverage": "share hidden",
    "coverage_from": "share hidden at its lower end",
    "coverage_to": "share hidden at its upper end",
    "points_mm": "profile",
    "dark_is_shape": "dark is cut",
    "cut_mm": "cut",
    "cut_in": "cut",
    "lie": "way it lies",
    "offset_mm": "shift",
}
_LISTS = {"mix": "colour", "layers": "film"}  # what one of a list is called, if not as its field
_LONGEST = 80  # letters of a text that are told


def changes_in_words(before: Design, after: Design) -> tuple[str, ...]:
    """One short phrase for each change, from the blank outward; none if nothing changed.

    Such as ``lettering 'SEAT 4': text 'SEAT 4' became 'SEAT 5'`` and
    ``clear coat: thickness 0.4 mm became 0.6 mm``.
    """
    old, new = before.document, after.document
    told = [
        *_fields("", old, new, leave=("layers", "blank", "format")),
        *_kinds("blank", old.blank, new.blank),
        *_palettes(before, after),
        *_layers(old.layers, new.layers),
        *_assets(before, after),
    ]
    return tuple(told)


def _fields(label: str, old: Part, new: Part, *, leave: Sequence[str] = ()) -> Iterator[str]:
    """Changes of two parts of one kind, field by field."""
    for name in type(old).model_fields:
        if name in leave:
            continue
        was, now = _plain(getattr(old, name)), _plain(getattr(new, name))
        if was != now:
            yield from _values(label, name, was, now)


def _values(label: str, name: str, was: Any, now: Any) -> Iterator[str]:
    what = _what(name)
    if isinstance(was, Part) and isinstance(now, Part):
        yield from _kinds(f"{label}, {what}" if label else what, was, now)
    elif _are_parts(was) or _are_parts(now):
        yield from _lists(label, _LISTS.get(name, name), was, now)
    else:
        before, after = _told(name, was, now)
        yield f"{_after(label)}{what} {before} became {after}"


def _kinds(label: str, old: Part, new: Part) -> Iterator[str]:
    """Changes of two parts that may be of different kinds."""
    if type(old) is type(new):
        yield from _fields(label, old, new)
    else:
        yield f"{label} {_summary(old)} became {_summary(new)}"


def _lists(label: str, what: str, was: Sequence[Part], now: Sequence[Part]) -> Iterator[str]:
    for i, (old, new) in enumerate(zip(was, now, strict=False)):
        if old != new:
            yield from _kinds(f"{label}, {what} {i + 1}", old, new)
    for i, gone in enumerate(was[len(now) :], len(now)):
        yield f"{_after(label)}{what} {i + 1} is gone ({_summary(gone)})"
    for i, come in enumerate(now[len(was) :], len(was)):
        yield f"{_after(label)}{what} {i + 1} is new ({_summary(come)})"


def _palettes(before: Design, after: Design) -> Iterator[str]:
    """The palettes in use; a palette under another name is told by what its colours became."""
    old, new = before.palette, after.palette
    named = (old.name, new.name) == (before.document.palette, after.document.palette)
    yield from _fields("palette", old, new, leave=("roles", "format", *["name"] * named))
    were, are = _plain(old.roles), _plain(new.roles)
    for role in dict.fromkeys([*were, *are]):
        was, now = were.get(role), are.get(role)
        if was is None or now is None:
            yield f"palette, {role}: {'is gone' if now is None else f'is new, {_swatch(now)}'}"
        elif before.document.palette == after.document.palette:
            yield from _kinds(f"palette, {role}", was, now)
        elif _seen(was) != _seen(now):
            yield f"palette, {role}: {_swatch(was)} became {_swatch(now)}"


def _layers(old: Sequence[AnyLayer], new: Sequence[AnyLayer]) -> Iterator[str]:
    """Layers that are alike are left out; between them each is paired with one of its kind."""
    was, now = [_key(layer) for layer in old], [_key(layer) for layer in new]
    gone: list[int] = []
    come: list[int] = []
    for tag, a, b, c, d in SequenceMatcher(None, was, now, autojunk=False).get_opcodes():
        if tag == "equal":
            continue
        left, right = list(range(a, b)), list(range(c, d))
        for i in list(left):
            j = next((j for j in right if type(new[j]) is type(old[i])), None)
            if j is not None:
                yield from _layer(old, i, new[j])
                left.remove(i)
                right.remove(j)
        gone += left
        come += right
    for i in list(gone):
        j = next((j for j in come if now[j] == was[i]), None)
        if j is not None:
            yield f"{_label(old, i)} moved from layer {i + 1} to layer {j + 1}"
            gone.remove(i)
            come.remove(j)
    yield from (f"{_label(old, i)} is gone" for i in gone)
    yield from (f"{_label(new, j)} is new, as layer {j + 1}" for j in come)


def _layer(layers: Sequence[AnyLayer], i: int, new: AnyLayer) -> Iterator[str]:
    yield from _fields(_label(layers, i), layers[i], new)


def _label(layers: Sequence[AnyLayer], i: int) -> str:
    """What a layer is called, with its place where two would be called alike."""
    names = [_name(layer) for layer in layers]
    return f"{names[i]} (layer {i + 1})" if names.count(names[i]) > 1 else names[i]


def _name(layer: AnyLayer) -> str:
    """Its kind, and what the maker calls it or else what it shows."""
    kind, shows = LAYER_KINDS[layer.kind].lower(), ""
    if layer.kind == "wrap":
        shows = layer.artwork
    elif layer.kind == "decal":
        kind = "lettering" if layer.text else "decal"
        shows = layer.text or layer.svg or layer.bitmap or ""
    shows = layer.name or shows
    return kind if shows.lower() in ("", kind) else f"{kind} {_quoted(shows)}"


def _assets(before: Design, after: Design) -> Iterator[str]:
    """Files that kept their name but not their content."""
    old, new = _hashes(before), _hashes(after)
    for name in old:
        if old[name] != new.get(name, old[name]):
            yield f"{name}: the file itself changed"


def _hashes(design: Design) -> dict[str, str]:
    names = design.document.asset_names()
    return {_plain(name): design.asset(name, where="assets").sha256 for name in names}


def _what(name: str) -> str:
    stem, _, unit = name.rpartition("_")
    return _WORDS.get(name) or (stem if unit in _UNITS and stem else name).replace("_", " ")


def _told(name: str, was: Any, now: Any) -> tuple[str, str]:
    """Both values with their unit, told apart even if they differ in the last digit."""
    unit = _UNITS.get(name.rpartition("_")[2], "")
    if isinstance(was, str) and isinstance(now, str) and max(len(was), len(now)) > _LONGEST:
        same = sum(1 for _ in takewhile(lambda two: two[0] == two[1], zip(was, now, strict=False)))
        return _quoted(was, same), _quoted(now, same)
    formats: tuple[Callable[[float], str], ...] = ("{:.6g}".format, repr)
    for number in formats:
        before, after = (_one(value, unit, number) for value in (was, now))
        if before != after:
            break
    return before, after


def _one(value: Any, unit: str, number: Callable[[float], str]) -> str:
    match value:
        case None:
            return "none"
        case bool():
            return "yes" if value else "no"
        case str():
            return _quoted(value) if not unit else f"{value} {unit}"
        case Part():
            return f"({_summary(value)})"
        case int() | float():
            return f"{number(value)}{unit if unit == '°' else f' {unit}'}".rstrip()
    parts = [f"({_one(v, '', number)})" if isinstance(v, tuple) else number(v) for v in value]
    return f"{', '.join(parts)} {unit}".rstrip()


def _summary(part: Part) -> str:
    """A part in a few words: its kind or shape, and what the maker gave of it."""
    if isinstance(part, get_args(get_args(Swatch)[0])):
        return _swatch(part)
    words = []
    for name in type(part).model_fields:
        value = getattr(part, name)
        if name not in part.model_fields_set or isinstance(value, Part) or _are_parts(value):
            continue
        words.append(f"{_what(name)} {_told(name, value, None)[0]}")
    kind = getattr(part, "shape", "")
    return ", ".join([kind, *(w for w in words if w != f"shape {_quoted(kind)}")]).strip(", ")


def _swatch(swatch: Any) -> str:
    words = {"pigment": "", "spectrum": "a measured colour", "film": "a film"}.get(
        swatch.kind, f"{getattr(swatch, 'metal', '')} {'hologram' * (swatch.kind == 'hologram')}"
    )
    colour = getattr(swatch, "srgb", None) or getattr(swatch, "tint_srgb", None) or ""
    told = " ".join(word for word in (*words.split(), colour) if word != "#ffffff")
    return f"{_quoted(swatch.label)} ({told})" if swatch.label else told


def _seen(swatch: Any) -> Any:
    return _plain(swatch.model_dump(exclude={"source"}))


def _key(layer: AnyLayer) -> str:
    return repr(_plain(layer.model_dump(mode="json")))


def _plain(value: Any) -> Any:
    """As the fingerprint sees it: text in Unicode NFC, zero without a sign."""
    if isinstance(value, float):
        return value + 0.0
    if isinstance(value, str):
        return unicodedata.normalize("NFC", value)
    if isinstance(value, Mapping):
        return {_plain(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, tuple | list) and not _are_parts(value):
        return tuple(_plain(inner) for inner in value)
    return value


def _are_parts(value: Any) -> bool:
    return isinstance(value, tuple) and bool(value) and isinstance(value[0], Part)


def _after(label: str) -> str:
    return f"{label}: " if label else ""


def _quoted(text: str, differs: int = 0) -> str:
    """The text on one line; of a long one what stands round its letter `differs`."""
    start = max(0, differs - _LONGEST // 2) if len(text) > _LONGEST else 0
    piece = text[start : start + _LONGEST]
    line = "…" * (start > 0) + piece + "…" * (start + _LONGEST < len(text))
    return "'" + line.replace("\n", " / ") + "'"
