"""The command line parses, calls and prints; the words here are what scripts rely on."""

import importlib
import inspect
import json
import os
import signal
import subprocess
import sys
from dataclasses import dataclass, field, fields
from datetime import datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

import mockup
from mockup.checks.finding import Finding
from mockup.design.read import read_design
from mockup.errors import RenderError
from mockup.faces.cli import cli
from tests.design.sample import DESIGN, PALETTE, write_sample

HEAVY = ("pyvista", "vtkmodules", "colour", "streamlit", "scipy", "pydantic", "numpy")


@dataclass(frozen=True)
class Shot:
    """As the pipeline has it."""

    width_px: int = 1200
    height_px: int = 1600
    turn_deg: float = 0.0
    elevation_deg: float = 10.0
    samples: int | None = None
    transparent: bool = False


@dataclass
class Pipeline:
    """Notes how it is called, and does what a test wants done."""

    Shot: type = Shot
    Terms: type = SimpleNamespace
    calls: list = field(default_factory=list)
    fault: BaseException | None = None

    def _note(self, name, **given):
        self.calls.append(SimpleNamespace(name=name, **given))
        if self.fault is not None:
            raise self.fault

    def write_demo(self, folder):
        """Give the design it would have written."""
        self._note("write_demo", folder=folder)
        return folder / "design.toml"

    def render(
        self, path, output, *, shot, palette=None, light=None, linear=None, scene=None, progress
    ):
        """Note what would be rendered."""
        progress(0.5, "half way")
        self._note(
            "render", path=path, output=output, shot=shot, palette=palette, light=light,
            linear=linear, scene=scene,
        )  # fmt: skip

    def proof(
        self, path, output, *, paper="a4", palettes=(), light=None, terms=None, progress
    ):  # fmt: skip
        """Note what would be laid out."""
        progress(0.5, "half way")
        self._note("proof", path=path, output=output, paper=paper, palettes=palettes, light=light)
        return SimpleNamespace(files=(output,), notes=())

    def cut(
        self, path, folder, *, cups=1, shelf=None, paper="a4", sheet_size=None, foil_mirrored=True,
        palette=None, standing="not approved", progress,
    ):  # fmt: skip
        """Note what would be cut; tell of one file and of one thing that was found."""
        progress(0.5, "half way")
        self._note(
            "cut", path=path, folder=folder, cups=cups, shelf=shelf, paper=paper,
            sheet_size=sheet_size, foil_mirrored=foil_mirrored, palette=palette,
        )  # fmt: skip
        found = Finding("warn", "thin gap", "cup: layers[2]", 0.6, 0.8, "mm", "Look at the gap.")
        return (folder / "cut-sheets.pdf",), (found,)

    def worksheet(
        self, path, output, *, start, due=None, cups=1, shelf=None, room_c=None, paper="a4",
        palette=None, light=None, standing="not approved", progress,
    ):  # fmt: skip
        """Note what would be laid out."""
        progress(0.5, "half way")
        self._note(
            "worksheet", path=path, output=output, start=start, due=due, cups=cups, shelf=shelf,
            room_c=room_c, paper=paper, palette=palette, light=light,
        )  # fmt: skip


@pytest.fixture
def pipeline(monkeypatch):
    stand_in = Pipeline()
    monkeypatch.setattr(mockup, "pipeline", stand_in, raising=False)
    return stand_in


def run(*words):
    return CliRunner().invoke(cli, [str(word) for word in words], prog_name="tumbler-mockup")


def test_the_stand_in_is_called_as_the_pipeline_is():
    """What the commands hand to the stand-in, the pipeline would take."""
    real = importlib.import_module("mockup.pipeline")
    shot = {f.name: f.default for f in fields(real.Shot)}
    assert {f.name: f.default for f in fields(Shot)} == shot
    for name in ("write_demo", "render", "proof", "cut", "worksheet"):
        taken = inspect.signature(getattr(real, name)).parameters.values()
        ours = inspect.signature(getattr(Pipeline(), name)).parameters.values()
        assert [(p.name, p.kind) for p in ours] == [(p.name, p.kind) for p in taken]


def test_demo_writes_into_the_folder_and_says_where(pipeline):
    result = run("demo", "regatta")

    assert result.exit_code == 0
    assert result.stdout == f"Wrote {Path('regatta/design.toml')}\n"
    assert pipeline.calls[0].folder == Path("regatta")


