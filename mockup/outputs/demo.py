"""The demo: the regatta cup of a made-up rowing club, copied out for the maker to change."""

from pathlib import Path

from mockup.errors import OutputError
from mockup.files import make_folder, shipped, write_whole

__all__ = ["write_demo"]


def write_demo(folder: Path) -> Path:
    """Copy the demo's design, palettes and artwork into `folder`; give its design.toml.

    The folder is made if need be. The design is written last, so that a folder with a design.toml
    holds the whole demo.

    Raises
    ------
    OutputError
        A file of the demo is already there, or the folder cannot be written to.
    """
    source = shipped("textures", "regatta")
    files = sorted(path.relative_to(source) for path in source.rglob("*") if path.is_file())
    files.sort(key=lambda file: file == Path("design.toml"))
    for file in files:
        if (folder / file).exists():
            raise OutputError(
                f"{file.as_posix()} is already there",
                where=str(folder),
                remedy="Name a new folder, or move your own files away first",
            )
    for file in files:
        make_folder((folder / file).parent)
        write_whole(folder / file, (source / file).read_bytes())
    return folder / "design.toml"
