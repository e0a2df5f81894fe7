"""Commands about colours, on real files: nothing here is slow."""

import json

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from mockup.design.read import read_design
from mockup.faces.cli import cli

STRIPES = (((13, 35, 72), 6), ((242, 232, 213), 3), ((207, 122, 85), 1))


def run(*words):
    return CliRunner().invoke(cli, [str(word) for word in words], prog_name="tumbler-mockup")


@pytest.fixture
def regatta(tmp_path):
    """The demo's folder."""
    assert run("demo", tmp_path / "regatta").exit_code == 0
    return tmp_path / "regatta"


@pytest.fixture
def stripes(tmp_path):
    """A picture of three colours with shares .6, .3 and .1."""
    rows = [np.broadcast_to(np.array(c, np.uint8), (10 * n, 50, 3)) for c, n in STRIPES]
    Image.fromarray(np.concatenate(rows)).save(tmp_path / "stripes.png")
    return tmp_path / "stripes.png"


def test_a_palette_goes_out_as_a_list_and_comes_back_whole(regatta, tmp_path):
    out = run("palettes", regatta, "--palette", "mackerel", "--to", tmp_path / "fish.gpl")
    back = run("palettes", regatta, "--from", tmp_path / "fish.gpl", "--name", "fish")

    assert (out.exit_code, out.stdout) == (0, f"Wrote {tmp_path / 'fish.gpl'}\n")
    assert out.stderr.count("a list of colours holds only how it looks") == 5
    assert back.exit_code == 0
    assert back.stdout == "Wrote palettes/fish.toml; see it with --palette 'fish'\n"
    assert back.stderr.count(" stays a ") == 5
    palettes = read_design(regatta).palettes
    mackerel = palettes["mackerel"]
    assert palettes["fish"] == mackerel.model_copy(update={"name": "fish"})


@pytest.mark.parametrize("ending", [".csv", ".json", ".toml"])
def test_a_palette_goes_out_and_back_by_each_other_file(regatta, tmp_path, ending):
    file = tmp_path / f"sea{ending}"

    assert run("palettes", regatta, "--to", file).exit_code == 0
    assert run("palettes", regatta, "--from", file, "--name", "sea").exit_code == 0
    palettes = read_design(regatta).palettes
    assert palettes["sea"].roles == palettes["deep-water"].roles


def test_choosing_says_what_the_cup_is_in(regatta):
    result = run("palettes", regatta, "--use", "kelp-bed")

    assert result.stdout == "Seaglass Eight, seat 7 is now in kelp-bed\n"
    assert read_design(regatta).document.palette == "kelp-bed"
    assert "* kelp-bed " in run("palettes", regatta).stdout


def test_a_palette_out_of_a_picture_dresses_the_cup(regatta, stripes):
    result = run("palettes", regatta, "--from", stripes)

    assert (result.exit_code, result.stderr) == (0, "")
    design = read_design(regatta).with_palette("stripes")
    assert design.swatch("lettering", where="").label == "copper foil"
    assert design.swatch("backing", where="").srgb == "#0d2348"


def test_what_does_not_fit_is_taken_in_and_told(regatta, tmp_path):
    (tmp_path / "two.gpl").write_text("GIMP Palette\n0 0 0 ink\n255 255 255 paper\n")

    result = run("palettes", regatta, "--from", tmp_path / "two.gpl")

    assert result.exit_code == 0
    assert "It does not fit Seaglass Eight, seat 7 yet: no role" in result.stderr
    assert "two  does not fit" in run("palettes", regatta).stdout


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--use", "kelp-bed", "--to", "x.gpl"), "--use and --to are two things"),
        (("--palette", "kelp-bed"), "add --to FILE"),
        (("--name", "x"), "--name and --replace go with --from"),
        (("--replace",), "--name and --replace go with --from"),
        (("--to", "x.txt"), "does not end in .gpl"),
    ],
)
def test_options_that_do_not_go_together_are_wrong_usage(regatta, words, says):
    result = run("palettes", regatta, *words)

    assert result.exit_code == 2
    assert says in " ".join(result.stderr.split())


def test_colours_tells_shares_and_writes_them(stripes, tmp_path):
    result = run("colours", stripes, "--to", tmp_path / "out.gpl")

    assert (result.exit_code, result.stderr) == (0, "")
    assert [line.split()[:2] for line in result.stdout.splitlines()[:3]] == [
        ["#0d2348", "60.0"],
        ["#f2e8d5", "30.0"],
        ["#cf7a55", "10.0"],
    ]
    assert " 13  35  72\tvery dark blue" in (tmp_path / "out.gpl").read_text()


def test_colours_prints_json(stripes):
    found = json.loads(run("colours", stripes, "--json", "--most", "2").stdout)

    assert found == [{"srgb": "#0d2348", "share": 0.6}, {"srgb": "#f2e8d5", "share": 0.4}]


def test_a_picture_that_is_not_there_is_told(tmp_path):
    result = run("colours", tmp_path / "nothing.png")

    assert result.exit_code == 1
    assert "the picture cannot be read" in result.stderr


@pytest.mark.parametrize("colour", ["0d2348", "#0D2348"])
def test_companions_are_told_with_their_tints(colour):
    found = json.loads(run("companions", colour, "--steps", "5", "--json").stdout)

    assert found["colour"] == "#0d2348"
    assert [len(found[name]) for name in ("opposite", "thirds", "dark to light")] == [1, 2, 5]
    told = run("companions", colour).stdout
    assert found["opposite"][0] in told
    assert "dark to light" in told


def test_what_is_no_colour_is_wrong_usage():
    result = run("companions", "navy")

    assert result.exit_code == 2
    assert "'navy' is no colour such as 0d2348" in result.stderr
