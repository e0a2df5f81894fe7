"""The design document and the design that is read from it with its palettes and assets."""

import hashlib
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

import rfc8785
from pydantic import Field

from mockup.design.blanks import BlankSpec
from mockup.design.fields import Name, Part
from mockup.design.layers import AnyLayer
from mockup.design.palette import Palette, Swatch
from mockup.errors import AssetError, DesignError, UnknownName

__all__ = ["Asset", "Design", "Document"]


class Document(Part):
    """What design.toml holds. ``format = 1``."""

    format: Literal[1]
    title: Name
    note: str = Field("", max_length=2000)
    blank: BlankSpec
    palette: Name = Field(description="Name of a file in palettes/, without .toml.")
    light: Name = "softbox"
    layers: tuple[AnyLayer, ...] = Field(min_length=1, max_length=60)

    def asset_names(self) -> dict[str, str]:
        """Every asset that a layer names, sorted, with the place that names it first."""
        named: dict[str, str] = {}
        for i, layer in enumerate(self.layers):
            for name, key in _assets_of(layer):
                named.setdefault(name, f"layers[{i}].{key}")
        return dict(sorted(named.items()))


@dataclass(frozen=True, slots=True)
class Asset:
    """One file of the design's assets/ folder, as bytes."""

    name: str
    data: bytes

    @property
    def sha256(self) -> str:
        """Hash of the bytes, hexadecimal."""
        return hashlib.sha256(self.data).hexdigest()


@dataclass(frozen=True, slots=True)
class Design:
    """A document with everything it names: the palettes at hand and the assets' bytes.

    `where` is the file it came from, for messages.
    """

    document: Document
    palettes: Mapping[str, Palette]
    assets: Mapping[str, Asset]
    where: str = "design"

    @property
    def palette(self) -> Palette:
        """The palette in use.

        Raises
        ------
        UnknownName
            No palette at hand has the name that the document gives.
        """
        name = self.document.palette
        if name not in self.palettes:
            raise UnknownName("palette", name, self.palettes, where=f"{self.where}: palette")
        return self.palettes[name]

    def with_palette(self, name: str) -> "Design":
        """The same design as an option under another palette.

        Raises
        ------
        UnknownName, DesignError
            As `check_roles` does.
        """
        option = replace(self, document=self.document.model_copy(update={"palette": name}))
        option.check_roles()
        return option

    def check_roles(self) -> None:
        """Refuse a palette in use that does not suit the layers.

        Raises
        ------
        UnknownName
            There is no such palette, or it has not a role that a layer asks for.
        DesignError
            A base coat or a tint is a metal: paint and clear coats have no look of bare metal.
        """
        name = self.palette.name
        for i, layer in enumerate(self.document.layers):
            for role, key in _roles_of(layer):
                where = f"layers[{i}].{key}"
                swatch = self.swatch(role, where=where)
                if swatch.metallic and layer.kind in ("base", "coat"):
                    what = "a base coat" if layer.kind == "base" else "a tint"
                    raise DesignError(
                        f"{role!r} of palette {name!r} is a metal, not {what}",
                        where=f"{self.where}: {where}",
                        remedy="Use a pigment, and lay the metal as foil or glitter",
                    )

    def swatch(self, role: str, *, where: str) -> Swatch:
        """The swatch of `role` in the palette in use.

        Raises
        ------
        UnknownName
            The palette has no such role; `where` tells the layer that asked for it.
        """
        roles = self.palette.roles
        if role not in roles:
            raise UnknownName(
                f"role of palette {self.palette.name!r}",
                role,
                roles,
                where=f"{self.where}: {where}",
            )
        return roles[role]

    def asset(self, name: str, *, where: str) -> Asset:
        """The asset `name`.

        Raises
        ------
        AssetError
            It is not beside the design.
        """
        if name not in self.assets:
            raise AssetError(
                f"{name} is missing",
                where=f"{self.where}: {where}",
                remedy="Put the file there or name one that is in the assets folder",
            )
        return self.assets[name]

    def roles(self) -> Iterator[tuple[str, str]]:
        """Every (role, where) that a layer asks for, from the steel outward."""
        for i, layer in enumerate(self.document.layers):
            yield from ((role, f"layers[{i}].{key}") for role, key in _roles_of(layer))

    @property
    def fingerprint(self) -> str:
        """SHA-256, hexadecimal, over RFC 8785 canonical JSON of the document, the palette in use
        and the hashes of the assets that its layers name. Any change that can be seen or made
        changes it; comments, key order and number spelling do not.
        """  # noqa: D205
        used = self.document.asset_names()
        whole = {
            "document": _plain(self.document.model_dump(mode="json")),
            "palette": _plain(self.palette.model_dump(mode="json")),
            "assets": {name: self.asset(name, where="assets").sha256 for name in used},
        }
        return hashlib.sha256(rfc8785.dumps(whole)).hexdigest()


def _roles_of(layer: AnyLayer) -> Iterator[tuple[str, str]]:
    match layer.kind:
        case "base":
            yield layer.swatch, "swatch"
        case "glitter":
            yield from ((part.swatch, f"mix[{j}].swatch") for j, part in enumerate(layer.mix))
        case "decal":
            yield from ((b.swatch, f"backing[{j}].swatch") for j, b in enumerate(layer.backing))
            yield layer.swatch, "swatch"
        case "coat":
            if layer.tint is not None:
                yield layer.tint, "tint"


def _assets_of(layer: AnyLayer) -> Iterator[tuple[str, str]]:
    match layer.kind:
        case "wrap":
            yield layer.artwork, "artwork"
        case "decal":
            if layer.svg is not None:
                yield layer.svg, "svg"
            if layer.bitmap is not None:
                yield layer.bitmap, "bitmap"
            if layer.font.startswith("assets/"):
                yield layer.font, "font"


def _plain(value: Any) -> Any:
    """JSON values with text in Unicode NFC, so that the same letters give the same fingerprint."""
    if isinstance(value, str):
        return unicodedata.normalize("NFC", value)
    if isinstance(value, dict):
        return {_plain(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    return value
