"""The maker's materials: what is told of each, how it looks, and what there is of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from mockup.design.palette import Swatch
from mockup.design.products import AnyProduct
from mockup.errors import UnknownName
from mockup.store.blobs import find_files
from mockup.store.connect import Connector
from mockup.store.material_records import Look, Material
from mockup.store.material_rows import (
    add_look,
    add_material,
    find_material,
    find_materials,
    look_of,
    set_material,
)
from mockup.store.records import Files
from mockup.store.schema import looks

__all__ = ["Materials"]

_PHOTO = "photo"


@dataclass(frozen=True, slots=True)
class Materials:
    """What the maker has told of materials. What there is of them is `Stock`'s."""

    at: Connector

    def enter(
        self, product: AnyProduct, *, batch: str = "", note: str = "", photo: bytes | None = None
    ) -> Material:
        """Put a new material on the shelf; nothing of it is on hand yet.

        Raises
        ------
        StoreError
            There is one of that name.
        """
        with self.at.writing() as connection:
            number = add_material(connection, product, batch, note, photo)
            return find_material(connection, number, self.at.where)

    def change(
        self,
        material: Material,
        *,
        product: AnyProduct | None = None,
        batch: str | None = None,
        note: str | None = None,
        photo: bytes | None = None,
        away: bool | None = None,
    ) -> Material:
        """Change what is told of a material; what is not given stays.

        Parameters
        ----------
        away
            Whether it is no longer on the shelf. Nothing of it is lost.

        Raises
        ------
        StaleRecord
            Another window has changed it since `material` was read; nothing is saved.
        StoreError
            There is another of that name, or the product is of another kind.
        """
        with self.at.writing() as connection:
            set_material(
                connection, material,
                product=product, batch=batch, note=note, photo=photo, away=away,
            )  # fmt: skip
            return find_material(connection, material.id, self.at.where)

    def show(
        self,
        material: Material,
        swatch: Swatch,
        *,
        measured: Mapping[str, Any] | None = None,
        photos: Files | None = None,
    ) -> Material:
        """Say how a material looks from now on; how it looked before is kept.

        Parameters
        ----------
        measured
            Facts of the measurement with its uncertainty, as JSON; none for one chosen by eye.
        photos
            What it was measured from, by name.
        """
        with self.at.writing() as connection:
            add_look(connection, material.id, swatch, measured or {}, photos or {})
            return find_material(connection, material.id, self.at.where)

    def looks(self, material: Material) -> tuple[Look, ...]:
        """How a material looked over time, the newest first."""
        with self.at.reading() as connection:
            wanted = select(looks).where(looks.c.material_id == material.id)
            return tuple(map(look_of, connection.execute(wanted.order_by(looks.c.id.desc()))))

    def photos_of(self, look: Look) -> dict[str, bytes]:
        """The photos that it was measured from, by name."""
        with self.at.reading() as connection:
            return find_files(connection, look.photos, self.at.where)

    def photo_of(self, material: Material) -> bytes | None:
        """Its picture, if it has one."""
        if material.photo is None:
            return None
        with self.at.reading() as connection:
            return find_files(connection, {_PHOTO: material.photo}, self.at.where)[_PHOTO]

    def all(self, *, away: bool = False) -> tuple[Material, ...]:
        """Everything on the shelf, by kind and name; with `away`, what was put away too."""
        with self.at.reading() as connection:
            return find_materials(connection, away=away)

    def find(self, name: str) -> Material:
        """The material of that name, in capitals or not, on the shelf or put away.

        Raises
        ------
        UnknownName
            There is none.
        """
        with self.at.reading() as connection:
            found = find_materials(connection, away=True)
        for material in found:
            if material.name.casefold() == name.strip().casefold():
                return material
        names = [material.name for material in found]
        raise UnknownName("material", name, names, where="your materials")

    def get(self, number: int) -> Material:
        """The material of that number.

        Raises
        ------
        StoreError
            There is none.
        """
        with self.at.reading() as connection:
            return find_material(connection, number, self.at.where)
