"""Arrays and texts as deflated sections of a parcel, kept by what is in them."""

import hashlib
import zlib
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mockup.files import source_text

__all__ = ["Section", "Sections", "left_steps"]

LEVEL = 6  # of deflate; higher is slower for little
_KINDS = {"B": "u8", "H": "u16", "I": "u32", "e": "f16", "f": "f32"}


@dataclass(frozen=True, slots=True)
class Section:
    """One piece of a parcel: what its header says of it, and its bytes."""

    facts: dict[str, Any]
    body: bytes

    @property
    def key(self) -> str:
        """Names the content."""
        return str(self.facts["key"])


class Sections:
    """Sections by key; the ones used longest ago make room."""

    def __init__(self, *, room_bytes: int) -> None:
        self._room_bytes = room_bytes
        self._kept: dict[str, Section] = {}

    def find(self, key: str) -> Section | None:
        """The section of this key, if it is kept."""
        section = self._kept.pop(key, None)
        if section is not None:
            self._kept[key] = section
        return section

    def text(self, package: str, name: str) -> Section:
        """A file of one of our packages."""
        raw = source_text(package, name).encode()
        key = content_key("text", raw)
        return self.find(key) or self._keep(key, "text", (len(raw),), "plain", raw)

    def array(self, values: NDArray[Any], *, left: bool = False, key: str = "") -> Section:
        """An array, as it is or, for maps (rows, columns, channels), by steps from the left.

        Parameters
        ----------
        key
            What the array was made from, where that is known; else its content is hashed.
        """
        coding = "left" if left else "plain"
        key = key or content_key(f"{coding} {values.shape} {values.dtype}", values)
        found = self.find(key)
        if found is not None:
            return found
        raw = left_steps(values) if left else np.ascontiguousarray(values).tobytes()
        return self._keep(key, _KINDS[values.dtype.char], values.shape, coding, raw)

    def _keep(
        self, key: str, kind: str, shape: tuple[int, ...], coding: str, raw: bytes
    ) -> Section:
        facts = {"key": key, "kind": kind, "shape": list(shape), "coding": coding}
        self._kept[key] = Section(facts, zlib.compress(raw, LEVEL))
        return self._kept[key]

    def trim(self) -> None:
        """Give up the ones used longest ago until the rest fits the room."""
        total = sum(len(section.body) for section in self._kept.values())
        for key in list(self._kept):
            if total <= self._room_bytes:
                return
            total -= len(self._kept.pop(key).body)


def content_key(what: str, *values: NDArray[Any] | bytes) -> str:
    """Hash of arrays or bytes, and of what they are."""
    made = hashlib.blake2b(what.encode(), digest_size=12)
    for value in values:
        made.update(value if isinstance(value, bytes) else np.ascontiguousarray(value).data)
    return made.hexdigest()


def left_steps(values: NDArray[Any]) -> bytes:
    """Differences to the left neighbour, channel by channel; of 16 bits the high bytes first.

    Smooth maps become long runs of small numbers, which deflate to a third of what the values
    themselves do.
    """
    whole = values.view(np.uint16) if values.dtype.itemsize == 2 else values
    planes = np.ascontiguousarray(np.moveaxis(whole, -1, 0))
    steps = planes.copy()
    steps[..., 1:] -= planes[..., :-1]
    if steps.dtype == np.uint8:
        return steps.tobytes()
    return (steps >> 8).astype(np.uint8).tobytes() + (steps & 255).astype(np.uint8).tobytes()
