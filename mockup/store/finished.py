"""Photos of finished cups held against their proofs. Rows are only ever added."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import select

from mockup.store.blobs import find_files, save_files
from mockup.store.book import find_order
from mockup.store.connect import Connector
from mockup.store.material_records import Finished
from mockup.store.plain import plain_json
from mockup.store.rows import add_row, find_row
from mockup.store.schema import finished

__all__ = ["FinishedCups"]

_PHOTO, _PICTURE = "photo", "picture"


@dataclass(frozen=True, slots=True)
class FinishedCups:
    """Kept with their orders."""

    at: Connector

    def add(
        self,
        order: int,
        *,
        fingerprint: str,
        photo: bytes,
        facts: Mapping[str, Any],
        picture: bytes | None = None,
        revision: int | None = None,
    ) -> Finished:
        """Keep a photo of an order's finished cup and what came of holding it against its proof.

        Parameters
        ----------
        fingerprint, revision
            Of the design that it was held against.
        facts
            Figures and sentences, as JSON.
        picture
            Both side by side.

        Raises
        ------
        StoreError
            There is no such order, or the facts cannot be kept as JSON.
        """
        given = {_PHOTO: photo} if picture is None else {_PHOTO: photo, _PICTURE: picture}
        with self.at.writing() as connection:
            find_order(connection, order, self.at.where)
            names = save_files(connection, given)
            number = add_row(
                connection,
                finished,
                order_id=order,
                revision=revision,
                fingerprint=fingerprint,
                photo=names[_PHOTO],
                picture=names.get(_PICTURE),
                facts=plain_json(facts, "the facts of the finished cup"),
                made_at=datetime.now(UTC),
            )
            return _finished(find_row(connection, finished, number))

    def of_order(self, order: int) -> tuple[Finished, ...]:
        """Every photo of an order's cups, the newest first."""
        wanted = select(finished).where(finished.c.order_id == order)
        with self.at.reading() as connection:
            return tuple(map(_finished, connection.execute(wanted.order_by(finished.c.id.desc()))))

    def photo_of(self, cup: Finished) -> bytes:
        """The photo, as it was given."""
        return self._file(cup.photo)

    def picture_of(self, cup: Finished) -> bytes | None:
        """Both side by side, if it was kept."""
        return None if cup.picture is None else self._file(cup.picture)

    def _file(self, sha256: str) -> bytes:
        with self.at.reading() as connection:
            return find_files(connection, {_PHOTO: sha256}, self.at.where)[_PHOTO]


def _finished(row: Any) -> Finished:
    return Finished(**{name: getattr(row, name) for name in Finished.__slots__})
