"""A design is read whole, or refused in one sentence that says where and what to do."""

import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.design import read
from mockup.design.palette import Palette, PigmentSwatch
from mockup.design.read import find_palettes, read_design, read_palette
from mockup.errors import AssetError, DesignError, MockupError, UnknownName
from mockup.files import shipped
from tests.design.faults import DESIGN_FAULTS, FILES, PALETTE_FAULTS
from tests.design.sample import BUNTING, DESIGN, PALETTE, write_sample


@pytest.mark.parametrize(("right", "wrong", "sentence"), DESIGN_FAULTS)
def test_a_fault_of_the_design_is_told_in_one_sentence(tmp_path, right, wrong, sentence):
    assert right in DESIGN
    path = write_sample(tmp_path / "cup", design=DESIGN.replace(right, wrong, 1))

    with pytest.raises(DesignError) as raised:
        read_design(path)

    assert str(raised.value) == f"design.toml: {sentence}"


@pytest.mark.parametrize(("right", "wrong", "sentence"), PALETTE_FAULTS)
def test_a_fault_of_a_palette_is_told_in_one_sentence(tmp_path, right, wrong, sentence):
    assert right in PALETTE
    path = write_sample(tmp_path / "cup", palette=PALETTE.replace(right, wrong, 1))

    with pytest.raises(DesignError) as raised:
        read_design(path)

    assert str(raised.value) == f"palettes/neap.toml: {sentence}"


def test_names_that_are_unknown_and_assets_that_are_missing_have_their_own_errors(tmp_path):
    """Faces tell them apart: one needs a choice from a list, the other a file."""
    unknown = write_sample(tmp_path / "a", design=DESIGN.replace('"neap"', '"spring"'))
    missing = write_sample(tmp_path / "b", design=DESIGN.replace("bunting", "pennant"))

    with pytest.raises(UnknownName):
        read_design(unknown)
    with pytest.raises(AssetError):
        read_design(missing)


@pytest.mark.parametrize("case", FILES)
def test_a_file_that_is_no_design_is_told_in_one_sentence(tmp_path, case):
    data, sentence = FILES[case]
    path = tmp_path / "design.toml"
    if data is not None:
        path.write_bytes(data)

    with pytest.raises(DesignError) as raised:
        read_design(path)

    assert str(raised.value) == sentence.format(path=path)


def test_a_folder_without_a_design_says_which_file_is_missing(tmp_path):
    with pytest.raises(DesignError, match=r"design\.toml: there is no such file"):
        read_design(tmp_path)


def test_a_folder_in_the_place_of_the_file_is_told(tmp_path):
    (tmp_path / "design.toml").mkdir()

    with pytest.raises(DesignError, match="this is not a file"):
        read_design(tmp_path)


def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "design.toml")

    with pytest.raises(DesignError, match="this is not a file"):
        read_design(tmp_path)


def test_a_path_too_long_for_the_system_is_told(tmp_path):
    with pytest.raises(DesignError, match="cannot be read"):
        read_design(tmp_path / ("x" * 300))


@pytest.mark.parametrize("link", ["assets/bunting.svg", "palettes/neap.toml"])
def test_links_that_lead_out_of_the_folder_are_not_followed(tmp_path, link):
    path = write_sample(tmp_path / "cup")
    (tmp_path / "secret").write_text(PALETTE)
    (path.parent / link).unlink()
    (path.parent / link).symlink_to(tmp_path / "secret")

    with pytest.raises(AssetError, match="leads out of the design's folder"):
        read_design(path)


def test_links_within_the_folder_are_followed(tmp_path):
    path = write_sample(tmp_path / "cup")
    (path.parent / "assets/bunting.svg").rename(path.parent / "assets/pennants.svg")
    (path.parent / "assets/bunting.svg").symlink_to("pennants.svg")

    assert read_design(path).assets["assets/bunting.svg"].data == BUNTING.encode()


def test_an_asset_beyond_the_cap_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(read, "MAX_FILE_BYTES", 16)

    with pytest.raises(DesignError, match=r"layers\[1\]\.artwork: the file is larger than"):
        read_design(write_sample(tmp_path / "cup"))


