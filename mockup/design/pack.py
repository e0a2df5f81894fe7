"""A design as one file to send: a zip of design.toml, palettes/ and assets/."""

import io
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from stat import S_ISLNK

from mockup.design.document import Design
from mockup.design.write import design_files
from mockup.errors import DesignError
from mockup.files import write_whole

__all__ = ["MAX_FILE_BYTES", "SUFFIX", "is_pack", "read_pack", "read_zip", "write_pack", "zip_of"]

SUFFIX = ".tumbler"
MAX_FILE_BYTES = 64_000_000
_MAX_TOTAL_BYTES = 256_000_000
_MAX_FILES = 500
_MAX_RATIO = 200  # unpacked to packed, of a file above a megabyte; artwork stays below 50
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest time that a zip can hold
_ENTRY_MARK, _ZIP_MARK = b"PK\x01\x02", b"PK\x03\x04"
_KEPT = ("palettes/", "assets/")


def write_pack(design: Design, path: Path) -> None:
    """Write `design` as a pack. The same design gives the same bytes anywhere.

    Raises
    ------
    DesignError
        The design is larger than a pack may be.
    OutputError
        The file could not be written.
    """
    write_whole(path, zip_of(design_files(design), where=str(path)))


def zip_of(files: Mapping[str, bytes], *, where: str) -> bytes:
    """Files as one zip. The same files give the same bytes anywhere.

    They are stored as they are: pictures are compressed already, and how deflate packs differs
    between versions of its library.

    Raises
    ------
    DesignError
        They are larger than a pack may be.
    """
    _check_sizes([len(data) for data in files.values()], where)
    pack = io.BytesIO()
    with zipfile.ZipFile(pack, "w", zipfile.ZIP_STORED) as archive:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, date_time=_EPOCH)
            entry.create_system, entry.external_attr = 3, 0o644 << 16
            archive.writestr(entry, data)
    return pack.getvalue()


def is_pack(path: Path) -> bool:
    """Whether `path` is named as a pack or begins as a zip does."""
    if path.suffix.lower() == SUFFIX:
        return True
    try:
        if not path.is_file():
            return False
        with path.open("rb") as file:
            return file.read(len(_ZIP_MARK)) == _ZIP_MARK
    except OSError:
        return False  # whoever reads it next says what is wrong


def read_pack(path: Path) -> dict[str, bytes]:
    """The files of the design's pack at `path` by name.

    Raises
    ------
    DesignError
        As `read_zip`, or it holds no design.toml.
    """
    files = read_zip(path, keeps=_is_kept)
    if "design.toml" not in files:
        raise _wrong("there is no design.toml in it", path.name, "Make it with tumbler-mockup pack")
    return files


def read_zip(path: Path, *, keeps: Callable[[str], bool]) -> dict[str, bytes]:
    """The files of a zip whose names are to be kept, by name; nothing is unpacked to disk.

    Raises
    ------
    DesignError
        It is not a whole zip, is locked with a password, holds more than a pack may, or holds a
        name twice or one that leads out of its folder.
    """
    where = path.name
    data = _bytes_of(path)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = _checked(archive.infolist(), where)
            kept = [entry for entry in entries if keeps(entry.filename)]
            _check_sizes([entry.file_size for entry in kept], where)
            return {entry.filename: archive.read(entry) for entry in kept}
    except (
        zipfile.BadZipFile, zlib.error, struct.error, EOFError, OSError, ValueError,
        RuntimeError, NotImplementedError, IndexError,
    ):  # fmt: skip  # all that zipfile raises on damaged bytes
        raise _wrong(
            "the pack is damaged or cut short", where, "Fetch it again, or pack it anew"
        ) from None


def _bytes_of(path: Path) -> bytes:
    try:
        if not path.exists():
            raise _wrong("there is no such file", str(path), "Name a pack that is there")
        if not path.is_file():
            raise _wrong("this is not a file", str(path), "Name a pack in its place")
        if path.stat().st_size > _MAX_TOTAL_BYTES:
            raise _too_large(path.name)
        data = path.read_bytes()
    except OSError as error:
        raise _wrong(
            f"the file cannot be read ({error.strerror})",
            str(path),
            "See that it is there and that you may read it",
        ) from error
    if not data.startswith(b"PK"):
        raise _wrong("this is not a pack", path.name, "Make it with tumbler-mockup pack")
    if data.count(_ENTRY_MARK) > 2 * _MAX_FILES:  # before zipfile lists millions of them
        raise _too_many(path.name)
    return data


def _checked(entries: list[zipfile.ZipInfo], where: str) -> list[zipfile.ZipInfo]:
    """The entries, once all of them are found harmless."""
    if len(entries) > _MAX_FILES:
        raise _too_many(where)
    seen = set()
    for entry in entries:
        name = entry.filename
        if name in seen:
            raise _wrong(f"it holds {name!r} twice", where, "Pack it anew")
        seen.add(name)
        if _leads_out(name, entry):
            raise _wrong(
                f"{name!r} in it leads out of its folder", where, "Do not trust it; ask for another"
            )
        if entry.flag_bits & 1:
            raise _wrong("it is locked with a password", where, "Pack it without one")
        if entry.file_size > 1_000_000 and entry.file_size > _MAX_RATIO * entry.compress_size:
            raise _wrong(
                f"{name!r} in it swells to {entry.file_size / 1e6:.0f} MB",
                where,
                "Do not trust it; ask for another",
            )
    return entries


def _leads_out(name: str, entry: zipfile.ZipInfo) -> bool:
    parts = name.rstrip("/").split("/")
    return (
        "\\" in name
        or ":" in parts[0]
        or any(part in ("", ".", "..") for part in parts)
        or S_ISLNK(entry.external_attr >> 16)
    )


def _is_kept(name: str) -> bool:
    hidden = any(part.startswith(".") for part in name.split("/"))
    return name == "design.toml" or (
        name.startswith(_KEPT) and not name.endswith("/") and not hidden
    )


def _check_sizes(sizes: Iterable[int], where: str) -> None:
    sizes = list(sizes)
    if len(sizes) > _MAX_FILES:
        raise _too_many(where)
    if sum(sizes) > _MAX_TOTAL_BYTES or max(sizes, default=0) > MAX_FILE_BYTES:
        raise _too_large(where)


def _wrong(problem: str, where: str, remedy: str) -> DesignError:
    return DesignError(problem, where=where, remedy=remedy)


def _too_many(where: str) -> DesignError:
    return _wrong(f"it holds more than {_MAX_FILES} files", where, "Leave out what is not used")


def _too_large(where: str) -> DesignError:
    return _wrong(
        f"a pack holds at most {_MAX_TOTAL_BYTES / 1e6:.0f} MB,"
        f" each file at most {MAX_FILE_BYTES / 1e6:.0f} MB",
        where,
        "Make its pictures smaller",
    )