def test_render_without_options_takes_the_pipelines_own(pipeline):
    result = run("render", "cup", "-o", "cup.png")
    (call,) = pipeline.calls

    assert (result.exit_code, result.stdout, result.stderr) == (0, "Wrote cup.png\n", "")
    assert (call.path, call.output) == (Path("cup"), Path("cup.png"))
    assert call.shot == Shot()
    assert (call.palette, call.light, call.linear, call.scene) == (None,) * 4


def test_render_hands_on_every_option(pipeline):
    result = run(
        "render", "cup.tumbler", "-o", "cup.PNG", "--size", "900x1200", "--turn", "-90",
        "--elevation", "25.5", "--light", "window", "--palette", "neap", "--samples", "16",
        "--transparent", "--linear", "cup.npy", "--scene", "cup.json",
    )  # fmt: skip
    (call,) = pipeline.calls

    assert result.exit_code == 0
    assert call.shot == Shot(900, 1200, -90.0, 25.5, 16, True)
    assert (call.palette, call.light) == ("neap", "window")
    assert (call.linear, call.scene) == (Path("cup.npy"), Path("cup.json"))


def test_proof_hands_on_every_option(pipeline):
    run("proof", "cup", "-o", "cup.pdf")
    run("proof", "cup", "-o", "cup.pdf", "--paper", "letter", "--palette", "neap", "--light", "sun")
    plain, chosen = pipeline.calls

    assert (plain.paper, tuple(plain.palettes), plain.light) == ("a4", (), None)
    assert (chosen.paper, tuple(chosen.palettes), chosen.light) == ("letter", ("neap",), "sun")


def test_cut_hands_on_every_option_and_tells_what_was_found(pipeline):
    plain = run("cut", "cup", "-o", "sheets")
    run(
        "cut", "cup", "-o", "sheets", "--paper", "whole", "--sheet", "305x610", "--foil", "face-up",
        "--palette", "neap", "--cups", "4", "--shelf", "my.toml",
    )  # fmt: skip
    first, second = pipeline.calls

    assert (plain.exit_code, plain.stdout) == (0, f"Wrote {Path('sheets/cut-sheets.pdf')}\n")
    assert plain.stderr == "cup: layers[2]: Look at the gap.\n"
    assert (first.folder, first.paper, first.foil_mirrored) == (Path("sheets"), "a4", True)
    assert (first.sheet_size, first.cups, first.shelf) == (None, 1, None)
    assert (second.cups, second.shelf) == (4, Path("my.toml"))
    assert (second.paper, second.foil_mirrored, second.palette) == ("whole", False, "neap")
    assert str(second.sheet_size) == "sheet 305 × 610 mm"


def test_cut_prints_its_findings_as_json(pipeline):
    told = json.loads(run("cut", "cup", "-o", "sheets", "--json").stdout)

    assert told["files"] == [str(Path("sheets/cut-sheets.pdf"))]
    assert told["findings"][0] == {
        "severity": "warn",
        "rule": "thin gap",
        "where": "cup: layers[2]",
        "measured": 0.6,
        "limit": 0.8,
        "unit": "mm",
        "advice": "Look at the gap.",
    }


def test_cut_writes_the_sheets_of_the_demo(tmp_path):
    """The real pipeline: a PDF, and an SVG each for the template, both materials and the strip."""
    run("demo", tmp_path / "regatta")

    result = run("cut", tmp_path / "regatta", "-o", tmp_path / "new" / "sheets")

    assert result.exit_code == 0
    written = sorted(path.suffix for path in (tmp_path / "new" / "sheets").iterdir())
    assert written == [".pdf", ".svg", ".svg", ".svg", ".svg"]


def test_worksheet_hands_on_every_option(pipeline):
    """A day alone begins with its first minute, and what is due then is so by its last."""
    result = run(
        "worksheet", "cup", "-o", "cup.pdf", "--cups", "4", "--shelf", "my.toml", "--room", "19",
        "--start", "2026-06-01", "--due", "2026-06-12", "--paper", "letter", "--palette", "neap",
        "--light", "sun",
    )  # fmt: skip
    (call,) = pipeline.calls

    assert (result.exit_code, result.stdout) == (0, "Wrote cup.pdf\n")
    assert (call.start, call.due) == (datetime(2026, 6, 1), datetime(2026, 6, 12, 23, 59))
    assert (call.cups, call.shelf, call.room_c) == (4, Path("my.toml"), 19.0)
    assert (call.paper, call.palette, call.light) == ("letter", "neap", "sun")


