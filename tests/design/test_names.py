"""A list of names becomes a design for each row; what is wrong in it is told by its row."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.design.names import MOST_NAMES, named_designs, read_names
from mockup.errors import DesignError
from tests.outputs.cut.cups import PALETTE, decal, design_of

DESIGN = design_of(
    decal(name="crew name", text="SEAGLASS", letter_height_mm=18.0),
    decal(name="oars"),
    decal(text="7", letter_height_mm=20.0, place={"height_mm": 40.0}),
)


@pytest.fixture
def names_of(tmp_path):
    """The list in a file of this text."""

    def read(text, encoding="utf-8"):
        path = tmp_path / "crew.csv"
        path.write_bytes(text.encode(encoding))
        return read_names(path)

    return read


def texts(design):
    return [layer.text for layer in design.document.layers if layer.kind == "decal"]


def test_each_row_changes_the_words_of_its_decals_alone(names_of):
    """A decal without a name of its own is called by its words."""
    ann, bo = named_designs(DESIGN, names_of("crew name,7\nANN,1\nBO,2\n"))

    assert (ann.row, bo.row) == (2, 3)
    assert texts(ann.design) == ["ANN", None, "1"]
    assert texts(bo.design) == ["BO", None, "2"]
    assert ann.design.document.title == "Seaglass Eight: ANN, 1"
    assert ann.words == ("ANN", "1")
    same = {"title", "layers"}
    for field in set(type(DESIGN.document).model_fields) - same:
        assert getattr(ann.design.document, field) == getattr(DESIGN.document, field)
    assert ann.design.document.layers[2] == DESIGN.document.layers[2]
    assert ann.design.fingerprint != bo.design.fingerprint


def test_an_empty_cell_leaves_its_decal_out(names_of):
    (cox,) = named_designs(DESIGN, names_of("crew name,7\nCOX,\n"))

    assert texts(cox.design) == ["COX", None]


def test_titles_and_palettes_are_chosen_by_columns_of_their_own(names_of):
    dusk = PALETTE.model_copy(update={"name": "dusk"})
    both = type(DESIGN)(
        DESIGN.document, {"harbour": PALETTE, "dusk": dusk}, DESIGN.assets, "design.toml"
    )
    first, second = named_designs(
        both, names_of("title;crew name;palette\nFor Ann;ANN;dusk\n;BO;\n")
    )

    assert (first.design.document.title, first.design.palette.name) == ("For Ann", "dusk")
    assert (second.design.document.title, second.design.palette.name) == (
        "Seaglass Eight: BO",
        "harbour",
    )


@pytest.mark.parametrize("parted", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
def test_spreadsheets_part_their_cells_in_their_own_ways(names_of, parted, encoding):
    found = names_of(f"crew name{parted}7\r\n“BÉA”{parted}1\r\n\r\n", encoding)

    assert found.heads == ("crew name", "7")
    assert found.rows == ((2, ("“BÉA”", "1")),)


cells = st.text(
    st.characters(min_codepoint=32, max_codepoint=0x24F), min_size=1, max_size=12
).map(str.strip).filter(bool)  # fmt: skip


@given(st.lists(st.tuples(cells, cells), min_size=1, max_size=8))
def test_words_come_as_they_were_written(tmp_path_factory, rows):
    """Commas, quotes and all, as a spreadsheet writes them."""
    path = tmp_path_factory.mktemp("names") / "crew.csv"
    quoted = [",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows]
    path.write_text("\n".join(["crew name,7", *quoted]))

    assert [row for _, row in read_names(path).rows] == rows


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("crew nam\nANN\n", r"crew\.csv: row 1: no decal .*'crew nam'\. Use 'crew name'"),
        ("oars\nANN\n", r"row 1: no decal made from text is named 'oars'"),
        ("crew name,crew name\nA,B\n", r"'crew name' stands twice"),
        ("crew name\n", r"crew\.csv: there is no name in it\. Name decals"),
        ("", r"crew\.csv: there is no name in it"),
        ("crew name,7\nANN\n", r"row 2: the row has 1 cells and the first one 2"),
        ("crew name\nANN\n" + "X" * 201 + "\n", r"crew\.csv: row 3: .*200"),
        ("palette\ndusk\n", r"crew\.csv: row 2: no palette is named 'dusk'"),
        ('crew name\n"ANN\n', r"crew\.csv: it is no table"),
        ("crew name\n" + "ANN\n" * (MOST_NAMES + 1), rf"there are {MOST_NAMES + 1} rows"),
    ],
)
def test_a_fault_is_told_with_its_row(names_of, text, told):
    with pytest.raises(DesignError, match=told):
        named_designs(DESIGN, names_of(text))


def test_two_decals_of_one_name_are_told(names_of):
    twice = design_of(*[decal(text="7", letter_height_mm=9.0)] * 2)

    with pytest.raises(DesignError, match=r"2 decals are named '7'\. Give each a name of its own"):
        named_designs(twice, names_of("7\n3\n"))


def test_a_list_that_is_not_there_or_no_text_is_told(tmp_path):
    with pytest.raises(DesignError, match="the list of names cannot be read"):
        read_names(tmp_path / "none.csv")
    (tmp_path / "crew.csv").write_bytes(b"crew name\n\xff\n")
    with pytest.raises(DesignError, match="byte 10 is not UTF-8 text"):
        read_names(tmp_path / "crew.csv")
