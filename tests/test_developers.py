"""DEVELOPERS is true: its tables are those of the code, its words are there."""

import re
import tomllib
from pathlib import Path
from typing import get_args

import pytest

from mockup.design.layers import AnyLayer, Coverage
from mockup.skin.compile import LAY
from tests import developer_tables

ROOT = Path(__file__).parent.parent
TEXT = developer_tables.PAGE.read_text("utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
LICENCES = "Licences of what we depend on"
LAYERS = PROJECT["tool"]["importlinter"]["contracts"][0]["layers"]


def _section(heading):
    return re.split(r"^#{2,3} ", TEXT.split(f"# {heading}\n")[1], maxsplit=1, flags=re.MULTILINE)[0]


def _members(union):
    return get_args(get_args(union)[0])


def test_the_tables_are_those_of_the_code():
    """On failure run ``python tests/developer_tables.py`` and look at what changed."""
    assert developer_tables.rewritten(TEXT) == TEXT


@pytest.mark.parametrize("name", [*developer_tables.MAPS, "exit_coated"])
def test_a_table_that_lost_a_row_is_noticed(name):
    """The comparison above sees a single missing channel."""
    fewer = re.sub(rf"^\|[^\n]*`{name}`[^\n]*\n", "", TEXT, flags=re.MULTILINE)

    assert fewer != TEXT
    assert developer_tables.rewritten(fewer) == developer_tables.rewritten(TEXT)


def test_the_order_of_stages_is_that_of_the_import_contract():
    assert f"\n{' → '.join(LAYERS)}\n" in TEXT


def test_every_stage_is_told():
    """Folders of the package, as they lie on disk."""
    stages = {path.parent.name for path in ROOT.glob("mockup/*/__init__.py")}

    assert set(re.findall(r"^\| `(\w+)` \|", _section("The pipeline"), re.MULTILINE)) == stages


@pytest.mark.parametrize(
    "word",
    [
        "blank", "wall", "flat", "front", "seam", "base coat", "wrap", "glitter", "decal", "coat",
        "swatch", "palette", "option", "light", "proof", "turn", "wall coordinates",
        "object frame", "stage frame", "light map", "flat space", "sheet space", "local frame",
    ],
)  # fmt: skip
def test_a_word_is_told_once(word):
    assert len(re.findall(rf"^\| \*\*{word}\*\*", TEXT, re.MULTILINE)) == 1


def test_every_kind_of_layer_and_coverage_is_in_the_glossary():
    glossary = _section("Glossary")
    kinds = {member.model_fields["kind"].default for member in _members(AnyLayer)}
    shapes = {member.model_fields["shape"].default for member in _members(Coverage)}

    assert kinds == set(LAY)
    assert {kind for kind in kinds if f"`{kind}`" not in glossary} == set()
    assert {shape for shape in shapes if shape not in glossary.lower()} == set()


@pytest.mark.parametrize(
    "symbol", ["n", "μ", "F", "T", "K1", "K2", "ρ", "α", "τ", "C", "λ", "m", "σ"]
)
def test_a_symbol_is_in_the_notation(symbol):
    symbols = re.findall(r"^\| ([^|]+) \|", _section("Notation"), re.MULTILINE)

    assert any(re.search(rf"(?<!\w){symbol}(?!\w)", cell) for cell in symbols)


def test_every_dependency_has_its_licence_told():
    project = PROJECT["project"]
    wanted = project["dependencies"] + project["optional-dependencies"]["test"]
    names = {re.match(r"[\w-]+", line)[0] for line in wanted}
    rows = re.findall(r"^\| ([\w, -]+) \| [^|]+ \|", _section(LICENCES), re.MULTILINE)
    told = {name for row in rows for name in row.split(", ")} - {"package"}

    assert told == names


@pytest.mark.parametrize("path", sorted(set(re.findall(r"`((?:mockup|tests)/[\w/]+\.\w+)`", TEXT))))
def test_every_file_it_names_is_there(path):
    if "NAME" not in path:
        assert (ROOT / path).exists()
