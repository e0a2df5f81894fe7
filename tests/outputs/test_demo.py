"""The demo lands whole, and never on top of someone's work."""

import tomllib

import pytest

from mockup.errors import OutputError
from mockup.files import shipped
from mockup.outputs.demo import write_demo


def _contents(folder):
    return {p.relative_to(folder): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_the_demo_is_the_shipped_folder_byte_for_byte(tmp_path):
    design = write_demo(tmp_path / "orders" / "regatta")

    assert design == tmp_path / "orders" / "regatta" / "design.toml"
    assert tomllib.loads(design.read_text("utf-8"))["format"] == 1
    assert _contents(design.parent) == _contents(shipped("textures", "regatta"))


@pytest.mark.parametrize("mine", ["design.toml", "assets/oars.svg"])
def test_a_file_of_the_maker_is_never_overwritten(tmp_path, mine):
    file = tmp_path / mine
    file.parent.mkdir(exist_ok=True)
    file.write_text("my own")

    with pytest.raises(OutputError, match=f"{mine} is already there"):
        write_demo(tmp_path)

    assert _contents(tmp_path) == {file.relative_to(tmp_path): b"my own"}


def test_a_folder_that_cannot_be_made_is_told_in_one_sentence(tmp_path):
    (tmp_path / "file").write_text("in the way")

    with pytest.raises(OutputError, match="cannot make this folder"):
        write_demo(tmp_path / "file" / "regatta")
