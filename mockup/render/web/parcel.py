"""A cup as bytes for the browser: maps, mesh, table, light, and the text of the shaders.

Format 1
--------
``b"CUP1"``, the header's length as a little-endian uint32, the header as JSON in UTF-8, then the
sections one after the other, each deflated (zlib). The header's ``sections`` maps a name to

``key``       names the content: equal keys, equal bytes.
``at``, ``bytes``   where it lies after the header; left out where the viewer holds it already.
``kind``      ``text``, ``u8``, ``u16``, ``u32``, ``f16`` or ``f32``, little-endian.
``shape``     of the array; maps are (rows, columns, channels), row 0 first.
``coding``    ``plain``: the array in C order. ``left``: channel by channel, the difference of each
              texel to the one on its left, modulo 2^8 or 2^16; of 16 bits all high bytes, then all
              low ones.

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
order.
"""

import json
import struct
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mockup.blank.flat import flat_from_wall
from mockup.blank.wall import Wall
from mockup.material.pigment import artwork_seen
from mockup.render.develop import BLOOM, KNEE
from mockup.render.lights import Light, find_light
from mockup.render.prefilter import MIRROR_SIDE
from mockup.render.request import CAMERA, STILL_SAMPLES, CupModel
from mockup.render.stage import REACH, TABLE_IOR, TABLE_SHEEN, Stage, cup_slices
from mockup.render.upload import (
    WALL,
    defines,
    filtered_light,
    fours,
    sorted_triangles,
    subsamples,
)
from mockup.render.web.sections import Section, Sections, content_key
from mockup.shading.lobes import COAT_IOR

__all__ = ["FORMAT", "Packer", "Parcel"]

FORMAT = 1
MAGIC = b"CUP1"
_MOST_SHAPES = 6  # cups whose shapes are kept as they were packed


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
class _Shapes:
    draws: list[dict[str, Any]]
    sections: dict[str, Section]


