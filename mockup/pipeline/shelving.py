"""Materials as the maker handles them: entered, changed by what use taught, out to files and in."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from mockup.design.material import Entry, fresh_product, named, with_figures
from mockup.design.material_csv import figure_in, materials_text, read_materials
from mockup.design.material_pack import (
    UNKNOWN,
    ending_of,
    materials_pack,
    read_materials_pack,
    text_of,
)
from mockup.design.products import AnyProduct, figures_of
from mockup.errors import AssetError, DesignError, StoreError
from mockup.files import read_up_to, write_whole
from mockup.outputs.plan.money import exact
from mockup.store import Store
from mockup.store.material_records import Material
from mockup.store.shelving import Shelved, entries_of, shelve

__all__ = [
    "PACK",
    "Told",
    "amount_from",
    "change_material",
    "check_photo",
    "enter_material",
    "export_materials",
    "figures_from",
    "import_bytes",
    "import_materials",
    "learn",
    "materials_file",
    "read_photo",
]

PACK = ("pack_ml", "pack_g", "pack_count", "pack_sheets")
"""The figure that a pack's size is, by kind."""

MOST_TABLE_BYTES = 8_000_000
MOST_PHOTO_BYTES = 32_000_000


def figures_from(
    product: AnyProduct, given: Mapping[str, str], *, pack: float | None, price_minor: int | None
) -> dict[str, Any]:
    """Figures as a maker types them, as values of the product's own kind.

    Raises
    ------
    DesignError
        A figure that is to be a number is none.
    """
    where = f"material {product.name!r}"
    told: dict[str, Any] = {}
    for name, text in given.items():
        part, _, inner = name.rpartition(".")
        holder = getattr(product, part, product) if part else product
        told[name] = figure_in(text.strip(), getattr(holder, inner, 0.0), where)
    if pack is not None:
        name = next(name for name in PACK if name in figures_of(type(product)))
        told[name] = int(pack) if name in PACK[2:] and float(pack).is_integer() else pack
    if price_minor is not None:
        told["pack_price_minor"] = price_minor
    return told


