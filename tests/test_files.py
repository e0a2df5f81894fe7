"""A file is written whole, or what was there stays."""

import pytest

from mockup.errors import OutputError
from mockup.files import keep_apart, shipped, whole_file, write_whole


def _names(folder):
    return [path.name for path in folder.iterdir()]


def _half_a_file(path, stop):
    with whole_file(path) as part:
        part.write_bytes(b"half of")
        raise stop


def test_a_file_is_written_and_replaced(tmp_path):
    path = tmp_path / "cup.png"
    write_whole(path, b"first")
    write_whole(path, b"second")

    assert path.read_bytes() == b"second"
    assert _names(tmp_path) == ["cup.png"]


@pytest.mark.parametrize("stop", [ValueError, KeyboardInterrupt])
def test_what_was_there_stays_when_the_work_stops(tmp_path, stop):
    path = tmp_path / "cup.png"
    path.write_bytes(b"before")

    with pytest.raises(stop):
        _half_a_file(path, stop)

    assert path.read_bytes() == b"before"
    assert _names(tmp_path) == ["cup.png"]


def test_a_file_may_be_read_by_those_whom_the_umask_allows(tmp_path):
    """Temporary files are private; a finished one is as open as any other of the user's."""
    (tmp_path / "by-hand").write_bytes(b"")
    write_whole(tmp_path / "ours", b"")

    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "by-hand").stat().st_mode


@pytest.mark.parametrize("name", ["nowhere/cup.png", f"{'x' * 300}.png"])
def test_a_place_that_cannot_be_written_is_told(tmp_path, name):
    with pytest.raises(OutputError, match="cannot write here") as raised:
        write_whole(tmp_path / name, b"x")

    assert raised.value.where == str(tmp_path / name)


def test_a_folder_in_the_place_of_the_file_is_told(tmp_path):
    (tmp_path / "cup.png").mkdir()

    with pytest.raises(OutputError, match="cannot write this file"):
        write_whole(tmp_path / "cup.png", b"x")
    assert _names(tmp_path) == ["cup.png"]


def test_the_part_has_the_ending_of_the_whole(tmp_path):
    """Writers that choose a format by the ending choose the right one."""
    with whole_file(tmp_path / "cup.png") as part:
        assert part.suffix == ".png"
        assert part.parent == tmp_path


def test_a_file_is_not_written_over_what_it_is_made_from(tmp_path):
    """By whatever way it is named."""
    (tmp_path / "cup.png").write_bytes(b"photo")
    (tmp_path / "way").symlink_to(tmp_path)

    keep_apart(tmp_path / "held.png", tmp_path / "cup.png", "the photo")
    with pytest.raises(OutputError, match="this is the photo itself"):
        keep_apart(tmp_path / "way" / "cup.png", tmp_path / "cup.png", "the photo")


def test_what_comes_with_the_program_is_there():
    assert shipped("palettes").is_dir()
    assert shipped("textures", "regatta", "design.toml").is_file()