class Packer:
    """Packs cups; keeps what it has packed, so that what did not change costs little again."""

    def __init__(self, *, room_bytes: int = 48_000_000) -> None:
        self._kept = Sections(room_bytes=room_bytes)
        self._lights: dict[str, Light] = {}
        self._shapes: dict[tuple[str, tuple[int, int]], _Shapes] = {}

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
        if light not in self._lights:
            self._lights[light] = find_light(light)
        lamp = self._lights[light]
        shapes = self._shapes_of(model, wall, foil)
        sections = {
            "shade": self._kept.text("mockup.shading", "shade.glsl"),
            "passes": self._kept.text("mockup.render.web", "picture.glsl"),
            "table": self._kept.array(table),
            "art": self._art(model, lamp.illuminant),
            **shapes.sections,
            **self._light(lamp, model),
        }
        self._kept.trim()
        header = {
            "format": FORMAT,
            "draws": shapes.draws,
            "textures": _textures(model, sections),
            **_figures(model, wall, lamp),
        }
        return Parcel(header, sections)

    def _shapes_of(self, model: CupModel, wall: Wall, foil: tuple[int, int]) -> "_Shapes":
        """Maps, mesh and draws, which a palette or a light leaves as they are."""
        key = model.key, foil
        found = self._shapes.pop(key, None)
        if found is None:
            draws, triangles = _draws(model, foil)
            sections = {**self._maps(model), **self._mesh(model, wall, triangles)}
            found = _Shapes(draws, sections)
        self._shapes[key] = found
        while len(self._shapes) > _MOST_SHAPES:
            del self._shapes[next(iter(self._shapes))]
        return found

    def _art(self, model: CupModel, illuminant: str) -> Section:
        art = model.skin.art_rgba8_srgb
        ior = COAT_IOR if model.skin.base_depth_mm > 0 else None
        key = content_key(f"art {art.shape} {ior} {illuminant}", art)
        found = self._kept.find(key)
        if found is not None:
            return found
        seen = artwork_seen(art, coat_ior=ior, illuminant=illuminant)
        return self._kept.array(seen, left=True, key=key)

    def _maps(self, model: CupModel) -> dict[str, Section]:
        skin = model.skin
        edges = {f"edge{i}": skin.edge_distance[..., i : i + 1] for i in range(len(skin.sheets))}
        fields = {f"field{i}": skin.flake_coverage[..., i : i + 1] for i in range(len(skin.flakes))}
        relief = {} if skin.relief is None else {"relief": skin.relief}
        maps = edges | fields | relief
        return {name: self._kept.array(values, left=True) for name, values in maps.items()}

    def _light(self, light: Light, model: CupModel) -> dict[str, Section]:
        slices = cup_slices(model.positions)
        gloss = content_key("gloss", light.radiance)
        sky = content_key("sky", light.radiance, np.asarray(slices))
        found = self._kept.find(gloss), self._kept.find(sky)
        around = np.minimum(light.radiance, 6e4).astype(np.float16)
        return {
            "around": self._kept.array(around, left=True),
            "gloss": found[0]
            or self._kept.array(
                filtered_light(light).gloss.astype(np.float16), left=True, key=gloss
            ),
            "sky": found[1]
            or self._kept.array(
                Stage(light, slices).sky_rings.astype(np.float16), left=True, key=sky
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


def _draws(
    model: CupModel, foil: tuple[int, int]
) -> tuple[list[dict[str, Any]], NDArray[np.integer]]:
    """What the header tells of each group of triangles, and the triangles in that order."""
    draws, order, first = [], [], 0
    for triangles, part, sheets, flakes in sorted_triangles(model):
        told = defines(model, foil, part, sheets=sheets, flakes=flakes)
        samples, told["FOIL_SAMPLES"] = told["FOIL_SAMPLES"], "foil_samples"
        draws.append(
            {
                "part": part,
                "first": first,
                "count": triangles.size,
                "foil_samples": samples,
                "defines": _spelled(told),
            }
        )
        order.append(triangles)
        first += triangles.size
    short = len(model.positions) < 65536
    return draws, np.concatenate(order).astype(np.uint16 if short else np.uint32)


def _spelled(told: Mapping[str, str | int | float]) -> dict[str, str]:
    """As the shading language writes numbers: 1024.0 stays a float, as it would not in JSON."""
    return {name: str(value) for name, value in told.items()}


def _textures(model: CupModel, sections: Mapping[str, Section]) -> dict[str, Any]:
    """What the samplers of the shading source are made of."""

    def texture(form: str, *names: str, smooth: bool = True, clamp: bool = False) -> dict[str, Any]:
        rows, columns = sections[names[0]].facts["shape"][:2]
        size = [columns, rows]
        return {"from": names, "format": form, "size": size, "smooth": smooth, "clamp": clamp}

    found = {
        "artTex": texture("srgb8", "art"),
        "tableTex": texture("rgba32f", "table", smooth=False, clamp=True),
        "glossTex": texture("rgba16f", "gloss", clamp=True),
        "aroundTex": texture("rgba16f", "around"),
        "skyTex": texture("rgba16f", "sky", clamp=True),
    }
    if model.skin.relief is not None:
        found["reliefTex"] = texture("rg8", "relief")
    for name, channels in fours(model.skin).items():
        kind = "edge" if name.startswith("edge") else "field"
        found[name] = texture("rgba8", *(f"{kind}{i}" for i in channels))
    return found


def _figures(model: CupModel, wall: Wall, light: Light) -> dict[str, Any]:
    """Lengths in mm; light in its own unit."""
    slices = cup_slices(model.positions)
    return {
        "cup": {
            "height_mm": model.height_mm,
            "radius_mm": model.radius_mm,
            "foot_mm": slices[0][0],
            "reach_mm": REACH * max(radius for radius, _, _ in slices),
        },
        "wall": {"length_mm": wall.length_mm, "meridian": _meridian(model, wall)},
        "camera": CAMERA,
        "light": {
            "name": light.name,
            "exposure": light.exposure,
            "table": light.table.tolist(),
            "backdrop": light.backdrop.tolist(),
        },
        "mirror_side": MIRROR_SIDE,
        "passes": _spelled(
            {"KNEE": KNEE, "BLOOM": BLOOM, "TABLE_IOR": TABLE_IOR, "TABLE_SHEEN": TABLE_SHEEN}
        ),
        "subsamples": {str(count): subsamples(count) for count in (1, 4, 9, 16)},
        "still": STILL_SAMPLES,
    }


def _meridian(model: CupModel, wall: Wall) -> list[list[float]]:
    """(height, radius, z) mm at steps up the wall; z by where the mesh has the wall's foot."""
    vertices = np.unique(model.triangles[model.part == WALL])
    lowest = vertices[np.argmin(np.abs(model.turn_height[vertices, 1]))]
    foot_z = float(model.positions[lowest, 2] - wall.z_at(model.turn_height[lowest, 1]))
    heights = np.linspace(0.0, wall.length_mm, 33)
    points = np.stack([heights, wall.radius_at(heights), foot_z + wall.z_at(heights)], axis=-1)
    return [[round(float(a), 4) for a in point] for point in points]
