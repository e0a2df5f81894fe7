"""Take a palette in beside a design, and make one the design's own choice."""

import tomllib
from dataclasses import replace
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from mockup.design.document import Design
from mockup.design.pack import is_pack, write_pack
from mockup.design.palette import Palette
from mockup.design.read import read_design
from mockup.design.write import palette_text
from mockup.errors import DesignError
from mockup.files import make_folder, write_whole

__all__ = ["add_palette", "choose_palette"]


def choose_palette(path: Path, name: str) -> Design:
    """Make `name` the palette of the design at `path`; comments and all else stay as they are.

    Returns
    -------
    Design
        As it is now.

    Raises
    ------
    UnknownName, DesignError
        There is no such palette, or it does not suit the layers; nothing is written.
    """
    design = read_design(path).with_palette(name)
    if is_pack(path):
        write_pack(design, path)
        return design
    file = path / "design.toml" if path.is_dir() else path
    text = file.read_bytes().decode("utf-8-sig")
    try:
        changed = tomlkit.parse(text)
        changed["palette"] = name
        new = tomlkit.dumps(changed)
        if tomllib.loads(new) != {**tomllib.loads(text), "palette": name}:
            raise ValueError
    except (ValueError, TOMLKitError):
        raise DesignError(
            "the palette's name cannot be changed here without touching the rest",
            where=file.name,
            remedy=f"Write palette = {tomlkit.item(name).as_string()} into it yourself",
        ) from None
    write_whole(file, new.encode())
    return design


def add_palette(path: Path, palette: Palette, *, replacing: bool = False) -> str:
    """Put `palette` beside the design at `path`, as palettes/NAME.toml or into the pack.

    Returns
    -------
    str
        The file's name within the design.

    Raises
    ------
    DesignError
        There is a palette of that name and `replacing` is not set, the name cannot be a file's, or
        the palette in use would no longer suit the layers.
    """
    design, name = read_design(path), palette.name
    if name in design.palettes and not replacing:
        raise DesignError(
            f"there is a palette named {name!r} already",
            where=f"{design.where}: palettes",
            remedy="Give this one another name, or say that it replaces the other",
        )
    changed = replace(design, palettes={**design.palettes, name: palette})
    changed.check_roles()
    file = f"palettes/{name}.toml"
    if name.startswith(".") or any(letter in name for letter in "/\\\0"):
        raise DesignError(
            f"{name!r} cannot be the name of a file",
            where=f"{design.where}: palettes",
            remedy="Give it a plain name without slashes",
        )
    if is_pack(path):
        write_pack(changed, path)
        return file
    folder = path if path.is_dir() else path.parent
    make_folder(folder / "palettes")
    write_whole(folder / file, palette_text(palette))
    return file
