"""Whole files or none: every output is written beside its place and moved over it when done."""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path

from mockup.errors import OutputError

__all__ = ["make_folder", "shipped", "source_text", "whole_file", "whole_folder", "write_whole"]


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Give a temporary file beside `path`; it replaces `path` only if the block succeeds.

    Raises
    ------
    OutputError
        The folder does not exist or cannot be written to.
    """
    try:
        handle, name = tempfile.mkstemp(
            prefix=f".{path.name}.", suffix=path.suffix, dir=path.parent
        )
    except OSError as error:
        raise OutputError(
            f"cannot write here ({error.strerror})",
            where=str(path),
            remedy="Name an output in a folder that exists and that you may write to",
        ) from error
    os.close(handle)
    part = Path(name)
    try:
        yield part
        part.chmod(0o666 & ~_umask())
        part.replace(path)
    except OSError as error:
        raise OutputError(
            f"cannot write this file ({error.strerror})",
            where=str(path),
            remedy="Free some space or name another output",
        ) from error
    finally:
        part.unlink(missing_ok=True)


@contextmanager
def whole_folder(folder: Path) -> Iterator[Path]:
    """Give an empty folder beside `folder`; it takes its place only if the block succeeds.

    A folder that was there goes with all that is in it, so the caller looks into it first.

    Raises
    ------
    OutputError
        The folder above it does not exist or cannot be written to.
    """
    try:
        part = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", dir=folder.parent))
    except OSError as error:
        raise OutputError(
            f"cannot write here ({error.strerror})",
            where=str(folder),
            remedy="Name an output in a folder that exists and that you may write to",
        ) from error
    try:
        new, old = part / "new", part / "old"
        new.mkdir()
        yield new
        if folder.exists():
            folder.replace(old)
        try:
            new.replace(folder)
        except OSError:
            if old.exists():
                old.replace(folder)
            raise
    except OSError as error:
        raise OutputError(
            f"cannot write this folder ({error.strerror})",
            where=str(folder),
            remedy="Free some space or name another output",
        ) from error
    finally:
        shutil.rmtree(part, ignore_errors=True)


def write_whole(path: Path, data: bytes) -> None:
    """Write `data` to `path`, or leave what was there untouched."""
    with whole_file(path) as part:
        part.write_bytes(data)


def make_folder(folder: Path) -> None:
    """Make `folder`, and those above it, unless it is there.

    Raises
    ------
    OutputError
        It cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"cannot make this folder ({error.strerror})",
            where=str(folder),
            remedy="Name a folder in a place that you may write to",
        ) from error


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def shipped(*parts: str) -> Path:
    """Path of a file or folder that comes with the program, such as `shipped("palettes")`.

    Inside the wheel these lie in ``mockup/shipped``; in a checkout at its top.
    """
    here = Path(__file__).parent
    inside = here / "shipped"
    return (inside if inside.exists() else here.parent).joinpath(*parts)


def source_text(package: str, name: str) -> str:
    """Text of a file inside one of our packages, such as the shading source."""
    return files(package).joinpath(name).read_text(encoding="utf-8")
