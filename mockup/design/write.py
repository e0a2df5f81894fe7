"""Write a design as files that read back to the same design."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable, Item, Table

from mockup.design.document import Design, Document
from mockup.design.fields import Part, stays_inside
from mockup.design.palette import Palette
from mockup.errors import DesignError, OutputError
from mockup.files import write_whole

__all__ = ["design_files", "palette_text", "write_design"]

_ALWAYS = ("format", "kind", "shape")  # written even where they are as the model has them


def design_files(design: Design) -> dict[str, bytes]:
    """What a design's folder holds: design.toml, palettes/ and assets/ by name, sorted.

    Every palette at hand goes along, those that come with the program too, so that the options
    look the same wherever and whenever they are opened.

    Raises
    ------
    DesignError
        A palette or asset has a name that cannot be a file's.
    """
    files = {"design.toml": _text(_document(design.document))}
    for name, palette in design.palettes.items():
        files[_file_name(f"palettes/{name}.toml", depth=2)] = palette_text(palette)
    for name, asset in design.assets.items():
        files[_file_name(name)] = asset.data
    return dict(sorted(files.items()))


def write_design(design: Design, folder: Path) -> Path:
    """Write `design` into `folder`, each file whole or not at all, and give its design.toml.

    Files of the folder that the design does not name are left alone; design.toml comes last. One
    that is there already keeps its comments, but for those in a list that changed its length.

    Raises
    ------
    DesignError
        A palette or asset has a name that cannot be a file's.
    OutputError
        The folder cannot be made or written to.
    """
    files = design_files(design)
    main = files.pop("design.toml")
    for name, data in files.items():
        _make(folder / name)
        write_whole(folder / name, data)
    path = folder / "design.toml"
    _make(path)
    write_whole(path, _with_comments_of(path, main))
    return path


def _make(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"cannot make this folder ({error.strerror})",
            where=str(path.parent),
            remedy="Name another folder",
        ) from error


def _file_name(name: str, depth: int | None = None) -> str:
    parts = name.split("/")
    try:
        stays_inside(name)
    except ValueError:
        parts = []
    if len(parts) < 2 or depth not in (None, len(parts)) or "\\" in name or "\x00" in name:
        raise DesignError(
            f"{name!r} cannot be the name of a file",
            where="design",
            remedy="Give it a plain name without slashes",
        )
    return name


def _with_comments_of(path: Path, text: bytes) -> bytes:
    """`text`, or the file at `path` changed to say the same, if that can be done."""
    try:
        kept = tomlkit.parse(path.read_bytes())
        new = tomlkit.parse(text)
        _change(kept, new)
        merged = tomlkit.dumps(kept).encode()
        if tomllib.loads(merged.decode()) == tomllib.loads(text.decode()):
            return merged
    except (OSError, ValueError, TOMLKitError):
        pass  # there is no such file, or none that can be changed bit by bit
    return text


def _change(old: Any, new: Any) -> None:
    for key in [key for key in old if key not in new]:
        del old[key]
    for key, value in new.items():
        was = old.get(key)
        if isinstance(was, Table) and isinstance(value, Table):
            _change(was, value)
        elif isinstance(was, AoT) and isinstance(value, AoT) and len(was) == len(value):
            for one, other in zip(was, value, strict=True):
                _change(one, other)
        elif was != value:
            old[key] = value


def palette_text(palette: Palette) -> bytes:
    """The palette as its own file holds it, palettes/NAME.toml."""
    return _palette_text(_Told(palette))


@dataclass(frozen=True, slots=True, eq=False)
class _Told:
    """A palette, equal to another that tells the same."""

    palette: Palette

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Told) and self._all() == other._all()

    def __hash__(self) -> int:
        return hash(self._all())

    def _all(self) -> str:
        return self.palette.model_dump_json(exclude_unset=True)


@lru_cache(maxsize=128)
def _palette_text(told: _Told) -> bytes:
    """Kept, for a design is written after each change and most of its palettes stay the same."""
    return _text(_palette(told.palette))


def _text(document: tomlkit.TOMLDocument) -> bytes:
    return tomlkit.dumps(document).encode()


def _document(document: Document) -> tomlkit.TOMLDocument:
    """Blank and layers under headings of their own, small parts on one line."""
    toml = tomlkit.document()
    whole = _lean(document)
    blank, layers = whole.pop("blank"), whole.pop("layers")
    for key, value in whole.items():
        toml.add(key, _item(value))
    toml.add("blank", _table(blank))
    listed = tomlkit.aot()
    for layer in layers:
        listed.append(_table(layer))
    toml.add("layers", listed)
    return toml


def _palette(palette: Palette) -> tomlkit.TOMLDocument:
    toml = tomlkit.document()
    whole = _lean(palette)
    roles = whole.pop("roles")
    for key, value in whole.items():
        toml.add(key, _item(value))
    headings = tomlkit.table(is_super_table=True)
    for role, swatch in roles.items():
        headings.add(tomlkit.key(role), _table(swatch))
    toml.add("roles", headings)
    return toml


def _lean(value: Any) -> Any:
    """Plain values; of a part, what the maker gave or what differs from the model's default."""
    if isinstance(value, Part):
        return {
            name: _lean(inner)
            for name, field in type(value).model_fields.items()
            if (inner := getattr(value, name)) is not None
            and (name in _ALWAYS or name in value.model_fields_set or inner != field.default)
        }
    if isinstance(value, Mapping):
        return {key: _lean(inner) for key, inner in value.items()}
    return [_lean(inner) for inner in value] if isinstance(value, tuple) else value


def _table(values: Mapping[str, Any]) -> Table:
    table = tomlkit.table()
    for key in sorted(values, key=lambda key: key not in _ALWAYS):
        table.add(key, _item(values[key]))
    return table


def _item(value: Any) -> Item:
    if isinstance(value, dict):
        inline: InlineTable = tomlkit.inline_table()
        for key, inner in value.items():
            inline.append(key, _item(inner))
        return inline
    if isinstance(value, list):
        array: Array = tomlkit.array()
        array.extend([_item(inner) for inner in value])
        return array.multiline(len(value) > 1 and isinstance(value[0], dict))
    item: Item = tomlkit.item(value)
    return item
