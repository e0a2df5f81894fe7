"""A cup as bytes for the browser: maps, mesh, table, light, and the text of the shaders.

Format 1
--------
``b"CUP1"``, the header's length as a little-endian uint32, the header as JSON in UTF-8, then the
sections one after the other, each but JPEG deflated (zlib). ``sections`` maps a name to

``key``       names the content: equal keys, equal bytes.
``at``, ``bytes``   where it lies after the header; left out where the viewer holds it already.
``kind``      ``text``, ``u8``, ``u16``, ``u32``, ``f16`` or ``f32``, little-endian.
``shape``     of the array; maps are (rows, columns, channels), row 0 first.
``coding``    ``plain``: the array in C order. ``left``: channel by channel, the difference of each
              texel to the one on its left, modulo 2^8 or 2^16; of 16 bits all high bytes, then all
              low ones. ``jpeg``: a picture file, its upper row first in the array.

The rest of the header:

``textures``  name in the shader → ``from`` (sections whose channels fill it, in order), ``format``
              (``rg8 rgba8 srgb8 rgba16f rgba32f``), ``size`` (columns, rows), ``smooth`` (linear
              reads, else nearest), ``clamp`` (held at the edges, else it goes on round).
``draws``     groups of triangles: ``part``, ``first`` and ``count`` in the section ``triangles``,
              the ``defines`` of their program in order, ``foil_samples`` for that uniform.
``passes``    #defines of picture.glsl.
``cup``, ``wall``, ``camera``, ``light``   figures for camera, stage and rulers, in mm.
``subsamples``  count → (across, up, offset) of each; ``still`` → (least height px, count).

The viewer keeps sections, so that a change of palette sends the table alone, a change of light the
light (and artwork and table where the lamp changed), a moved shape its own map and the triangles'
order. Artwork that deflates badly, as photographs do, is sent as JPEG, and a panorama with fewer
digits, so that a cup with either stays within 3 MB.
"""

import json
import struct
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mockup.blank.flat import flat_from_wall
from mockup.blank.wall import Wall
from mockup.render.lights import Light, find_light
from mockup.render.request import CupModel
from mockup.render.stage import Stage, cup_slices
from mockup.render.upload import defines, filtered_gloss, sorted_triangles
from mockup.render.web.header import figures, spelled, textures
from mockup.render.web.sections import Section, Sections, content_key
from mockup.shading.artwork import artwork_lit
from mockup.shading.variant import Variant, variant_of

__all__ = ["FORMAT", "Packer", "Parcel"]

FORMAT = 1
MAGIC = b"CUP1"
ART_BYTES = 1_200_000  # that artwork takes at most before it becomes JPEG


@dataclass(frozen=True, slots=True)
class Parcel:
    """A packed cup."""

    header: dict[str, Any]
    sections: dict[str, Section]

    @property
    def keys(self) -> frozenset[str]:
        """Keys of all sections."""
        return frozenset(section.key for section in self.sections.values())

    def to_bytes(self, held: Collection[str] = ()) -> bytes:
        """The parcel without the sections whose keys the viewer holds."""
        told: dict[str, dict[str, Any]] = {}
        bodies: list[bytes] = []
        at = 0
        for name, section in self.sections.items():
            told[name] = dict(section.facts)
            if section.key not in held:
                told[name] |= {"at": at, "bytes": len(section.body)}
                bodies.append(section.body)
                at += len(section.body)
        header = json.dumps({**self.header, "sections": told}, separators=(",", ":")).encode()
        return MAGIC + struct.pack("<I", len(header)) + header + b"".join(bodies)


@dataclass(frozen=True, slots=True)
class _Group:
    """Triangles of one part that the same layers cover."""

    part: int
    sheets: bool
    flakes: bool
    first: int
    count: int


@dataclass(frozen=True, slots=True)
class _Shape:
    """What a model gives, whatever its palette and light."""

    groups: list[_Group]
    sections: dict[str, Section]


