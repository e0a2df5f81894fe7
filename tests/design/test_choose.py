"""A palette is taken in beside a design, and becomes its choice, without a word lost."""

import difflib

import pytest

from mockup.design.choose import add_palette, choose_palette
from mockup.design.pack import write_pack
from mockup.design.palette import MetalSwatch, PigmentSwatch
from mockup.design.read import read_design
from mockup.errors import DesignError, UnknownName
from mockup.files import shipped


@pytest.fixture
def regatta(tmp_path):
    """The demo's files as a folder that may be changed."""
    import shutil

    shutil.copytree(shipped("textures", "regatta"), tmp_path / "regatta")
    return tmp_path / "regatta"


@pytest.fixture
def pack(regatta, tmp_path):
    """The demo as a pack."""
    write_pack(read_design(regatta), tmp_path / "regatta.tumbler")
    return tmp_path / "regatta.tumbler"


def _text(folder):
    return (folder / "design.toml").read_text("utf-8")


def test_choosing_changes_one_line_and_keeps_its_comment(regatta):
    file = regatta / "design.toml"
    file.write_text(
        _text(regatta).replace('"deep-water"', '"deep-water"   # agreed in May'), "utf-8"
    )
    before = _text(regatta).splitlines()

    design = choose_palette(regatta, "kelp-bed")

    changed = [
        line for line in difflib.ndiff(before, _text(regatta).splitlines()) if line[0] in "+-"
    ]
    assert changed == [
        '- palette = "deep-water"   # agreed in May',
        '+ palette = "kelp-bed"   # agreed in May',
    ]
    assert design == read_design(regatta)
    assert design.palette.name == "kelp-bed"


def test_choosing_works_on_the_file_itself_and_twice(regatta):
    choose_palette(regatta / "design.toml", "kelp-bed")
    choose_palette(regatta / "design.toml", "deep-water")

    assert _text(regatta) == (shipped("textures", "regatta") / "design.toml").read_text("utf-8")


def test_choosing_in_a_pack_writes_the_pack_anew(pack, regatta):
    choose_palette(pack, "oxblood")

    assert read_design(pack).fingerprint == choose_palette(regatta, "oxblood").fingerprint


@pytest.mark.parametrize("where", ["regatta", "pack"])
def test_a_palette_that_is_not_there_changes_nothing(request, where):
    path = request.getfixturevalue(where)
    file = path / "design.toml" if path.is_dir() else path
    before = file.read_bytes()

    with pytest.raises(UnknownName, match="kelp-bed"):
        choose_palette(path, "kelp-bad")

    assert file.read_bytes() == before


def test_a_palette_that_does_not_suit_the_layers_is_not_chosen(regatta):
    metal = {"base": MetalSwatch(metal="gold")}
    odd = read_design(regatta).palettes["kelp-bed"]
    odd = odd.model_copy(update={"name": "odd", "roles": odd.roles | metal})
    add_palette(regatta, odd)
    before = _text(regatta)

    with pytest.raises(DesignError, match="is a metal, not a base coat"):
        choose_palette(regatta, "odd")
    assert _text(regatta) == before


@pytest.mark.parametrize("where", ["regatta", "pack"])
def test_a_palette_is_taken_in_and_can_be_chosen(request, where):
    path = request.getfixturevalue(where)
    before = read_design(path)
    sand = before.palettes["sand-bar"].model_copy(update={"name": "sand and sea"})

    assert add_palette(path, sand) == "palettes/sand and sea.toml"

    after = read_design(path)
    assert after.palettes["sand and sea"] == sand
    assert after.document == before.document
    assert choose_palette(path, "sand and sea").palette == sand


def test_a_palette_replaces_another_only_when_told_to(regatta):
    deep = read_design(regatta).palette
    paler = deep.model_copy(update={"roles": deep.roles | {"base": PigmentSwatch(srgb="#35507a")}})

    with pytest.raises(DesignError, match="there is a palette named 'deep-water' already"):
        add_palette(regatta, paler)
    assert read_design(regatta).palette == deep
    add_palette(regatta, paler, replacing=True)
    assert read_design(regatta).palette == paler


def test_the_palette_in_use_is_not_replaced_by_one_that_does_not_fit(regatta):
    bare = read_design(regatta).palette.model_copy(
        update={"roles": {"a": PigmentSwatch(srgb="#000000")}}
    )

    with pytest.raises(UnknownName, match="base"):
        add_palette(regatta, bare, replacing=True)
    assert len(read_design(regatta).palette.roles) == 7


@pytest.mark.parametrize("name", ["a/b", "..", ".hidden", "a\\b"])
def test_a_name_that_cannot_be_a_file_s_is_refused(regatta, name):
    palette = read_design(regatta).palette.model_copy(update={"name": name})

    with pytest.raises(DesignError, match="cannot be the name of a file"):
        add_palette(regatta, palette)
