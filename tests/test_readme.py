"""README is true: its commands are accepted, its design is drawn, its pictures are there."""

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest
from PIL import Image

from mockup.blank.wall import build_blank
from mockup.design.read import read_design
from mockup.faces.cli import cli
from mockup.files import shipped
from mockup.skin.compile import compile_skin

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
MOST_BYTES = 120_000  # of a picture; a clone stays small


def _blocks(kind):
    return re.findall(rf"^```{kind}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def _command_lines():
    """Every call of the program in a shell block, without the path before it."""
    joined = "\n".join(_blocks("sh")).replace("\\\n", " ")
    return re.findall(r"tumbler-mockup (.+?)(?: &&)?$", joined, re.MULTILINE)


@pytest.mark.parametrize("line", _command_lines())
def test_every_command_line_is_accepted(line):
    """Parsed by the command itself, so that a renamed option cannot leave README behind."""
    name, *words = shlex.split(line)
    command = cli.commands[name]
    if hasattr(command, "commands"):
        command, *words = command.commands[words[0]], *words[1:]

    assert command.make_context(name, words).params


def test_every_command_is_in_the_table_and_in_an_example():
    section = README.split("\n## Commands\n")[1].split("\n## ")[0]

    assert set(re.findall(r"^\| `(\w+)` \|", section, re.MULTILINE)) == set(cli.commands)
    assert {line.split()[0] for line in _command_lines()} == set(cli.commands)


def test_the_first_block_makes_the_proof_and_the_second_passes_the_tests():
    setup, test, *_ = _blocks("sh")

    assert 'pip install -q -e ".[test]"' in setup
    assert setup.endswith("tumbler-mockup proof regatta -o regatta.pdf\n")
    assert test == ".venv/bin/python tests/check.py\n"


@pytest.mark.parametrize("nth", [1, 2])
def test_ci_runs_the_blocks_as_they_stand(nth):
    """The script's own function finds them, so that CI tries what a reader is told to type."""
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    function = re.search(r"^block\(\) \{.*?^\}$", script, re.MULTILINE | re.DOTALL)
    assert function
    found = subprocess.run(
        ["bash", "-c", f"{function[0]}\nblock {nth}"], cwd=ROOT, capture_output=True, check=True
    )

    assert f'"$(block {nth})"' in script
    assert found.stdout.decode() == _blocks("sh")[nth - 1]


def test_the_design_in_readme_is_laid_in_the_demo_s_folder(tmp_path):
    """Read with its palette and artwork, and compiled: every layer meets the wall."""
    shutil.copytree(shipped("textures", "regatta"), tmp_path, dirs_exist_ok=True)
    (text,) = _blocks("toml")
    (tmp_path / "design.toml").write_text(text, "utf-8")

    design = read_design(tmp_path)
    skin = compile_skin(design, build_blank(design.document.blank, where="blank"), texel_mm=0.5)

    kinds = {layer.kind for layer in design.document.layers}
    assert kinds == {"base", "wrap", "glitter", "decal", "coat"}
    assert skin.art_rgba8_srgb[..., 3].any()
    assert [sheet.role for sheet in skin.sheets] == ["backing", "lettering"]
    assert skin.flake_coverage.max() > 200


def test_every_picture_is_there_and_small():
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)

    assert len(pictures) >= 3
    for name in pictures:
        assert (ROOT / name).stat().st_size <= MOST_BYTES, name
        with Image.open(ROOT / name) as picture:
            assert picture.width >= 600, name


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_every_link_leads_somewhere(page):
    text = (ROOT / page).read_text("utf-8")

    for link in re.findall(r"\]\(([^)#]+)", text):
        assert (ROOT / link).exists(), link
