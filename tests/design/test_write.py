"""What is written reads back as the same design."""

import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from mockup.design.document import Asset, Design
from mockup.design.pack import read_pack, write_pack
from mockup.design.read import design_from_files, read_design
from mockup.design.write import design_files, write_design
from mockup.errors import DesignError, OutputError
from mockup.files import shipped
from tests.strategies import designs

whole = settings(deadline=None, max_examples=30, suppress_health_check=[HealthCheck.too_slow])


@whole
@given(designs())
def test_a_design_reads_back_as_it_was_written(design):
    with tempfile.TemporaryDirectory() as folder:
        path = write_design(design, Path(folder))

        again = read_design(path, palettes={})

        assert again.document == design.document
        assert again.palettes == design.palettes
        assert again.assets == design.assets
        assert again.fingerprint == design.fingerprint
        assert design_files(again) == design_files(design)


@whole
@given(designs())
def test_a_pack_holds_the_same_design_in_the_same_bytes(design):
    with tempfile.TemporaryDirectory() as folder:
        pack, repacked = Path(folder, "a.tumbler"), Path(folder, "b.tumbler")
        write_pack(design, pack)

        again = read_design(pack, palettes={})
        write_pack(again, repacked)

        assert again.document == design.document
        assert again.fingerprint == design.fingerprint
        assert repacked.read_bytes() == pack.read_bytes()


@whole
@given(designs())
def test_files_in_memory_hold_the_same_design(design):
    again = design_from_files(design_files(design), palettes={})

    assert again.document == design.document
    assert again.palettes == design.palettes
    assert again.fingerprint == design.fingerprint


def test_files_in_memory_without_a_design_are_told():
    with pytest.raises(DesignError, match=r"there is no design\.toml in it"):
        design_from_files({"assets/a.svg": b""})


def test_a_fault_in_memory_is_told_by_the_name_that_was_given():
    with pytest.raises(DesignError, match=r"^order 3: "):
        design_from_files({"design.toml": b"format = "}, where="order 3")


def test_a_pack_and_a_folder_hold_the_same_files(tmp_path):
    design = read_design(shipped("textures", "regatta"))
    write_pack(design, tmp_path / "regatta.tumbler")
    write_design(design, tmp_path / "regatta")

    folder = tmp_path / "regatta"
    on_disk = {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }
    assert on_disk == read_pack(tmp_path / "regatta.tumbler")


def test_writing_leaves_other_files_alone(tmp_path):
    (tmp_path / "sketch.txt").write_text("pencil")
    write_design(read_design(shipped("textures", "regatta")), tmp_path)

    assert (tmp_path / "sketch.txt").read_text() == "pencil"
    assert not list(tmp_path.rglob(".*"))  # no half-written files stay behind


@settings(whole, max_examples=15)
@given(designs(), designs())
def test_writing_over_another_design_leaves_nothing_of_it(before, after):
    with tempfile.TemporaryDirectory() as folder:
        write_design(before, Path(folder))
        path = write_design(after, Path(folder))

        assert read_design(path, palettes={}).document == after.document


def test_comments_stay_when_a_value_changes(tmp_path):
    """The app writes one new number; the maker's notes and spelling stay."""
    demo = shipped("textures", "regatta", "design.toml").read_text("utf-8")
    path = write_design(read_design(shipped("textures", "regatta")), tmp_path)
    path.write_text(demo.replace("thickness_mm = 0.4", "thickness_mm = 0.4 # thin"))
    design = read_design(path)
    coat = next(i for i, layer in enumerate(design.document.layers) if layer.kind == "coat")
    layers = list(design.document.layers)
    layers[coat] = layers[coat].model_copy(update={"thickness_mm": 0.35})

    changed = design.document.model_copy(update={"layers": tuple(layers)})
    write_design(replace(design, document=changed), tmp_path)

    assert path.read_text() == demo.replace("thickness_mm = 0.4", "thickness_mm = 0.35 # thin")


@pytest.mark.parametrize("name", ["../spring", "a/b", "", "..", ".neap", "a\\b"])
def test_a_palette_name_that_leads_elsewhere_is_not_written(tmp_path, name):
    design = read_design(shipped("textures", "regatta"))
    stray = replace(design, palettes={**design.palettes, name: design.palette})

    with pytest.raises(DesignError, match="cannot be the name of a file"):
        write_design(stray, tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_an_asset_name_that_leads_elsewhere_is_not_written(tmp_path):
    design = read_design(shipped("textures", "regatta"))
    stray = Design(design.document, design.palettes, {"assets/../../x": Asset("x", b"")})

    with pytest.raises(DesignError, match="cannot be the name of a file"):
        write_pack(stray, tmp_path / "x.tumbler")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_made_is_told_in_one_sentence(tmp_path):
    (tmp_path / "regatta").write_text("a file in the way")

    with pytest.raises(OutputError, match="cannot make this folder"):
        write_design(read_design(shipped("textures", "regatta")), tmp_path / "regatta")
