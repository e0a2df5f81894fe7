"""Rows of materials and of their looks; for whoever holds the connection."""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, func, select

from mockup.design.material import particular, product_from, swatch_from
from mockup.design.palette import Swatch
from mockup.design.products import AnyProduct
from mockup.errors import StoreError
from mockup.store.blobs import save_files
from mockup.store.exact import amount_of
from mockup.store.material_records import Look, Material
from mockup.store.plain import plain_json, plain_text
from mockup.store.records import Files
from mockup.store.rows import add_row, change_row
from mockup.store.schema import looks, materials, moves

__all__ = [
    "add_look",
    "add_material",
    "find_material",
    "find_materials",
    "look_of",
    "set_material",
]

_PHOTO = "photo"


def add_material(
    connection: Connection, product: AnyProduct, batch: str, note: str, photo: bytes | None
) -> int:
    """Add a material's row; gives its number."""
    _refuse_twin(connection, product.name, None)
    values = _told(connection, product, batch, note, photo)
    return add_row(
        connection, materials, **values, away=False, version=1, made_at=datetime.now(UTC)
    )


def set_material(
    connection: Connection,
    material: Material,
    *,
    product: AnyProduct | None = None,
    batch: str | None = None,
    note: str | None = None,
    photo: bytes | None = None,
    away: bool | None = None,
) -> None:
    """Change a material's row, as `Materials.change` does."""
    if product is not None and (product.kind, product.unit) != (
        material.product.kind, material.unit,
    ):  # fmt: skip
        raise StoreError(
            f"a {_spoken(material.product.kind)} cannot become a {_spoken(product.kind)}",
            where=f"material {material.name!r}",
            remedy="Put it away and enter another",
        )
    if product is not None:
        _refuse_twin(connection, product.name, material.id)
    values = _told(connection, product, batch, note, photo)
    if away is not None:
        values["away"] = away
    change_row(connection, materials, material, values)


def add_look(
    connection: Connection,
    material: int,
    swatch: Swatch,
    measured: Mapping[str, Any],
    photos: Files,
) -> None:
    """Add a look's row."""
    add_row(
        connection,
        looks,
        material_id=material,
        swatch=swatch.model_dump(mode="json"),
        measured=plain_json(measured, "the facts of the measurement"),
        photos=save_files(connection, photos),
        made_at=datetime.now(UTC),
    )


def find_material(connection: Connection, number: int, where: str) -> Material:
    """The material of that number.

    Raises
    ------
    StoreError
        There is none.
    """
    found = find_materials(connection, away=True, number=number)
    if not found:
        raise StoreError(
            f"there is no material {number}", where=where, remedy="Look it up on the shelf"
        )
    return found[0]


def find_materials(
    connection: Connection, *, away: bool, number: int | None = None
) -> tuple[Material, ...]:
    """Materials by kind and name, each with its newest look and its stock."""
    wanted = select(materials)
    if not away:
        wanted = wanted.where(~materials.c.away)
    if number is not None:
        wanted = wanted.where(materials.c.id == number)
    rows = connection.execute(wanted).all()
    shown, there = _newest_looks(connection), _stock(connection)
    made = []
    for row in rows:
        on_hand, reserved = there.get(row.id, (0, 0))
        made.append(
            Material(
                id=row.id,
                product=product_from(row.product, where=f"material {row.id} of the store"),
                batch=row.batch,
                note=row.note,
                look=shown.get(row.id),
                photo=row.photo,
                away=row.away,
                on_hand=amount_of(on_hand),
                reserved=amount_of(reserved),
                version=row.version,
                made_at=row.made_at,
            )
        )
    return tuple(sorted(made, key=lambda m: (m.product.kind, m.name.casefold())))


def _told(
    connection: Connection,
    product: AnyProduct | None,
    batch: str | None,
    note: str | None,
    photo: bytes | None,
) -> dict[str, Any]:
    """Columns for what is given."""
    values: dict[str, Any] = {}
    if product is not None:
        values["folded_name"] = product.name.casefold()
        values["product"] = particular(product).model_dump(mode="json")
    if batch is not None:
        values["batch"] = plain_text(batch, "the batch")
    if note is not None:
        values["note"] = plain_text(note, "the note", lines=True)
    if photo is not None:
        values["photo"] = save_files(connection, {_PHOTO: photo})[_PHOTO]
    return values


def _refuse_twin(connection: Connection, name: str, own: int | None) -> None:
    same = select(materials.c.id).where(materials.c.folded_name == name.casefold())
    other = connection.scalar(same)
    if other is not None and other != own:
        raise StoreError(
            f"there is a material named {name!r} already",
            where="your materials",
            remedy="Change that one, or give this one another name",
        )


def _newest_looks(connection: Connection) -> dict[int, Look]:
    last = select(func.max(looks.c.id)).group_by(looks.c.material_id)
    rows: Sequence[Any] = connection.execute(select(looks).where(looks.c.id.in_(last))).all()
    return {row.material_id: look_of(row) for row in rows}


def look_of(row: Any) -> Look:
    """A row of looks as a record."""
    swatch = swatch_from(row.swatch, where=f"material {row.material_id} of the store: swatch")
    return Look(row.id, row.material_id, swatch, row.measured, row.photos, row.made_at)


def _stock(connection: Connection) -> dict[int, tuple[int, int]]:
    sums = select(moves.c.material_id, func.sum(moves.c.on_hand), func.sum(moves.c.reserved))
    rows = connection.execute(sums.group_by(moves.c.material_id))
    return {number: (int(on_hand), int(reserved)) for number, on_hand, reserved in rows}


def _spoken(kind: str) -> str:
    return kind.replace("_", " ")
