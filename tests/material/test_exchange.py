"""Palettes go to other programs' files and come back; what a file cannot hold is told."""

import csv
import io
import json
import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mockup.design.palette import MetalSwatch, Palette, PigmentSwatch
from mockup.design.read import find_palettes
from mockup.errors import DesignError
from mockup.files import shipped
from mockup.material.chip import chip_hex, chip_rgb8_srgb
from mockup.material.exchange import ENDINGS, exchanged, kept_materials, read_exchanged
from mockup.material.optics import compile_swatch
from tests.strategies import any_text, colours, names, one_line, palettes

whole = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
lists = st.builds(
    Palette,
    name=names,
    note=any_text,
    source=any_text,
    licence=one_line,
    roles=st.dictionaries(
        names, st.builds(PigmentSwatch, label=one_line, srgb=colours), min_size=1, max_size=6
    ),
)
SHIPPED = find_palettes(shipped("palettes"))


def _again(palette, ending, name="palette"):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, name + ending)
        path.write_bytes(exchanged(palette, ending).data)
        return read_exchanged(path)


def _read(tmp_path, text, ending):
    path = tmp_path / f"list{ending}"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_exchanged(path)


@whole
@given(palettes)
def test_json_and_toml_hold_every_palette_whole(palette):
    for ending in (".json", ".toml"):
        assert exchanged(palette, ending).lost == ()
        assert _again(palette, ending) == palette


@whole
@given(palettes)
def test_a_table_holds_every_swatch_whole(palette):
    """The name is the file's; what is said of the whole palette is told as lost."""
    again = _again(palette, ".csv", "spring tide")

    assert again == Palette(name="spring tide", roles=palette.roles)
    said = [key for key in ("note", "source", "licence") if getattr(palette, key)]
    lost = exchanged(palette, ".csv").lost
    assert len(lost) == bool(said)
    assert all(key in lost[0] for key in said)


@whole
@given(lists)
def test_a_list_of_pigments_holds_all_that_is_said_of_them(palette):
    assert exchanged(palette, ".gpl").lost == ()
    assert _again(palette, ".gpl") == palette


@whole
@given(palettes)
def test_a_list_tells_every_material_that_it_cannot_hold(palette):
    """Each role comes back as a pigment of its chip; each that was none is named once."""
    written = exchanged(palette, ".gpl")
    again = _again(palette, ".gpl")

    assert list(again.roles) == list(palette.roles)
    for role, swatch in palette.roles.items():
        told = [sentence for sentence in written.lost if chip_hex(swatch) in sentence]
        expected = PigmentSwatch(label=swatch.label, srgb=chip_hex(swatch))
        assert again.roles[role] == expected
        if swatch.kind != "pigment":
            assert any(sentence.startswith(role) for sentence in told)


@whole
@given(palettes)
def test_materials_come_back_where_their_colour_was_left_alone(palette):
    """Out as a list, in again beside the palette itself: nothing is lost but its sources."""
    again, told = kept_materials(_again(palette, ".gpl"), palette)

    for role, swatch in palette.roles.items():
        assert again.roles[role] == (
            PigmentSwatch(label=swatch.label, srgb=swatch.srgb)
            if swatch.kind == "pigment"
            else swatch
        )
    others = [role for role, swatch in palette.roles.items() if swatch.kind != "pigment"]
    assert len(told) == len(others)
    assert all("stays" in sentence for sentence in told)


def test_a_material_whose_colour_was_changed_is_told_as_a_pigment():
    palette = SHIPPED["deep-water"]
    changed = palette.roles | {"lettering": PigmentSwatch(srgb="#b87333")}

    again, told = kept_materials(palette.model_copy(update={"roles": changed}), palette)

    assert again.roles["lettering"] == changed["lettering"]
    assert told == ("lettering (copper foil) was a metal and is now a pigment of #b87333.",)


@pytest.mark.parametrize("name", sorted(SHIPPED))
def test_every_palette_that_comes_along_goes_to_each_file_and_back(name):
    for ending in ENDINGS:
        again, _ = kept_materials(_again(SHIPPED[name], ending, name), SHIPPED[name])

        assert {r: chip_hex(s) for r, s in again.roles.items()} == {
            r: chip_hex(s) for r, s in SHIPPED[name].roles.items()
        }
        assert {r: s.kind for r, s in again.roles.items()} == {
            r: s.kind for r, s in SHIPPED[name].roles.items()
        }


def test_the_list_is_what_other_programs_expect():
    lines = exchanged(SHIPPED["deep-water"], ".gpl").data.decode().splitlines()

    assert lines[:3] == ["GIMP Palette", "Name: deep-water", "Columns: 1"]
    assert lines[6] == " 13  35  72\tbase: deep-water navy"
    entries = [line for line in lines[3:] if not line.startswith("#")]
    assert len(entries) == len(SHIPPED["deep-water"].roles)
    assert all(int(code) in range(256) for line in entries for code in line.split()[:3])


def test_a_list_of_another_program_is_read(tmp_path):
    text = (
        "GIMP Palette\r\nName: Tide\r\nColumns: 0\r\n#\r\n255 0 10\tUntitled\r\n0 0 0 Untitled\r\n"
    )
    text += "  1   2   3\r\n240 240 240\tpale: very\r\n"

    palette = _read(tmp_path, text, ".gpl")

    assert palette.name == "Tide"
    assert {role: s.srgb for role, s in palette.roles.items()} == {
        "Untitled": "#ff000a",
        "Untitled 2": "#000000",
        "#010203": "#010203",
        "pale": "#f0f0f0",
    }
    assert palette.roles["pale"].label == "very"


