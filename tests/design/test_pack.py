"""A pack from a stranger is read without harm, or refused in one sentence."""

import io
import struct
import tempfile
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.design import pack as packs
from mockup.design.pack import read_pack, write_pack
from mockup.design.read import read_design
from mockup.errors import DesignError, MockupError, OutputError
from tests.design.sample import BUNTING, DESIGN, PALETTE, write_sample

FILES = {
    "design.toml": DESIGN,
    "palettes/neap.toml": PALETTE,
    "assets/bunting.svg": BUNTING,
}


def _zip(path, files, *, compression=zipfile.ZIP_STORED):
    """A zip such as anyone may make; `files` are (name or ZipInfo, content)."""
    with zipfile.ZipFile(path, "w", compression) as archive:
        for name, content in files:
            archive.writestr(name, content)
    return path


def _sentence(path):
    with pytest.raises(DesignError) as raised:
        read_design(path, palettes={})
    assert "\n" not in str(raised.value)
    return str(raised.value)


def test_a_zip_made_by_other_means_reads_as_the_folder_does(tmp_path):
    """Compressed, with folders and the leavings of a desktop among its entries."""
    extras = {
        "assets/": "",
        "assets/.DS_Store": "x",
        "__MACOSX/._design.toml": "x",
        "notes.txt": "",
    }
    pack = _zip(tmp_path / "cup.zip", (extras | FILES).items(), compression=zipfile.ZIP_DEFLATED)

    design = read_design(pack, palettes={})

    assert design.fingerprint == read_design(write_sample(tmp_path / "cup")).fingerprint
    assert design.where == "cup.zip/design.toml"
    assert set(read_pack(pack)) == set(FILES)


def test_a_fault_within_a_pack_names_pack_and_file(tmp_path):
    files = FILES | {"design.toml": DESIGN.replace("cut_mm", "cut_m")}

    assert _sentence(_zip(tmp_path / "cup.tumbler", files.items())) == (
        "cup.tumbler/design.toml: layers[2].cut_m: glitter has no cut_m."
        " Use cut_mm, in millimetres."
    )


@pytest.mark.parametrize(
    "name",
    ["../evil", "assets/../../evil", "/etc/evil", "assets/./x", "assets//x", "a\\b", "C:/evil"],
)
def test_names_that_lead_out_are_refused(tmp_path, name):
    sentence = _sentence(_zip(tmp_path / "cup.tumbler", [*FILES.items(), (name, "x")]))

    assert "leads out of its folder. Do not trust it; ask for another." in sentence


def test_links_are_refused(tmp_path):
    link = zipfile.ZipInfo("assets/link.svg")
    link.external_attr = 0o120777 << 16

    sentence = _sentence(_zip(tmp_path / "cup.tumbler", [*FILES.items(), (link, "/etc/passwd")]))

    assert "'assets/link.svg' in it leads out of its folder" in sentence


@pytest.mark.filterwarnings("ignore:Duplicate name")  # zipfile's own, when the trap is laid
def test_a_name_given_twice_is_refused(tmp_path):
    twice = [*FILES.items(), ("design.toml", DESIGN)]

    assert _sentence(_zip(tmp_path / "cup.tumbler", twice)) == (
        "cup.tumbler: it holds 'design.toml' twice. Pack it anew."
    )


def test_a_locked_pack_is_refused(tmp_path):
    """Bit 0 of the general purpose flag says that an entry is encrypted (APPNOTE 4.4.4)."""
    path = _zip(tmp_path / "cup.tumbler", FILES.items())
    data = bytearray(path.read_bytes())
    at = data.index(b"PK\x01\x02")
    data[at + 8] |= 1
    path.write_bytes(data)

    assert _sentence(path) == ("cup.tumbler: it is locked with a password. Pack it without one.")


def test_a_bomb_of_zeros_is_refused_before_it_is_unpacked(tmp_path):
    bomb = _zip(
        tmp_path / "cup.tumbler",
        [*FILES.items(), ("assets/x.png", bytes(4_000_000))],
        compression=zipfile.ZIP_DEFLATED,
    )
    assert bomb.stat().st_size < 20_000

    assert "'assets/x.png' in it swells to 4 MB. Do not trust it" in _sentence(bomb)


