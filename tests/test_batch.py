"""One design and a list of names, end to end: a folder for each with all that its cup needs."""

import json

import pytest
from click.testing import CliRunner
from PIL import Image

from mockup.design.read import read_design
from mockup.faces.cli import cli
from mockup.files import shipped

DEMO = shipped("textures", "regatta")


@pytest.fixture(autouse=True)
def _no_shelf_of_this_machine(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "none"))


def run(*words):
    return CliRunner().invoke(cli, [str(word) for word in words])


@pytest.fixture
def crew(tmp_path):
    path = tmp_path / "crew.csv"
    path.write_text("crew name,seat number\nANN,1\nBÉA,\n", encoding="utf-8")
    return path


def test_every_name_gets_its_picture_pack_and_cut_sheets(crew, tmp_path):
    """The packs read back to designs of their own; the pictures differ; findings go by row."""
    result = run("batch", DEMO, "--names", crew, "-o", tmp_path / "crew", "--size", "60x80")
    folders = [tmp_path / "crew" / "1-ann-1", tmp_path / "crew" / "2-béa"]

    assert result.exit_code == 0, result.output
    assert result.stdout.splitlines() == [f"Wrote {folder}" for folder in folders]
    assert "crew.csv: every row: 'wave border'" in result.stderr
    designs = [read_design(folder / "design.tumbler") for folder in folders]
    assert [d.document.title for d in designs] == [
        "Seaglass Eight, seat 7: ANN, 1",
        "Seaglass Eight, seat 7: BÉA",
    ]
    pictures = [Image.open(folder / "cup.png") for folder in folders]
    assert {picture.size for picture in pictures} == {(60, 80)}
    assert pictures[0].tobytes() != pictures[1].tobytes()
    for folder in folders:
        assert {"cut-sheets.pdf", "foil-lettering.svg"} <= {p.name for p in folder.iterdir()}


def test_a_name_that_does_not_fit_is_told_before_anything_is_made(crew, tmp_path):
    crew.write_text("crew name\nANN\n" + "TOO-LONG-FOR-A-CUP-" * 5 + "\n")

    result = run("batch", DEMO, "--names", crew, "-o", tmp_path / "crew")

    assert result.exit_code == 1
    assert "crew.csv: row 3: the shape is" in result.stderr
    assert not (tmp_path / "crew").exists()


def test_pictures_alone_are_told_as_json(crew, tmp_path):
    words = ("--size", "60x80", "--no-sheets", "--json", "--palette", "storm-silver")
    result = run("batch", DEMO, "--names", crew, "-o", tmp_path / "crew", *words)
    told = json.loads(result.stdout)

    assert [one["row"] for one in told] == [2, 3]
    assert [one["findings"] for one in told] == [[], []]
    names = {path.name for path in (tmp_path / "crew" / "1-ann-1").iterdir()}
    assert names == {"cup.png", "design.tumbler"}
