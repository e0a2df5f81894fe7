"""Materials as one file: a zip of their table, materials.csv, and their photos."""

import hashlib
import json
from collections.abc import Sequence
from pathlib import Path

from mockup.design.material import Entry
from mockup.design.material_csv import PHOTO_COLUMNS, Known, materials_text, read_materials
from mockup.design.pack import read_zip, zip_of
from mockup.errors import DesignError

__all__ = ["UNKNOWN", "ending_of", "materials_pack", "read_materials_pack", "text_of"]

TABLE = "materials.csv"
_PHOTOS = "photos/"
_BEGINNINGS = {b"\xff\xd8": ".jpg", b"\x89PNG": ".png"}
UNKNOWN = ".bin"
_HEIF = b"ftyp"  # from the fifth byte on


def materials_pack(entries: Sequence[Entry], *, where: str) -> bytes:
    """The pack's bytes. The same materials give the same bytes anywhere.

    Raises
    ------
    DesignError
        It would be larger than a pack may be.
    """
    files: dict[str, bytes] = {}

    def keep(photo: bytes) -> str:
        name = f"{_PHOTOS}{hashlib.sha256(photo).hexdigest()}{ending_of(photo)}"
        files[name] = photo
        return name

    cells = {}
    for entry in entries:
        own = keep(entry.photo) if entry.photo is not None else ""
        shown = {name: keep(photo) for name, photo in sorted(entry.photos.items())}
        cells[entry.product.name] = own, json.dumps(shown, ensure_ascii=False) if shown else ""
    table = materials_text(entries, cells).encode()
    return zip_of({TABLE: table, **dict(sorted(files.items()))}, where=where)


def read_materials_pack(path: Path, *, known: Known) -> tuple[Entry, ...]:
    """The materials in the pack at `path`, with their photos.

    Raises
    ------
    DesignError
        It is no such pack, or damaged, or its table is wrong or names a photo that is not in it.
    """
    files = read_zip(path, keeps=lambda name: name == TABLE or name.startswith(_PHOTOS))
    if TABLE not in files:
        raise DesignError(
            f"there is no {TABLE} in it",
            where=path.name,
            remedy="Make it with tumbler-mockup materials export",
        )
    where = f"{path.name}: {TABLE}"
    found = read_materials(text_of(files[TABLE], where=where), where=where, known=known)
    return tuple(_with_photos(entry, cells, files, where) for entry, cells in found)


def text_of(data: bytes, *, where: str) -> str:
    """A table's bytes as text.

    Raises
    ------
    DesignError
        They are not UTF-8.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise DesignError(
            f"byte {error.start} is not UTF-8 text",
            where=where,
            remedy="Save it from the spreadsheet as CSV in UTF-8",
        ) from None


def _with_photos(entry: Entry, cells: dict[str, str], files: dict[str, bytes], where: str) -> Entry:
    own, shown = (cells.get(column, "") for column in PHOTO_COLUMNS)
    try:
        names = json.loads(shown) if shown else {}
        photos = {str(name): files[file] for name, file in names.items()}
        photo = files[own] if own else None
    except (ValueError, KeyError, AttributeError, TypeError):
        raise DesignError(
            f"a photo of {entry.product.name!r} is not in the pack",
            where=where,
            remedy="Export the materials anew",
        ) from None
    return entry.model_copy(update={"photo": photo, "photos": photos})


def ending_of(photo: bytes) -> str:
    """What the name of a JPEG, PNG or HEIC ends in; of all others `UNKNOWN`."""
    if photo[4:8] == _HEIF:
        return ".heic"
    return next((e for start, e in _BEGINNINGS.items() if photo.startswith(start)), UNKNOWN)
