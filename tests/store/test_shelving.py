"""A shelf written to a file and read into an empty store is the same shelf, byte for byte."""

import pytest

from mockup.design.material import fresh_product, particular
from mockup.design.material_csv import materials_text, read_materials
from mockup.design.material_pack import materials_pack, read_materials_pack
from mockup.design.pack import read_zip, zip_of
from mockup.design.palette import FilmLayer, FilmSwatch, SpectrumSwatch
from mockup.errors import DesignError, StoreError
from mockup.store import open_store
from mockup.store.shelving import entries_of, shelve
from tests.store.small import COPPER, glitter

GREY = SpectrumSwatch(
    label="grey", nm=(430, 550, 670), reflectance=(0.2, 0.21, 0.1999999), source="card, 3 shots"
)
SHIFT = FilmSwatch(layers=(FilmLayer(n=1.38, thickness_nm=300.5), FilmLayer(n=2, thickness_nm=60)))


@pytest.fixture
def store(file_store):
    """SQLite alone: what is asked here is of files."""
    return file_store


@pytest.fixture
def empty(tmp_path):
    with open_store(tmp_path / "other.sqlite") as opened:
        yield opened


@pytest.fixture
def full(store):
    """Materials of every kind, with what spreadsheets and files stumble over."""
    for kind in ("epoxy", "varnish", "adhesive", "sealer", "wrap_sheet", "foil", "vinyl", "sundry"):
        store.materials.enter(fresh_product(kind, f"my {kind}", {}, source=""))
    odd = fresh_product(
        "paint", '=1+1, "navy"', {"drying.touch_dry_h": 1 / 3}, source="data sheet, p. 2",
        suits=("base; foot", "'quoted"),
    )  # fmt: skip
    odd = store.materials.enter(
        odd, batch="-007", note="two\nlines; and, a comma ö", photo=b"\xff\xd8j"
    )
    store.materials.show(odd, GREY, measured={"delta_e": 0.25, "lit": ["a", {"b": None}]})
    jar = store.materials.enter(glitter(), photo=b"\x89PNG jar")
    store.materials.show(jar, COPPER)
    store.materials.show(jar, SHIFT, photos={"black.jpg": b"\xff\xd8b", "white.jpg": b"\xff\xd8w"})
    store.stock.buy(jar, 49.9999)
    return store


def test_a_table_gives_the_same_shelf(full, empty):
    text = materials_text(entries_of(full.at))

    read = [entry for entry, _ in read_materials(text, where="shelf.csv")]
    shelved = shelve(empty.at, read, counted=False, note="shelf.csv")

    assert len(shelved.new) == 10
    assert materials_text(entries_of(empty.at)) == text
    for there, here in zip(full.materials.all(), empty.materials.all(), strict=True):
        assert (there.product, there.batch, there.note, there.on_hand) == (
            here.product, here.batch, here.note, here.on_hand,
        )  # fmt: skip
        assert (there.look and there.look.swatch) == (here.look and here.look.swatch)
        assert (there.look and there.look.measured) == (here.look and here.look.measured)


def test_a_pack_gives_the_same_shelf_with_its_photos(full, empty, tmp_path):
    path = tmp_path / "shelf.zip"
    path.write_bytes(materials_pack(entries_of(full.at), where="shelf.zip"))

    read = read_materials_pack(path, known=lambda name: None)
    shelve(empty.at, read, counted=False, note="shelf.zip")

    assert entries_of(empty.at) == entries_of(full.at)
    assert materials_pack(entries_of(empty.at), where="") == path.read_bytes()


def test_a_shelf_read_into_its_own_store_changes_nothing(full):
    def known(name):
        return full.materials.find(name).product

    before = [(m, full.stock.moves(m)) for m in full.materials.all()]
    text = materials_text(entries_of(full.at))
    read = [entry for entry, _ in read_materials(text, where="shelf.csv", known=known)]

    shelved = shelve(full.at, read, counted=True, note="shelf.csv")

    assert (shelved.new, shelved.changed) == ((), ())
    assert [(m, full.stock.moves(m)) for m in full.materials.all()] == before


