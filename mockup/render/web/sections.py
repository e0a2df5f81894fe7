"""Arrays and texts as deflated sections of a parcel, kept by what is in them."""

import hashlib
import io
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from mockup.files import source_text

__all__ = ["Section", "Sections", "content_key", "left_steps", "rounded"]

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
        found = self.find(key)
        if found is None:
            facts = {"key": key, "kind": "text", "shape": [len(raw)], "coding": "plain"}
            found = self._kept[key] = Section(facts, zlib.compress(raw, LEVEL))
        return found

    def array(self, values: NDArray[Any], *, left: bool = False) -> Section:
        """An array, as it is or, for maps (rows, columns, channels), by steps from the left."""
        key = content_key(f"{left} {values.shape} {values.dtype}", values)
        return self.made(key, lambda: values, left=left)

    def made(
        self,
        key: str,
        make: Callable[[], NDArray[Any]],
        *,
        left: bool = True,
        spare: tuple[int, int] | None = None,
    ) -> Section:
        """What `make` gives, unless it is kept under `key`, which names what it is made from.

        Parameters
        ----------
        spare
            (bytes, bits): half floats that would take more bytes give up so many of the 10 bits of
            their mantissas.
        """
        found = self.find(key)
        if found is not None:
            return found
        values = make()
        section = _section(key, values, left)
        if spare is not None and len(section.body) > spare[0]:
            section = _section(key, rounded(values, spare[1]), left)
        self._kept[key] = section
        return section

    def picture(self, key: str, make: Callable[[], NDArray[np.uint8]], *, bytes_: int) -> Section:
        """A photograph, (rows, columns, 3) uint8, as JPEG of `bytes_` where quality 50 will do."""
        found = self.find(key)
        if found is not None:
            return found
        pixels = make()
        for quality, halved in ((92, False), (80, True), (65, True), (50, True)):
            body = _jpeg(pixels, quality, halved=halved)
            if len(body) <= bytes_:
                break
        facts = {"key": key, "kind": "u8", "shape": list(pixels.shape), "coding": "jpeg"}
        self._kept[key] = Section(facts, body)
        return self._kept[key]

    def trim(self) -> None:
        """Give up the ones used longest ago until the rest fits the room."""
        total = sum(len(section.body) for section in self._kept.values())
        for key in list(self._kept):
            if total <= self._room_bytes:
                return
            total -= len(self._kept.pop(key).body)


def _section(key: str, values: NDArray[Any], left: bool) -> Section:
    raw = left_steps(values) if left else np.ascontiguousarray(values).tobytes()
    facts = {
        "key": key,
        "kind": _KINDS[values.dtype.char],
        "shape": list(values.shape),
        "coding": "left" if left else "plain",
    }
    return Section(facts, zlib.compress(raw, LEVEL))


def _jpeg(pixels: NDArray[np.uint8], quality: int, *, halved: bool) -> bytes:
    """`halved`: differences of colour at half the resolution."""
    file = io.BytesIO()
    picture = Image.fromarray(pixels)
    picture.save(file, "JPEG", quality=quality, subsampling="4:2:0" if halved else "4:4:4")
    return file.getvalue()


def rounded(half: NDArray[np.float16], bits: int) -> NDArray[np.float16]:
    """Half floats whose mantissas keep 10 − `bits` bits, rounded to the nearest."""
    code = half.view(np.uint16).astype(np.uint32)
    kept = ((code + (1 << bits >> 1)) >> bits << bits).astype(np.uint16)
    return kept.view(np.float16)


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