class Packer:
    """Packs cups; keeps what it has packed, so that what did not change costs little again."""

    def __init__(self, *, room_bytes: int = 48_000_000) -> None:
        self._kept = Sections(room_bytes=room_bytes)
        self._lights: dict[str, Light] = {}
        self._shape: tuple[str, _Shape] | None = None
        self._lock = Lock()  # one packer serves every page of the process

    def pack(
        self,
        model: CupModel,
        wall: Wall,
        table: NDArray[np.float32],
        light: str,
        foil: tuple[int, int],
    ) -> Parcel:
        """Pack a cup as it looks under a palette and a light.

        Parameters
        ----------
        table
            As `build_table` fills it for the light's illuminant.
        foil
            Samples and second bounces of rough metal in a still, as `foil_quality` gives them.

        Raises
        ------
        UnknownName, AssetError
            There is no such light.
        """
        with self._lock:
            if light not in self._lights:
                self._lights[light] = find_light(light)
            lamp = self._lights[light]
            shape = self._shape_of(model, wall)
            sections = {
                "shade": self._kept.text("mockup.shading", "shade.glsl"),
                "passes": self._kept.text("mockup.render.web", "picture.glsl"),
                "table": self._kept.array(table),
                **self._art(model, lamp.illuminant),
                **shape.sections,
                **self._light(lamp, model),
            }
            self._kept.trim()
        variant = variant_of(model.skin, table, foil)
        header = {
            "format": FORMAT,
            "draws": [_draw(model, variant, group) for group in shape.groups],
            "textures": textures(model, sections),
            **figures(model, wall, lamp),
        }
        return Parcel(header, sections)

    def _shape_of(self, model: CupModel, wall: Wall) -> "_Shape":
        """Maps and mesh, looked at anew only when it is another model."""
        if self._shape is None or self._shape[0] != model.key:
            groups, triangles = _groups(model)
            sections = {**self._maps(model), **self._mesh(model, wall, triangles)}
            self._shape = model.key, _Shape(groups, sections)
        for section in self._shape[1].sections.values():
            self._kept.find(section.key)  # still in use
        return self._shape[1]

    def _art(self, model: CupModel, illuminant: str) -> dict[str, Section]:
        art = model.skin.art_rgba8_srgb
        lit = cache(lambda: artwork_lit(model.skin, illuminant))
        key = content_key(f"art {model.skin.grid} {model.skin.base_depth_mm} {illuminant}", art)
        whole = self._kept.made(key, lit)
        if len(whole.body) <= ART_BYTES:
            return {"art": whole}
        return {
            "art": self._kept.picture(key + "j", lambda: lit()[..., :3], bytes_=ART_BYTES),
            "opacity": self._kept.array(art[..., 3:], left=True),
        }

    def _maps(self, model: CupModel) -> dict[str, Section]:
        skin = model.skin
        edges = {f"edge{i}": skin.edge_distance[..., i : i + 1] for i in range(len(skin.sheets))}
        fields = {f"field{i}": skin.flake_coverage[..., i : i + 1] for i in range(len(skin.flakes))}
        relief = {} if skin.relief is None else {"relief": skin.relief}
        maps = edges | fields | relief
        return {name: self._kept.array(values, left=True) for name, values in maps.items()}

    def _light(self, light: Light, model: CupModel) -> dict[str, Section]:
        slices = cup_slices(model.positions)
        made, radiance = self._kept.made, light.radiance
        return {
            "around": made(
                content_key("around", radiance),
                lambda: np.minimum(radiance, 6e4).astype(np.float16),
                spare=(600_000, 5),
            ),
            "gloss": made(
                content_key("gloss", radiance),
                lambda: filtered_gloss(light).astype(np.float16),
                spare=(700_000, 4),
            ),
            "sky": made(
                content_key("sky", radiance, np.asarray(slices)),
                lambda: Stage(light, slices).sky_rings.astype(np.float16),
            ),
        }

    def _mesh(
        self, model: CupModel, wall: Wall, triangles: NDArray[np.integer]
    ) -> dict[str, Section]:
        height_mm = np.clip(model.turn_height[:, 1], 0.0, wall.length_mm)
        flat = flat_from_wall(wall, model.turn_height[:, 0], height_mm).astype(np.float32)
        return {
            "positions": self._kept.array(model.positions),
            "normals": self._kept.array(model.normals),
            "turn_height": self._kept.array(model.turn_height),
            "flat": self._kept.array(flat),
            "triangles": self._kept.array(triangles),
        }


def _groups(model: CupModel) -> tuple[list[_Group], NDArray[np.integer]]:
    """Groups of triangles that are drawn alike, and the triangles in that order."""
    groups, order, first = [], [], 0
    for triangles, part, sheets, flakes in sorted_triangles(model):
        groups.append(_Group(part, sheets, flakes, first, triangles.size))
        order.append(triangles)
        first += triangles.size
    short = len(model.positions) < 65536
    return groups, np.concatenate(order).astype(np.uint16 if short else np.uint32)


def _draw(model: CupModel, variant: Variant, group: _Group) -> dict[str, Any]:
    """What the header tells of a group."""
    told = defines(model, variant, group.part, sheets=group.sheets, flakes=group.flakes)
    samples, told["FOIL_SAMPLES"] = told["FOIL_SAMPLES"], "foil_samples"
    return {
        "part": group.part,
        "first": group.first,
        "count": group.count,
        "foil_samples": samples,
        "defines": spelled(told),
    }
