"""Revisions, which never change, and the proofs of them that went to customers."""

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Select, func, insert, select

from mockup.design.read import design_from_files
from mockup.errors import StoreError
from mockup.store.blobs import find_files, save_files
from mockup.store.book import find_order
from mockup.store.connect import Connector
from mockup.store.plain import plain_text
from mockup.store.records import Draft, Option, Proof, Revision, Sending
from mockup.store.schema import proofs, revisions, sendings

__all__ = ["Proofs", "Revisions", "find_proof"]

_LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"  # none that is taken for another when read aloud


@dataclass(frozen=True, slots=True)
class Revisions:
    """Revisions of an order's design, numbered from 1."""

    at: Connector

    def freeze(self, draft: Draft) -> Revision:
        """The draft as a revision that never changes: the newest, if that is the same.

        Raises
        ------
        DesignError
            The draft cannot be read as a design.
        """
        fingerprint = draft.design().fingerprint
        with self.at.writing() as connection:
            number = connection.scalar(_newest(draft.order_id)) or 0
            if number:
                last = self._find(connection, draft.order_id, number)
                if last.files == draft.files:
                    return last
            connection.execute(
                insert(revisions).values(
                    order_id=draft.order_id,
                    number=number + 1,
                    fingerprint=fingerprint,
                    files=save_files(connection, draft.files),
                    made_at=datetime.now(UTC),
                )
            )
            return self._find(connection, draft.order_id, number + 1)

    def find(self, order: int, number: int | None = None) -> Revision:
        """A revision of an order, the newest if no number is given.

        Raises
        ------
        StoreError
            There is none.
        """
        with self.at.reading() as connection:
            return self._find(connection, order, number or connection.scalar(_newest(order)) or 1)

    def _find(self, connection: Connection, order: int, number: int) -> Revision:
        wanted = select(revisions).where(
            revisions.c.order_id == order, revisions.c.number == number
        )
        row = connection.execute(wanted).one_or_none()
        if row is None:
            raise StoreError(
                f"order {order} has no revision {number}",
                where=self.at.where,
                remedy="Make a proof of its design first",
            )
        files = find_files(connection, row.files, self.at.where)
        return Revision(order, number, row.fingerprint, files, row.made_at)


@dataclass(frozen=True, slots=True)
class Proofs:
    """Proofs of revisions, each with a key of its own for the customer's receipt."""

    at: Connector

    def add(self, revision: Revision, *, palettes: Sequence[str] = (), light: str = "") -> Proof:
        """A new proof with a new key, not yet sent.

        Parameters
        ----------
        palettes
            The options that the customer may choose from; none is the palette in use alone.
        light
            What it is shown in, else the design's own.

        Raises
        ------
        UnknownName, DesignError
            A palette is not at hand or does not suit the layers.
        """
        design = design_from_files(revision.files, palettes={})
        chosen = dict.fromkeys(palettes or [design.document.palette])
        options = [
            {"palette": p, "fingerprint": design.with_palette(p).fingerprint} for p in chosen
        ]
        number = "-".join("".join(secrets.choice(_LETTERS) for _ in range(4)) for _ in range(3))
        with self.at.writing() as connection:
            connection.execute(
                insert(proofs).values(
                    id=number,
                    order_id=revision.order_id,
                    revision=revision.number,
                    title=find_order(connection, revision.order_id, self.at.where).title,
                    key=secrets.token_hex(32),
                    options=options,
                    light=light or design.document.light,
                    made_at=datetime.now(UTC),
                )
            )
            return find_proof(connection, number, self.at.where)

    def note_sent(self, proof: Proof, *, how: str, sent_to: str = "") -> Proof:
        """Note that it went out, such as by mail; it may go out more than once."""
        values = {"how": plain_text(how, "how it went", needed=True)}
        values["sent_to"] = plain_text(sent_to, "the address")
        with self.at.writing() as connection:
            connection.execute(
                insert(sendings).values(proof_id=proof.id, sent_at=datetime.now(UTC), **values)
            )
            return find_proof(connection, proof.id, self.at.where)

    def find(self, number: str) -> Proof:
        """The proof of that number.

        Raises
        ------
        StoreError
            There is none.
        """
        with self.at.reading() as connection:
            return find_proof(connection, number, self.at.where)

    def of_order(self, order: int) -> tuple[Proof, ...]:
        """Every proof of an order, the newest first."""
        wanted = select(proofs.c.id).where(proofs.c.order_id == order)
        wanted = wanted.order_by(proofs.c.made_at.desc(), proofs.c.id)
        with self.at.reading() as connection:
            numbers = connection.scalars(wanted).all()
            return tuple(find_proof(connection, number, self.at.where) for number in numbers)


def find_proof(connection: Connection, number: str, where: str) -> Proof:
    """The proof of that number.

    Raises
    ------
    StoreError
        There is none.
    """
    row = connection.execute(select(proofs).where(proofs.c.id == number)).one_or_none()
    if row is None:
        raise StoreError(
            f"there is no proof {number!r}", where=where, remedy="Look it up in its order"
        )
    sent = select(sendings).where(sendings.c.proof_id == number).order_by(sendings.c.id)
    return _proof(row, [Sending(s.how, s.sent_to, s.sent_at) for s in connection.execute(sent)])


def _proof(row: Any, sent: Sequence[Sending]) -> Proof:
    return Proof(
        id=row.id,
        order_id=row.order_id,
        revision=row.revision,
        title=row.title,
        key=bytes.fromhex(row.key),
        options=tuple(Option(o["palette"], o["fingerprint"]) for o in row.options),
        light=row.light,
        made_at=row.made_at,
        sendings=tuple(sent),
    )


def _newest(order: int) -> Select[Any]:
    return select(func.max(revisions.c.number)).where(revisions.c.order_id == order)