def test_a_table_read_later_leaves_stock_alone_unless_it_was_counted(full):
    jar = full.materials.find("copper flake")
    (entry,) = [e for e in entries_of(full.at) if e.product.name == jar.name]
    full.stock.use(jar, 9.9999)

    assert shelve(full.at, [entry], counted=False, note="").same == (jar.name,)
    assert full.materials.get(jar.id).on_hand == 40
    assert shelve(full.at, [entry], counted=True, note="monday.csv").changed == (jar.name,)
    assert float(full.materials.get(jar.id).on_hand) == 49.9999
    assert full.stock.moves(jar)[0].note == "monday.csv"


def test_a_figure_changed_in_the_spreadsheet_says_that_it_is_from_there(full):
    jar = full.materials.find("copper flake").product
    table = "name;loss_share;pack_g\ncopper flake;0.4;50\n"

    ((entry, _),) = read_materials(table, where="shelf.csv", known=lambda name: jar)

    assert entry.product.loss_share == 0.4
    assert entry.product.sources == jar.sources | {"loss_share": "the table"}


def test_a_few_columns_are_enough_and_the_rest_is_typical():
    table = "name,kind,pack_ml,sources\nslow resin,epoxy,750,invoice: pack_ml\n"

    ((entry, _),) = read_materials(table, where="shelf.csv")

    assert particular(entry.product) == fresh_product(
        "epoxy", "slow resin", {"pack_ml": 750.0}, source="invoice"
    )


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("name,kind\nresin,epoxi\n", "row 2: no kind is named 'epoxi'. Use 'epoxy'"),
        ("name,kind,pack_ml\nresin,epoxy,lots\n", "row 2: 'lots' is not a number"),
        ("name,kind,pack_g\nresin,epoxy,30\n", "row 2: pack_g is no figure of a epoxy"),
        ("name,kind\nresin,epoxy\nResin,epoxy\n", "row 3: 'Resin' is there already"),
        ("name,kind,price\nresin,epoxy,3\n", "row 1: no column is named 'price'"),
        ("name,kind,sources\nresin,epoxy,invoice\n", "'invoice' does not tell of which figures"),
        ("name,kind,on_hand\nresin,epoxy,-1\n", "row 2"),
        ("name,kind,swatch.srgb\nresin,epoxy,navy\n", "row 2: swatch"),
        ("name,kind\n", "it holds no material"),
    ],
)
def test_what_is_wrong_with_a_table_is_told_with_its_row(table, said):
    with pytest.raises(DesignError) as told:
        read_materials(table, where="shelf.csv")

    assert said in str(told.value)
    assert str(told.value).startswith("shelf.csv")


def test_a_fault_anywhere_takes_nothing_in(empty):
    resin = fresh_product("epoxy", "resin", {}, source="")
    empty.materials.enter(resin)
    entries = [
        entry
        for table in ("name,kind\nnew,epoxy\n", "name,kind\nresin,varnish\n")
        for entry, _ in read_materials(table, where="shelf.csv")
    ]

    with pytest.raises(StoreError, match="a epoxy cannot become a varnish"):
        shelve(empty.at, entries, counted=False, note="")

    assert [m.name for m in empty.materials.all()] == ["resin"]


def test_a_pack_that_lacks_a_photo_is_refused(full, tmp_path):
    path = tmp_path / "shelf.zip"
    path.write_bytes(materials_pack(entries_of(full.at), where=""))
    files = read_zip(path, keeps=lambda name: not name.endswith(".png"))
    path.write_bytes(zip_of(files, where=""))

    with pytest.raises(DesignError, match="a photo of 'copper flake' is not in the pack"):
        read_materials_pack(path, known=lambda name: None)
