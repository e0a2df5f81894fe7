"""Whole files or none: every output is written beside its place and moved over it when done.

What users name is read up to a limit, so that no file fills the memory.
"""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path

from mockup.errors import MockupError, OutputError

__all__ = [
    "keep_apart",
    "make_folder",
    "read_up_to",
    "shipped",
    "source_text",
    "whole_file",
    "whole_folder",
    "write_whole",
]


def keep_apart(output: Path, source: Path, what: str) -> None:
    """Refuse to write `output` over the `source` that it is made from, which `what` names.

    Raises
    ------
    OutputError
        Both are one file.
    """
    if output.exists() and source.exists() and output.samefile(source):
        raise OutputError(
            f"this is {what} itself", where=str(output), remedy="Name another file to write"
        )


def read_up_to(
    path: Path,
    most: int,
    *,
    fault: type[MockupError],
    what: str = "file",
    one: str = "one",
    smaller: str = "Make it smaller",
) -> bytes:
    """The bytes of a file that a user named, if there are no more than `most`.

    Parameters
    ----------
    fault
        What to raise.
    what, one, smaller
        What it is, what to name instead, and what to do with one that is too large.

    Raises
    ------
    MockupError
        It cannot be read, or it is larger.
    """
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except (OSError, ValueError) as error:  # ValueError: a name with a null character
        raise fault(
            f"the {what} cannot be read ({getattr(error, 'strerror', None) or error})",
            where=str(path),
            remedy=f"Name {one} that is there and that you may read",
        ) from error
    if len(data) > most:
        raise fault(f"the file is larger than {most / 1e6:g} MB", where=path.name, remedy=smaller)
    return data


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