def test_a_list_without_a_name_is_called_as_its_file(tmp_path):
    assert _read(tmp_path, "\ufeffGIMP Palette\n0 0 0 black\n", ".gpl").name == "list"


def test_a_table_of_the_least_columns_is_read(tmp_path):
    palette = _read(tmp_path, "role;srgb\nbase;#0D2348\n;\nlettering;#ffffff\n", ".csv")

    assert palette.name == "list"
    assert palette.roles["base"] == PigmentSwatch(srgb="#0d2348")


def test_a_table_names_what_a_spreadsheet_would_work_out(tmp_path):
    """A label that begins like a formula stays a label there, and comes back as it was."""
    swatch = PigmentSwatch(label="=1+1", srgb="#102030", source="")
    palette = Palette(name="list", roles={"base": swatch})
    written = exchanged(palette, ".csv").data.decode()

    (row,) = csv.DictReader(io.StringIO(written, newline=""))
    assert (row["label"], row["source"], row["shown_srgb"]) == ("'=1+1", "'", "#102030")
    assert _read(tmp_path, written, ".csv") == palette


def test_json_tells_other_programs_what_a_metal_shows():
    palette = SHIPPED["deep-water"]
    copper = palette.roles["lettering"]
    found = json.loads(exchanged(palette, ".json").data)["roles"]["lettering"]

    assert found["kind"] == "metal"
    assert found["shown_srgb"] == chip_hex(copper)
    codes = bytes.fromhex(chip_hex(copper)[1:])
    assert tuple(codes) == chip_rgb8_srgb(compile_swatch(copper))


@given(colours)
@settings(max_examples=50, deadline=None)
def test_the_chip_of_a_pigment_is_its_own_colour(srgb):
    """Through its spectrum and back within a code."""
    compiled = chip_rgb8_srgb(compile_swatch(PigmentSwatch(srgb=srgb)))

    assert chip_hex(PigmentSwatch(srgb=srgb)) == srgb
    assert np.abs(np.subtract(compiled, list(bytes.fromhex(srgb[1:])))).max() <= 1


@pytest.mark.parametrize(
    ("ending", "text", "says"),
    [
        (".gpl", "JASC-PAL\n0100\n", "its first line is 'JASC-PAL'"),
        (".gpl", "", "its first line is ''"),
        (".gpl", "GIMP Palette\nName: x\n", "holds no colour"),
        (".gpl", "GIMP Palette\n256 0 0\tred\n", r"list.gpl: line 2: '256 0 0\\tred' is no colour"),
        (".gpl", "GIMP Palette\n#\nred\n", "list.gpl: line 3: 'red' is no colour"),
        (".gpl", b"GIMP Palette\n0 0 0 \xff\n", "byte 19 is not UTF-8"),
        (".csv", "", "holds no colour"),
        (".csv", "role,srgb\n", "holds no colour"),
        (".csv", "role,colour\nbase,#000000\n", "no column is named 'colour'"),
        (".csv", "role,role\nbase,x\n", "'role' is there twice"),
        (".csv", "role,srgb\n,#000000\n", "row 2: the row has no role"),
        (".csv", "role,srgb\na,#000000\na,#000001\n", "row 3: the role 'a' is there already"),
        (".csv", "role,srgb\na,#000000,blue\n", "row 2: the row has more cells"),
        (".csv", 'role,srgb\na,"#0000', "it is no table"),
        (".csv", "role,srgb\na,navy\n", "list.csv: roles.a.srgb"),
        (".csv", "role,kind,srgb\na,paint,#000000\n", "no kind of swatch is named 'paint'"),
        (".csv", 'role,kind,n\na,"metal",1\n', "no column is named 'n'"),
        (".csv", 'role,kind,specular_roughness\na,metal,"0,3"\n', "row 2: '0,3' is not a number"),
        (".csv", "role,kind,layers\na,film,n 1.4 k\n", "row 2: 'n 1.4 k' is not a list"),
        (".json", "{", "it is no JSON"),
        (".json", "[]", "it is no palette"),
        (".json", '{"name": "x", "name": "y"}', "the key 'name' is given twice"),
        (".json", '{"name": "x"}', "list.json"),
        (".json", "[" * 100_000, "nested too deeply"),
        (".json", '{"name": "x", "roles": {"a": {"kind": "pigment", "rgb": "#000000"}}}', "rgb"),
        (".txt", "0 0 0", "'.txt' is no palette's ending"),
        ("", "0 0 0", "its name has no ending"),
    ],
)
def test_what_is_no_palette_is_told_in_one_sentence(tmp_path, ending, text, says):
    with pytest.raises(DesignError, match=says.replace(".", r"\.")):
        _read(tmp_path, text, ending)


def test_a_file_that_is_not_there_or_too_large_is_told(tmp_path):
    with pytest.raises(DesignError, match="cannot be read"):
        read_exchanged(tmp_path / "nothing.gpl")
    with pytest.raises(DesignError, match="larger than 1 MB"):
        _read(tmp_path, "GIMP Palette\n" + "#" * 1_000_001, ".gpl")


def test_more_colours_than_a_palette_holds_are_refused(tmp_path):
    text = "GIMP Palette\n" + "".join(f"{i} {i} {i}\tgrey {i}\n" for i in range(65))

    with pytest.raises(DesignError, match=r"list\.gpl: roles"):
        _read(tmp_path, text, ".gpl")


def test_a_lacquered_metal_in_a_row(tmp_path):
    text = "role,kind,metal,tint_srgb,specular_roughness\nfoil,metal,copper,#fff4ea,0.24\n"

    assert _read(tmp_path, text, ".csv").roles["foil"] == MetalSwatch(
        metal="copper", tint_srgb="#fff4ea", specular_roughness=0.24
    )