def test_a_folder_its_design_and_any_name_for_it_read_alike(tmp_path):
    path = write_sample(tmp_path / "cup")
    other = path.with_name("seat-3.toml")
    other.write_text("\ufeff" + DESIGN.replace("\n", "\r\n"))  # as some editors save it

    assert (
        read_design(path).fingerprint
        == read_design(path.parent).fingerprint
        == read_design(other).fingerprint
    )
    assert read_design(other).where == "seat-3.toml"


def test_only_what_a_layer_names_is_read(tmp_path):
    path = write_sample(tmp_path / "cup")
    (path.parent / "assets/sketch.png").write_bytes(b"unused")
    (path.parent / "palettes/._neap.toml").write_bytes(b"\x00\x05\x16\x07")  # left by a copy
    (path.parent / "palettes/notes.txt").write_text("buy foil")

    design = read_design(path, palettes={})

    assert list(design.assets) == ["assets/bunting.svg"]
    assert list(design.palettes) == ["neap"]


def test_palettes_of_the_design_win_over_those_of_the_shelf(tmp_path):
    path = write_sample(tmp_path / "cup")
    shelf = {
        name: Palette(name="of the shelf", roles={"base": PigmentSwatch(srgb="#ffffff")})
        for name in ("neap", "spring")
    }

    design = read_design(path, palettes=shelf)

    assert {key: palette.name for key, palette in design.palettes.items()} == {
        "neap": "Neap tide",
        "spring": "of the shelf",
    }


def test_palettes_that_come_with_the_program_are_at_hand(tmp_path):
    design = read_design(write_sample(tmp_path / "cup"))

    assert set(design.palettes) == {"neap", *find_palettes(shipped("palettes"))}
    assert len(design.palettes) > 1


def test_palettes_are_found_by_the_names_of_their_files(tmp_path):
    folder = write_sample(tmp_path / "cup").parent / "palettes"

    assert find_palettes(folder) == {"neap": read_palette(folder / "neap.toml")}
    assert find_palettes(tmp_path / "nowhere") == {}
    with pytest.raises(DesignError, match=r"there is no such file\. Name a palette that is there"):
        read_palette(folder / "spring.toml")


def test_an_older_format_is_brought_up_step_by_step(tmp_path, monkeypatch):
    """Format 0 never was; it stands in for the formats to come."""
    monkeypatch.setitem(read.UPGRADES, -1, lambda raw: {"heading": raw.pop("name"), **raw})
    monkeypatch.setitem(read.UPGRADES, 0, lambda raw: {"title": raw.pop("heading"), **raw})
    old = DESIGN.replace("format = 1", "format = -1").replace("title =", "name =")

    assert read_design(write_sample(tmp_path / "cup", design=old)).document.title == "Seat 3"


def _fault_of(path):
    try:
        read_design(path, palettes={})
    except MockupError as error:
        return error
    return None


WORDS = ["true", "nan", "[[layers]]", "\x00", "1979-05-27", *"\"'[]{}=.#,\n\\-+_09e"]
damage = st.one_of(st.just(""), st.sampled_from(WORDS), st.text(max_size=4))


@settings(deadline=None, max_examples=100)
@given(st.data())
def test_a_damaged_design_is_read_or_refused_and_never_crashes(data):
    """A few characters are cut out, put in or replaced anywhere in the design or its palette."""
    texts = {"design": DESIGN, "palette": PALETTE}
    for _ in range(data.draw(st.integers(1, 3))):
        which = data.draw(st.sampled_from(sorted(texts)))
        start = data.draw(st.integers(0, len(texts[which])))
        end = start + data.draw(st.integers(0, 12))
        texts[which] = texts[which][:start] + data.draw(damage) + texts[which][end:]
    with tempfile.TemporaryDirectory() as folder:
        fault = _fault_of(write_sample(Path(folder, "cup"), **texts))

    if fault is not None:
        assert "\n" not in str(fault)
        assert fault.problem
        assert fault.remedy


@settings(deadline=None, max_examples=100)
@given(st.binary(max_size=40), st.sampled_from(["design.toml", "x.tumbler", "x"]))
def test_any_bytes_at_all_are_refused_in_a_sentence(data, name):
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, name).write_bytes(data)
        with pytest.raises(MockupError):
            read_design(Path(folder, name), palettes={})