def test_a_size_that_lies_unpacks_no_further_than_it_says(tmp_path):
    """The directory claims 100 bytes of a file that holds many more."""
    path = _zip(
        tmp_path / "cup.tumbler",
        [*FILES.items(), ("assets/x.png", bytes(4_000_000))],
        compression=zipfile.ZIP_DEFLATED,
    )
    data = bytearray(path.read_bytes())
    at = data.rindex(b"PK\x01\x02")
    struct.pack_into("<L", data, at + 24, 100)  # uncompressed size, APPNOTE 4.3.12
    path.write_bytes(data)

    assert _sentence(path).startswith("cup.tumbler: the pack is damaged or cut short.")


@pytest.mark.parametrize("count", [501, 1501])  # told by zipfile; told before it is asked
def test_too_many_files_are_refused(tmp_path, count):
    many = [(f"assets/{i}.svg", "") for i in range(count)]

    assert _sentence(_zip(tmp_path / "cup.tumbler", many)) == (
        "cup.tumbler: it holds more than 500 files. Leave out what is not used."
    )


def test_too_much_in_all_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(packs, "_MAX_TOTAL_BYTES", 2000)
    files = {f"assets/{i}.svg": "x" * 700 for i in range(3)}
    small = io.BytesIO()
    _zip(small, files.items(), compression=zipfile.ZIP_DEFLATED)
    (tmp_path / "small.tumbler").write_bytes(small.getvalue())
    large = _zip(tmp_path / "large.tumbler", files.items())

    for path in (tmp_path / "small.tumbler", large):
        assert "a pack holds at most" in _sentence(path)


def test_a_design_too_large_for_a_pack_is_not_written(tmp_path, monkeypatch):
    design = read_design(write_sample(tmp_path / "cup"))
    monkeypatch.setattr(packs, "MAX_FILE_BYTES", 16)

    with pytest.raises(DesignError, match="a pack holds at most"):
        write_pack(design, tmp_path / "cup.tumbler")
    assert not (tmp_path / "cup.tumbler").exists()


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "this is not a pack. Make it with tumbler-mockup pack"),
        (b"format = 1", "this is not a pack. Make it with tumbler-mockup pack"),
        (b"PK\x03\x04", "the pack is damaged or cut short. Fetch it again"),
    ],
)
def test_a_file_that_is_no_pack_is_told(tmp_path, data, sentence):
    (tmp_path / "cup.tumbler").write_bytes(data)

    assert _sentence(tmp_path / "cup.tumbler").startswith(f"cup.tumbler: {sentence}")


def test_a_pack_that_is_not_there_is_told(tmp_path):
    assert "there is no such file" in _sentence(tmp_path / "cup.tumbler")


def test_a_pack_without_a_design_is_told(tmp_path):
    pack = _zip(tmp_path / "cup.tumbler", [("regatta/design.toml", DESIGN)])

    assert _sentence(pack) == (
        "cup.tumbler: there is no design.toml in it. Make it with tumbler-mockup pack."
    )


def test_a_pack_is_written_whole_or_not_at_all(tmp_path):
    design = read_design(write_sample(tmp_path / "cup"))

    with pytest.raises(OutputError, match="cannot write here"):
        write_pack(design, tmp_path / "nowhere" / "cup.tumbler")


def test_every_cut_of_a_pack_is_refused(tmp_path):
    """A download may stop at any byte."""
    design = read_design(write_sample(tmp_path / "cup"), palettes={})
    write_pack(design, tmp_path / "whole.tumbler")
    data = (tmp_path / "whole.tumbler").read_bytes()

    for end in range(0, len(data), 7):
        (tmp_path / "cut.tumbler").write_bytes(data[:end])
        with pytest.raises(DesignError):
            read_pack(tmp_path / "cut.tumbler")


@settings(deadline=None, max_examples=150)
@given(st.data())
def test_a_damaged_pack_is_read_or_refused_and_never_crashes(data):
    pack = io.BytesIO()
    _zip(pack, FILES.items(), compression=zipfile.ZIP_DEFLATED)
    whole = bytearray(pack.getvalue())
    for _ in range(data.draw(st.integers(1, 4))):
        whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "cup.tumbler")
        path.write_bytes(whole)
        fault = _fault_of(path)

    assert fault is None or "\n" not in str(fault)


def _fault_of(path):
    try:
        read_design(path, palettes={})
    except MockupError as error:
        return error
    return None