def test_a_worksheet_begins_at_a_minute_or_tomorrow(pipeline):
    run("worksheet", "cup", "-o", "cup.pdf", "--start", "2026-06-01T09:30")
    before = datetime.now().date()
    run("worksheet", "cup", "-o", "cup.pdf")
    given, left_out = pipeline.calls

    assert (given.start, given.due) == (datetime(2026, 6, 1, 9, 30), None)
    assert left_out.start.date() - before in (timedelta(days=1), timedelta(days=2))


@pytest.mark.parametrize("moment", ["1 June", "2026-02-30", "2026-06-01T25:00", "0001-01-01"])
def test_a_date_that_is_none_is_told(pipeline, moment):
    result = run("worksheet", "cup", "-o", "cup.pdf", "--start", moment)

    assert result.exit_code == 2
    assert f"{moment!r} is not a date such as 2026-06-01" in result.stderr


def test_plan_tells_the_days_and_writes_them(tmp_path):
    """A real design: JSON, calendar and chart are of one plan."""
    design = write_sample(tmp_path / "cup")
    result = run(
        "plan", design, "--json", "--cups", "2", "--start", "2026-06-01", "--due", "2026-06-30",
        "--calendar", tmp_path / "cup.ics", "--chart", tmp_path / "cup.png",
    )  # fmt: skip
    assert (result.exit_code, result.stderr) == (0, "")
    days = json.loads(result.stdout)["days"]
    calendar = (tmp_path / "cup.ics").read_text()

    assert calendar.count("BEGIN:VEVENT") == len(days["steps"])
    assert days["ready"][:10].replace("-", "") in calendar
    assert days["latest_start"] > days["begins"]
    assert (tmp_path / "cup.png").read_bytes()[:4] == b"\x89PNG"


def test_a_plan_without_days_still_has_its_price(tmp_path):
    """More cups than can be planned day by day; asked for a due date, it is told instead."""
    design = write_sample(tmp_path / "cup")
    told = json.loads(run("plan", design, "--json", "--cups", "900").stdout)
    asked = run("plan", design, "--cups", "900", "--due", "2026-06-30")

    assert told["days"] is None
    assert "225 rackfuls" in told["no_days"]
    assert told["price"]["quote"]["cups"] == 900
    assert asked.exit_code == 1
    assert "225 rackfuls" in asked.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["render", "cup"], "Missing option '-o'"),
        (["render", "-o", "cup.png"], "Missing argument 'DESIGN'"),
        (["render", "cup", "-o", "cup.jpg"], "'cup.jpg' does not end in .png."),
        (["render", "cup", "-o", "c.png", "--size", "900"], "'900' is not a size"),
        (["render", "cup", "-o", "c.png", "--size", "0x900"], "'0x900' is not a size"),
        (["render", "cup", "-o", "c.png", "--size", "99999x9"], "'99999x9' is not a size"),
        (["render", "cup", "-o", "c.png", "--turn", "left"], "'left' is not a valid float"),
        (["render", "cup", "-o", "c.png", "--turn", "400"], "400.0 is not in the range"),
        (["render", "cup", "-o", "c.png", "--turn", "nan"], "'nan' is not an angle"),
        (["render", "cup", "-o", "c.png", "--elevation", "90"], "90.0 is not in the range"),
        (["render", "cup", "-o", "c.png", "--samples", "0"], "0 is not in the range"),
        (["render", "cup", "-o", "c.png", "--scene", "c.txt"], "'c.txt' does not end in .json."),
        (["proof", "cup", "-o", "cup.pdf", "--paper", "a3"], "'a3' is not one of 'a4', 'letter'"),
        (["cut", "cup"], "Missing option '-o'"),
        (["cut", "cup", "-o", "d", "--sheet", "a4"], "'a4' is no size of sheet"),
        (["cut", "cup", "-o", "d", "--foil", "shiny"], "'shiny' is not one of"),
        (["pack", "cup", "-o", "cup.zip"], "'cup.zip' does not end in .tumbler."),
        (["paint", "cup"], "No such command 'paint'"),
        (["render", "cup", "-o", "c.png", "--colour", "red"], "No such option"),
    ],
)
def test_wrong_usage_ends_with_2_before_anything_is_done(pipeline, words, said):
    result = run(*words)

    assert result.exit_code == 2
    assert said in result.stderr
    assert pipeline.calls == []


