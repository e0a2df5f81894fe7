"""The shelf out of the store and into it, as entries that files hold."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from mockup.design.material import Entry, particular
from mockup.store.connect import Connector
from mockup.store.exact import kept
from mockup.store.material_records import Material
from mockup.store.material_rows import (
    add_look,
    add_material,
    find_material,
    find_materials,
    set_material,
)
from mockup.store.materials import Materials
from mockup.store.moves import add_move, on_hand_of

__all__ = ["Shelved", "entries_of", "shelve"]


@dataclass(frozen=True, slots=True)
class Shelved:
    """Names of what was taken in: new, changed, and just as it was."""

    new: tuple[str, ...]
    changed: tuple[str, ...]
    same: tuple[str, ...]


def entries_of(at: Connector) -> tuple[Entry, ...]:
    """Everything on the shelf with its photos and what is on hand."""
    materials, found = Materials(at), []
    for material in materials.all():
        look = material.look
        entry = Entry(
            product=material.product,
            batch=material.batch,
            note=material.note,
            on_hand=float(material.on_hand),
            swatch=look.swatch if look else None,
            photo=materials.photo_of(material),
            photos=materials.photos_of(look) if look else {},
        )
        measured = dict(look.measured) if look else {}
        found.append(entry.model_copy(update={"measured": measured}))
    return tuple(found)


def shelve(at: Connector, entries: Sequence[Entry], *, counted: bool, note: str) -> Shelved:
    """Take entries in, all or none: new ones are added, those of a known name changed.

    Nothing is taken away: what an entry does not tell stays, and so do materials that none tells.

    Parameters
    ----------
    counted
        Whether what is on hand of known ones is what the entries say, too; else their stock
        stays. New ones come with theirs.
    note
        Of the stock moves, such as the file's name.

    Raises
    ------
    StoreError
        An entry is of another kind than the material of its name, or was given twice.
    """
    told: dict[str, list[str]] = {"new": [], "changed": [], "same": []}
    with at.writing() as connection:
        there = {m.name.casefold(): m for m in find_materials(connection, away=True)}
        for entry in entries:
            known = there.get(particular(entry.product).name.casefold())
            if known is None:
                number = add_material(
                    connection, entry.product, entry.batch, entry.note, entry.photo
                )
                known, what = find_material(connection, number, at.where), "new"
            else:
                what = "changed" if _change(connection, known, entry) else "same"
            moved = _show(connection, known, entry)
            if entry.on_hand is not None and (counted or what == "new"):
                moved |= _count(connection, known, entry.on_hand, note)
            told["changed" if what == "same" and moved else what].append(known.name)
    return Shelved(*(tuple(told[what]) for what in ("new", "changed", "same")))


def _change(connection: Connection, known: Material, entry: Entry) -> bool:
    """Change what the entry tells otherwise; gives whether there was anything."""
    photo = entry.photo
    if photo is not None and hashlib.sha256(photo).hexdigest() == known.photo:
        photo = None
    told = (particular(entry.product), entry.batch or known.batch, entry.note or known.note)
    if photo is None and told == (known.product, known.batch, known.note) and not known.away:
        return False
    product, batch, note = told
    set_material(
        connection, known, product=product, batch=batch, note=note, photo=photo, away=False
    )
    return True


def _show(connection: Connection, known: Material, entry: Entry) -> bool:
    if entry.swatch is None:
        return False
    look = known.look
    same = look is not None and look.swatch == entry.swatch
    if look is not None and same and (not entry.measured or look.measured == entry.measured):
        return False
    add_look(connection, known.id, entry.swatch, entry.measured, entry.photos)
    return True


def _count(connection: Connection, known: Material, on_hand: float, note: str) -> bool:
    change = kept(on_hand, where=known.name, least=0) - on_hand_of(connection, known.id)
    if change:
        add_move(connection, known.id, "counted", on_hand=change, note=note)
    return bool(change)
