"""The cup inside a page: each section of its parcels once, as base64, and a header for each view.

A parcel of another palette or light shares most of its sections with the first, so that a page
keeps sections by their key, and ``page.js`` puts parcels together again.
"""

import base64
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mockup.outputs.facts import LightFact
from mockup.render.web.parcel import Parcel
from mockup.render.web.sections import Section, left_steps, rounded

__all__ = ["Hold", "data_scripts"]

SPARED_BITS = 3  # of the 10 of a light's mantissas: an error of .4 %, half a step of a screen
LEVEL = 8  # of deflate; 9 takes twice as long for 1 % less
LEAST_EASED_BYTES = 20_000  # smaller ones are not worth it


@dataclass(slots=True)
class Hold:
    """What a page carries of a cup; `add` parcels one after the other."""

    bodies: dict[str, str] = field(default_factory=dict)
    headers: dict[str, dict[str, Any]] = field(default_factory=dict)
    _sources: dict[str, str] = field(default_factory=dict)  # a body's key by the section's own

    def add(self, option: int, light: LightFact, parcel: Parcel) -> None:
        """Take in the cup under an option and a light.

        A light's name takes the place of the parcel's, which may be a path on the maker's disk.
        """
        told = {name: self._told(section) for name, section in parcel.sections.items()}
        called = {**parcel.header["light"], "name": light.name}
        self.headers[_place(option, light)] = {**parcel.header, "light": called, "sections": told}

    def drop(self, light: LightFact) -> None:
        """Leave out a light that makes the page too large."""
        kept = (entry for entry in self.headers.items() if entry[0].split(" ", 1)[1] != light.name)
        self.headers = dict(kept)
        used = {facts["key"] for h in self.headers.values() for facts in h["sections"].values()}
        self.bodies = {key: body for key, body in self.bodies.items() if key in used}
        self._sources = {own: key for own, key in self._sources.items() if key in used}

    def told(self) -> dict[str, Any]:
        """``common``, what all headers share, and ``headers``, what each has besides."""
        common = _shared(list(self.headers.values()))
        sections = _shared([header["sections"] for header in self.headers.values()])
        own = {
            place: {
                **{name: value for name, value in header.items() if name not in common},
                "sections": {n: s for n, s in header["sections"].items() if n not in sections},
            }
            for place, header in self.headers.items()
        }
        return {"common": {**common, "sections": sections}, "headers": own}

    def _told(self, section: Section) -> dict[str, Any]:
        if section.key not in self._sources:
            smaller = _eased(section)
            self.bodies[smaller.key] = base64.b64encode(smaller.body).decode("ascii")
            self._sources[section.key] = smaller.key
        return {**section.facts, "key": self._sources[section.key]}


def _shared(all_of_them: list[dict[str, Any]]) -> dict[str, Any]:
    """Entries that are the same in all."""
    if not all_of_them:
        return {}
    first, *others = all_of_them
    return {n: v for n, v in first.items() if all(n in o and o[n] == v for o in others)}


def _place(option: int, light: LightFact) -> str:
    """The name of a header, as page.js asks for it."""
    return f"{option} {light.name}"


def _eased(section: Section) -> Section:
    """The section in fewer bytes; half floats give up digits that no screen shows."""
    if len(section.body) < LEAST_EASED_BYTES or section.facts["coding"] == "jpeg":
        return section
    if section.facts["kind"] != "f16" or section.facts["coding"] != "left":
        return Section(section.facts, zlib.compress(zlib.decompress(section.body), LEVEL))
    body = zlib.compress(left_steps(rounded(_halves(section), SPARED_BITS)), LEVEL)
    return Section({**section.facts, "key": f"{section.key}r{SPARED_BITS}"}, body)


def _halves(section: Section) -> NDArray[np.float16]:
    """Undo `left_steps` of half floats: (rows, columns, channels)."""
    rows, columns, channels = section.facts["shape"]
    raw = np.frombuffer(zlib.decompress(section.body), np.uint8)
    high, low = raw.reshape(2, channels, rows, columns).astype(np.uint16)
    codes = np.cumsum(high << 8 | low, axis=-1, dtype=np.uint16)
    return np.ascontiguousarray(np.moveaxis(codes, 0, -1)).view(np.float16)


def data_scripts(hold: Hold) -> Iterator[str]:
    """The bodies as blocks of the page that no browser runs."""
    for key, body in hold.bodies.items():
        yield f'<script type="text/plain" data-key="{key}">{body}</script>'