def test_a_problem_to_mend_is_one_plain_sentence_and_ends_with_1(pipeline):
    pipeline.fault = RenderError("no OpenGL", where="render", remedy="Install libegl1")

    result = run("render", "cup", "-o", "cup.png")

    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr == "render: no OpenGL. Install libegl1.\n"


def test_an_output_without_a_folder_is_told_before_the_work(pipeline, tmp_path):
    path = tmp_path / "nowhere" / "cup.png"

    result = run("render", "cup", "-o", path)

    assert (result.exit_code, pipeline.calls) == (1, [])
    assert result.stderr == (
        f"{path}: its folder is not there. Make the folder first, or name another.\n"
    )


def test_a_stop_by_the_user_says_so_and_ends_with_130(pipeline):
    pipeline.fault = KeyboardInterrupt()

    result = run("render", "cup", "-o", "cup.png")

    assert (result.exit_code, result.stdout) == (130, "")
    assert result.stderr == "Stopped; nothing was written.\n"


def test_pack_prints_the_fingerprint_that_the_pack_keeps(tmp_path):
    path = write_sample(tmp_path / "cup")
    pack = tmp_path / "cup.tumbler"

    result = run("pack", path, "-o", pack)

    assert result.exit_code == 0
    assert result.stdout == f"Wrote {pack}, fingerprint {read_design(path).fingerprint}\n"
    assert read_design(pack).fingerprint in result.stdout


def test_palettes_are_listed_with_the_one_in_use_and_those_that_do_not_fit(tmp_path):
    path = write_sample(tmp_path / "cup")
    bare = PALETTE.replace("Neap tide", "Bare").replace("foil =", "vinyl =")
    (path.parent / "palettes" / "bare.toml").write_text(bare)

    lines = run("palettes", path).stdout.splitlines()

    assert "* neap" in lines
    assert "  bare  does not fit: no role of palette 'Bare' is named 'foil'" in lines


def test_palettes_are_printed_as_json(tmp_path):
    path = write_sample(tmp_path / "cup")

    found = json.loads(run("palettes", path, "--json").stdout)

    assert found["in_use"] == "neap"
    assert found["palettes"]["neap"]["roles"]["base"]["srgb"] == "#0b2545"
    assert found["palettes"]["neap"]["misfit"] is None


@pytest.mark.parametrize("command", ["pack", "palettes"])
def test_a_design_that_cannot_be_read_ends_with_1(tmp_path, command):
    path = write_sample(tmp_path / "cup", design=DESIGN.replace("cut_mm", "cut_m"))
    words = ["-o", tmp_path / "cup.tumbler"] if command == "pack" else []

    result = run(command, path, *words)

    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr == (
        "design.toml: layers[2].cut_m: glitter has no cut_m. Use cut_mm, in millimetres.\n"
    )


def test_version_is_the_packages():
    assert run("--version").stdout == f"tumbler-mockup {mockup.__version__}\n"


def python(code):
    pipe = subprocess.PIPE
    return subprocess.Popen([sys.executable, "-c", code], stdout=pipe, stderr=pipe, text=True)


@pytest.mark.parametrize("words", [["--help"], ["render", "--help"], ["proof"]])
def test_help_and_usage_come_without_waiting_for_the_libraries(words):
    child = python(
        "import atexit, sys\n"
        "from mockup.faces.cli import main\n"
        f"atexit.register(lambda: print('loaded', *set(sys.modules) & set({HEAVY})))\n"
        f"sys.argv = ['tumbler-mockup', *{words}]\n"
        "main()"
    )
    out, _ = child.communicate(timeout=20)

    assert out.splitlines()[-1] == "loaded"


def test_a_real_interrupt_ends_with_130_and_no_traceback():
    child = python(
        "import sys, time, types\n"
        "import mockup\n"
        "def wait(*a, **k): print('ready', flush=True); time.sleep(30)\n"
        "mockup.pipeline = types.SimpleNamespace(Shot=lambda **k: None, render=wait)\n"
        "from mockup.faces.cli import main\n"
        "sys.argv = ['tumbler-mockup', 'render', 'cup', '-o', 'cup.png']\n"
        "main()"
    )
    assert child.stdout.readline() == "ready\n"
    os.kill(child.pid, signal.SIGINT)
    _, err = child.communicate(timeout=20)

    assert (child.returncode, err) == (130, "Stopped; nothing was written.\n")
