"""A design under several palettes: the pictures are the stills, the shapes are compiled once."""

import importlib
import io
import json

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image
from pypdf import PdfReader

from mockup import pipeline
from mockup.colorimetry.vision import VISIONS
from mockup.design.read import read_design
from mockup.design.shelf import read_shelf
from mockup.errors import UnknownName
from mockup.faces.cli import cli
from mockup.files import shipped
from mockup.outputs.plan.making import making
from mockup.pipeline.options import options
from mockup.render.process import RenderProcess
from tests.design.sample import PALETTE, write_sample

module = importlib.import_module("mockup.pipeline.options")
DEMO = shipped("textures", "regatta")
TWO = ("storm-silver", "abalone")
SMALL = pipeline.Shot(60, 80, samples=1)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Two palettes at a small size: what came back, the picture, and how often what was done."""
    counts = {"built": 0, "sent": 0, "processes": 0}
    folder = tmp_path_factory.mktemp("options")
    with pytest.MonkeyPatch.context() as patch:
        build, ask, start = module.build_cup, RenderProcess._ask, RenderProcess.__init__

        def counted_build(*given, **named):
            counts["built"] += 1
            return build(*given, **named)

        def counted_ask(self, model, *given):
            counts["sent"] += self._loaded != model.key
            return ask(self, model, *given)

        def counted_start(self):
            counts["processes"] += 1
            start(self)

        patch.setattr(module, "build_cup", counted_build)
        patch.setattr(RenderProcess, "_ask", counted_ask)
        patch.setattr(RenderProcess, "__init__", counted_start)
        told = []
        result = options(
            DEMO, folder / "two.png", palettes=TWO, shot=SMALL, turns=3,
            progress=lambda share, doing: told.append(share),
        )  # fmt: skip
    return result, folder / "two.png", counts, told


def test_shapes_are_compiled_once_and_carried_to_the_renderer_once(made):
    _, _, counts, _ = made

    assert counts == {"built": 1, "sent": 1, "processes": 1}


def test_each_picture_is_the_still_under_its_palette(made):
    """Pixel for pixel, but for the empty sides that are cut off; and it lies on the sheet."""
    result, file, _, _ = made
    cup = pipeline.build_cup(read_design(DEMO))
    with RenderProcess() as renderer:
        for column, name in zip(result.facts.columns, TWO, strict=True):
            still = pipeline.render_cup(cup.with_palette(name), SMALL, renderer).rgba8_srgb
            spare = (still.shape[1] - column.picture.shape[1]) // 2
            assert spare > 5
            np.testing.assert_array_equal(column.picture, still[:, spare:-spare])
    assert [column.name for column in result.facts.columns] == list(TWO)
    with Image.open(file) as sheet:
        assert sheet.width > 700


def test_the_whole_cup_stays_in_its_narrowed_picture(made):
    """Left and right of it the same ground: nothing of the cup was cut off."""
    result, *_ = made
    picture = result.facts.columns[0].picture.astype(int)

    for edge in (picture[10:60, 0], picture[10:60, -1]):
        assert np.abs(np.diff(edge, axis=0)).max() < 12


def test_what_materials_cost_is_what_the_plan_says(made):
    result, *_ = made
    design, shelf = read_design(DEMO), read_shelf(None)
    blank = pipeline.build_cup(design).blank

    for figures in result.figures:
        plan = making(design.with_palette(figures["palette"]), blank, shelf).price
        assert figures["materials"]["materials_minor"] == plan.materials_minor
        assert figures["materials"]["waste_minor"] == plan.waste.minor


def test_every_decal_is_judged_by_every_lamp_and_round_the_turn_in_the_light_shown(made):
    result, *_ = made

    for figures in result.figures:
        names = [decal["decal"] for decal in figures["contrast"]]
        assert names == ["wave border", "oars", "crew name", "boat", "seat number"]
        assert [decal["decal"] for decal in figures["legibility"]] == names
        assert all(set(decal["weakest"]) == set(VISIONS) for decal in figures["contrast"])
        assert all(decal["lights"] == ["softbox"] for decal in figures["legibility"])


def test_findings_are_those_on_reading_that_the_check_tells_and_the_row_says_so(made):
    """As by the check, a decal that fails in even light is not told to fade as well."""
    result, *_ = made
    told = [figures["findings"] for figures in result.figures]

    assert result.facts.rows[-1] == "FINDINGS ON READING"
    counted = [column.cells[-1].figure for column in result.facts.columns]
    assert counted == [str(len(findings) or "none") for findings in told]
    rules = [{(found["where"], found["rule"]) for found in findings} for findings in told]
    failing = [{where for where, rule in some if rule == "low contrast"} for some in rules]
    assert any(failing)
    for some, low in zip(rules, failing, strict=True):
        assert not {where for where, rule in some if rule == "fades out"} & low


def test_progress_only_grows_and_ends(made):
    _, _, _, told = made

    assert told == sorted(told)
    assert told[-1] == 1.0


def test_the_same_design_gives_the_same_bytes(made, tmp_path):
    _, file, _, _ = made

    options(DEMO, tmp_path / "again.png", palettes=TWO, shot=SMALL, turns=3)

    assert (tmp_path / "again.png").read_bytes() == file.read_bytes()


def test_it_can_be_stopped_and_leaves_nothing(tmp_path):
    class EnoughError(Exception):
        pass

    def progress(share, doing):
        if doing == "drawing abalone":
            raise EnoughError

    with pytest.raises(EnoughError):
        options(DEMO, tmp_path / "two.png", palettes=TWO, shot=SMALL, turns=0, progress=progress)

    assert list(tmp_path.iterdir()) == []


def test_a_palette_that_is_not_there_is_told_before_the_work(tmp_path):
    with pytest.raises(UnknownName, match="kelp-bed"):
        options(DEMO, tmp_path / "x.png", palettes=("deep-water", "kelp-bad"))


def test_the_command_writes_pages_and_tells_how_to_choose(tmp_path):
    """Of all palettes at hand those that fit, the one in use first; the others are named."""
    write_sample(tmp_path / "cup")
    bare = PALETTE.replace("foil =", "other =")
    (tmp_path / "cup" / "palettes" / "bare.toml").write_text(bare)
    words = ["options", str(tmp_path / "cup"), "-o", str(tmp_path / "all.pdf"), "--size", "60x80"]

    done = CliRunner().invoke(cli, [*words, "--views", "0", "--no-cost"])

    assert done.exit_code == 0, done.output
    assert " palettes do not fit and are left out: abalone, bare, " in done.stderr
    assert " 1* neap" in done.stdout
    assert "Choose one with: tumbler-mockup palettes" in done.stdout
    pages = PdfReader(io.BytesIO((tmp_path / "all.pdf").read_bytes())).pages
    text = "\n".join(page.extract_text() for page in pages)
    assert "neap" in text
    assert "EUR" not in text
    assert "LEGIBILITY" not in text


def test_the_command_prints_json(made, monkeypatch):
    result, file, _, _ = made
    asked = {}

    def stand_in(path, output, **given):
        asked.update(given)
        return result

    monkeypatch.setattr(pipeline, "options", stand_in)
    words = ["options", str(DEMO), "-o", str(file), "--palette", TWO[0], "--palette", TWO[1]]

    done = CliRunner().invoke(cli, [*words, "--turn", "90", "--light", "window", "--json"])
    told = json.loads(done.stdout)

    assert told["file"] == str(file)
    assert [option["palette"] for option in told["options"]] == list(TWO)
    assert told["left_out"] == []
    assert asked["palettes"] == TWO
    assert (asked["light"], asked["shot"].turn_deg, asked["turns"]) == ("window", 90.0, 8)
    assert (asked["with_cost"], asked["paper"], asked["shot"].samples) == (True, "a4", 8)