def amount_from(product: AnyProduct, text: str) -> Fraction:
    """An amount as a maker says it: a plain number in the product's unit, or packs, or sheets.

    Raises
    ------
    DesignError
        It is none.
    """
    found = re.fullmatch(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*(packs?|sheets?)?\s*", text)
    sheet = getattr(product, "sheet_cm2", None)
    if found is None or ((found[2] or "").startswith("sheet") and sheet is None):
        raise DesignError(
            f"{text.strip()[:40]!r} is no amount of it",
            where=f"material {product.name!r}",
            remedy=f"Give it in {product.unit}, such as 12.5, or as 2packs"
            + (" or 3sheets" if sheet is not None else ""),
        )
    each = {"p": exact(product.pack), "s": exact(sheet or 0.0), "": Fraction(1)}
    return Fraction(found[1]) * each[(found[2] or "")[:1]]


@dataclass(frozen=True, slots=True)
class Told:
    """What a maker tells of a new material. Figures as `figures_from` takes them."""

    name: str
    kind: str
    figures: Mapping[str, str]
    source: str
    pack: float | None = None
    price: int | None = None
    suits: tuple[str, ...] = ()
    batch: str = ""
    note: str = ""
    photo: bytes | None = None
    on_hand: str = ""


def enter_material(store: Store, told: Told) -> Material:
    """Put a new material on the shelf, and what there is of it.

    Raises
    ------
    DesignError
        There is no such kind or figure, or a figure is out of its range.
    StoreError
        There is one of that name.
    """
    name = told.name.strip()
    typical = fresh_product(told.kind, name, {}, source=told.source)
    given = figures_from(typical, told.figures, pack=told.pack, price_minor=told.price)
    product = fresh_product(told.kind, name, given, source=told.source, suits=told.suits)
    there = amount_from(product, told.on_hand) if told.on_hand.strip() else None
    material = store.materials.enter(product, batch=told.batch, note=told.note, photo=told.photo)
    return material if there is None else store.stock.count(material, there)


def change_material(
    store: Store,
    material: Material,
    given: Mapping[str, Any],
    *,
    source: str,
    name: str = "",
    suits: tuple[str, ...] = (),
    batch: str | None = None,
    note: str | None = None,
    photo: bytes | None = None,
    away: bool | None = None,
) -> Material:
    """Change what is told of a material; what is not given stays.

    Parameters
    ----------
    given
        Figures by name; those that differ are from `source` from now on.

    Raises
    ------
    DesignError
        There is no such figure, or it is out of its range.
    StaleRecord, StoreError
        As `Materials.change`.
    """
    product = with_figures(material.product, given, source=source)
    product = named(product, name.strip() or product.name, suits)
    return store.materials.change(
        material, product=product, batch=batch, note=note, photo=photo, away=away
    )


def learn(store: Store, material: Material) -> Material:
    """Plan from now on with the loss that real use proposes.

    Raises
    ------
    StoreError
        No order that was handed over has told its use.
    """
    factor = store.used.factor(material)
    if factor is None:
        raise StoreError(
            "no order that was handed over tells what it used",
            where=f"material {material.name!r}",
            remedy="Say what orders use, with --order, before they are handed over",
        )
    many = f"{factor.count} orders" if factor.count > 1 else "1 order"
    given = {"loss_share": factor.loss_share}
    return change_material(store, material, given, source=f"measured over {many}")


def export_materials(store: Store, output: Path) -> int:
    """Write the shelf as a table (.csv) or as a pack with its photos (.zip); gives how many.

    Raises
    ------
    DesignError
        The pack would be too large.
    OutputError
        It cannot be written.
    """
    entries = entries_of(store.at)
    write_whole(output, _file_of(entries, output.suffix, where=str(output)))
    return len(entries)


def materials_file(store: Store, ending: str) -> bytes:
    """The shelf as the bytes of a file with that ending, .csv or .zip.

    Raises
    ------
    DesignError
        The pack would be too large.
    """
    return _file_of(entries_of(store.at), ending, where="your materials")


def _file_of(entries: Sequence[Entry], ending: str, *, where: str) -> bytes:
    if ending.lower() == ".csv":
        return materials_text(entries).encode()
    return materials_pack(entries, where=where)


def import_materials(store: Store, file: Path, *, counted: bool = False) -> Shelved:
    """Take the materials of a table or pack in, all or none of them.

    Parameters
    ----------
    counted
        Whether what is on hand of materials that are known is what the file says, too.

    Raises
    ------
    DesignError
        The file is no table or pack of materials, or something in it is wrong.
    StoreError
        A material of it is of another kind than the one of its name.
    """
    there = {m.name.casefold(): m.product for m in store.materials.all(away=True)}

    def known(name: str) -> AnyProduct | None:
        return there.get(name.casefold())

    if file.suffix.lower() == ".csv":
        text = text_of(read_up_to(file, MOST_TABLE_BYTES, fault=AssetError), where=file.name)
        entries = tuple(entry for entry, _ in read_materials(text, where=file.name, known=known))
    else:
        entries = read_materials_pack(file, known=known)
    return shelve(store.at, entries, counted=counted, note=file.name)


def read_photo(file: Path) -> bytes:
    """A photo's bytes, once it is seen to be a picture.

    Raises
    ------
    AssetError
        It cannot be read, or is no JPEG, PNG or HEIC.
    """
    data = read_up_to(file, MOST_PHOTO_BYTES, fault=AssetError)
    check_photo(data, where=file.name)
    return data


def check_photo(data: bytes, *, where: str) -> None:
    """See that these bytes begin as a photo does.

    Raises
    ------
    AssetError
        They are no JPEG, PNG or HEIC.
    """
    if ending_of(data) == UNKNOWN:
        raise AssetError("this is no photo", where=where, remedy="Name a JPEG, PNG or HEIC file")


def import_bytes(store: Store, name: str, data: bytes, *, counted: bool = False) -> Shelved:
    """As `import_materials`, of a file that came as bytes; `name` is what messages call it."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / (Path(name).name or "materials.zip")
        path.write_bytes(data)
        return import_materials(store, path, counted=counted)
