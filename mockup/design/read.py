"""Read a design with everything it names: palettes and assets, from a folder or a pack."""

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Protocol

from mockup.design.document import Asset, Design, Document
from mockup.design.pack import MAX_FILE_BYTES, is_pack, read_pack
from mockup.design.palette import Palette
from mockup.design.strict import MAX_TOML_BYTES, parse_toml, validate
from mockup.errors import AssetError, DesignError
from mockup.files import shipped

__all__ = ["design_from_files", "find_palettes", "read_design", "read_palette"]

# From a format to the next one: what the tables of an older design have to become.
UPGRADES: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {}


def read_design(path: Path, *, palettes: Mapping[str, Palette] | None = None) -> Design:
    """The design at `path`, checked as far as it can be without building it.

    Parameters
    ----------
    path
        A design.toml, the folder that holds one, or a pack.
    palettes
        The maker's shelf: palettes that the design may name besides its own, which win. By
        default those that come with the program.

    Raises
    ------
    DesignError
        A file cannot be read, or a key or value in it is wrong.
    UnknownName
        A kind, shape, palette or role is not in its table.
    AssetError
        A file that a layer names is missing, too large, or leads out of the folder.
    """
    return _read(_source(path), palettes)


def design_from_files(
    files: Mapping[str, bytes],
    *,
    where: str = "design.toml",
    palettes: Mapping[str, Palette] | None = None,
) -> Design:
    """The design that `files` hold by name, as `design_files` gives them; no disk is touched.

    Parameters
    ----------
    files
        design.toml, palettes/… and assets/….
    where
        What messages call the design.toml.
    palettes
        As for `read_design`.

    Raises
    ------
    DesignError, UnknownName, AssetError
        As `read_design` does.
    """
    if "design.toml" not in files:
        raise DesignError(
            "there is no design.toml in it", where=where, remedy="Begin the design anew"
        )
    return _read(_Memory(where, files), palettes)


def _read(source: "_Source", palettes: Mapping[str, Palette] | None) -> Design:
    where = source.label("design.toml")
    raw = parse_toml(source.read("design.toml", MAX_TOML_BYTES, where), where=where)
    document = validate(Document, _upgraded(raw, where), where=where)
    shelf = find_palettes(shipped("palettes")) if palettes is None else palettes
    own = {
        Path(name).stem: _palette(
            source.read(name, MAX_TOML_BYTES, source.label(name)), source.label(name)
        )
        for name in source.names("palettes")
        if name.endswith(".toml") and name.count("/") == 1
    }
    assets = {
        name: _asset(source, name, f"{where}: {key}")
        for name, key in document.asset_names().items()
    }
    design = Design(document, {**shelf, **own}, assets, where=where)
    design.check_roles()
    return design


def read_palette(path: Path) -> Palette:
    """The palette in the file `path`.

    Raises
    ------
    DesignError
        The file cannot be read, or a key or value in it is wrong.
    """
    data = _bytes_of(path, MAX_TOML_BYTES, path.name, "Name a palette that is there")
    return _palette(data, path.name)


def find_palettes(folder: Path) -> dict[str, Palette]:
    """Every palette of `folder` by its file's name without .toml; none if there is no folder."""
    return {path.stem: read_palette(path) for path in sorted(folder.glob("[!.]*.toml"))}


def _upgraded(raw: dict[str, Any], where: str) -> dict[str, Any]:
    found = raw.get("format")
    if type(found) is not int:
        raise DesignError(
            "the format is missing" if found is None else "the format is not a whole number",
            where=where,
            remedy="Write format = 1 as its first line",
        )
    while found in UPGRADES:
        found, raw = found + 1, {**UPGRADES[found](raw), "format": found + 1}
    return raw


def _palette(data: bytes, where: str) -> Palette:
    return validate(Palette, parse_toml(data, where=where), where=where)


def _asset(source: "_Source", name: str, where: str) -> Asset:
    there = source.names("assets")
    if name not in there:
        near = get_close_matches(name, there, n=1)
        raise AssetError(
            f"{name} is missing",
            where=where,
            remedy=f"Use {near[0]!r}" if near else "Put the file there or name one that is",
        )
    return Asset(name, source.read(name, MAX_FILE_BYTES, where))


class _Source(Protocol):
    """Where a design's files come from. Names are below the design's folder, with slashes."""

    def label(self, name: str) -> str:
        """What messages call the file `name`."""

    def names(self, folder: str) -> list[str]:
        """Every file below `folder`, hidden ones left out."""

    def read(self, name: str, most: int, where: str) -> bytes:
        """The bytes of the file `name`, at most `most` of them."""


@dataclass(frozen=True, slots=True)
class _Folder:
    root: Path
    main: str

    def label(self, name: str) -> str:
        return self.main if name == "design.toml" else name

    def names(self, folder: str) -> list[str]:
        found = []
        for here, folders, files in os.walk(self.root / folder):
            folders[:] = [name for name in folders if not name.startswith(".")]
            below = Path(here).relative_to(self.root)
            found += [(below / name).as_posix() for name in files if not name.startswith(".")]
        return sorted(found)

    def read(self, name: str, most: int, where: str) -> bytes:
        path = self.root / self.label(name)
        if name != "design.toml" and not path.resolve().is_relative_to(self.root.resolve()):
            raise AssetError(
                f"{name} leads out of the design's folder",
                where=where,
                remedy="Copy the file itself into the folder",
            )
        remedy = "Name a design.toml, the folder that holds one, or a .tumbler pack"
        return _bytes_of(path, most, where, remedy)


@dataclass(frozen=True, slots=True)
class _Pack:
    name: str
    files: Mapping[str, bytes]

    def label(self, name: str) -> str:
        return f"{self.name}/{name}"

    def names(self, folder: str) -> list[str]:
        return sorted(name for name in self.files if name.startswith(f"{folder}/"))

    def read(self, name: str, most: int, where: str) -> bytes:
        return _no_more_than(most, self.files[name], where)


@dataclass(frozen=True, slots=True)
class _Memory(_Pack):
    def label(self, name: str) -> str:
        return self.name if name == "design.toml" else name


def _source(path: Path) -> _Source:
    try:
        if path.is_dir():
            return _Folder(path, "design.toml")
    except OSError:
        pass  # reading it says what is wrong
    if is_pack(path):
        return _Pack(path.name, read_pack(path))
    return _Folder(path.parent, path.name)


def _bytes_of(path: Path, most: int, where: str, remedy: str) -> bytes:
    try:
        if not path.exists():
            raise DesignError("there is no such file", where=str(path), remedy=remedy)
        if not path.is_file():
            raise DesignError("this is not a file", where=str(path), remedy=remedy)
        with path.open("rb") as file:
            return _no_more_than(most, file.read(most + 1), where)
    except OSError as error:
        raise DesignError(
            f"the file cannot be read ({error.strerror})",
            where=str(path),
            remedy="See that it is there and that you may read it",
        ) from error


def _no_more_than(most: int, data: bytes, where: str) -> bytes:
    if len(data) > most:
        raise DesignError(
            f"the file is larger than {most / 1e6:g} MB",
            where=where,
            remedy="Make it smaller: a design and its artwork need far less",
        )
    return data
